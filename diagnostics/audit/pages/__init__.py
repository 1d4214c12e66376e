"""What the owner sees of the audit."""
