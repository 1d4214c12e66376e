"""The owner's pages of what goes with comebacks, and of whether something has changed."""
