"""What changes of protocols were to change, what became of them, and what to change next."""
