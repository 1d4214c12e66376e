"""Work whose doing can be seen from outside: the worker of these tests includes it."""

import os
import time
from pathlib import Path

from shared import outbox


@outbox.handles("write_line")
def write_line(path, text, seconds=0):
    """Take some time, then add a line to a file."""
    time.sleep(seconds)
    with Path(path).open("a") as file:
        file.write(f"{text}\n")


@outbox.handles("hang_once")
def hang_once(path):
    """The first time, say who is at it and never come to an end; then write a line."""
    started = Path(f"{path}.started")
    if not started.exists():
        started.with_suffix(".writing").write_text(str(os.getpid()))
        started.with_suffix(".writing").rename(started)
        time.sleep(600)
    write_line(path, "done")
