"""From a recorded bus signal to its frames: is the traffic valid, and which errors does it have."""
