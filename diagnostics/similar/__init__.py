"""Earlier jobs like this one: found by words and facts, and what separated their cause."""
