"""Bench sums: what a technician works out beside the vehicle, registered by name."""
