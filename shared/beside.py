"""The start of a process that computes beside another one. Imports nothing that asks for Django."""

import gc
import os
import threading
from multiprocessing import parent_process
from multiprocessing.connection import wait

import django

# Reading makes many values that live until the batch is done; looking for cycles among them takes an eighth
# of the time.
VALUES_BETWEEN_LOOKS = 200_000


def start() -> None:
    """Set Django up, let the collector look less often, and end when the process that asked for this ends."""
    threading.Thread(target=_end_with_parent, daemon=True).start()
    django.setup()
    gc.freeze()
    gc.set_threshold(VALUES_BETWEEN_LOOKS)


def _end_with_parent() -> None:
    """Wait for the parent. One that was killed closes no queue, and nobody would hear the answer."""
    parent = parent_process()
    if parent is not None:
        wait([parent.sentinel])
        os._exit(1)
