"""The start of a process that computes beside another one. Imports nothing that asks for Django."""

import gc

import django

# Reading makes many values that live until the batch is done; looking for cycles among them takes an eighth
# of the time.
VALUES_BETWEEN_LOOKS = 200_000


def start() -> None:
    """Set Django up, and let the collector look less often."""
    django.setup()
    gc.freeze()
    gc.set_threshold(VALUES_BETWEEN_LOOKS)
