"""The memory that a process held at most."""

import subprocess
import sys

from shared import memory

HOLDING = "from shared import memory; kept = bytearray({size}); del kept; print(memory.peak_mb())"


def peak_of_a_process_that_held(size):
    shown = subprocess.run(
        [sys.executable, "-c", HOLDING.format(size=size)], capture_output=True, text=True, check=True
    )
    return float(shown.stdout)


def test_what_was_held_and_let_go_still_counts():
    assert peak_of_a_process_that_held(200_000_000) > peak_of_a_process_that_held(1) + 150


def test_what_the_starting_process_held_does_not_count():
    kept = bytearray(300_000_000)

    assert peak_of_a_process_that_held(1) < memory.peak_mb() - 200

    assert kept
