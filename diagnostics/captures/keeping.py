"""Recordings as they were uploaded, and what is computed from them.

On the shelf of recordings stands beside each file what was computed from it:

    ab/abcdef….drawn-7/    of record 7: the pyramid and the decoded frames
"""

from __future__ import annotations

import re
import shutil
import tempfile
import unicodedata
from pathlib import Path

from shared.shelf import Shelf

LONGEST_NAME = 120


class RecordingShelf(Shelf):
    """Keeps recordings by their SHA-256, each with what was computed from it."""

    def drawn(self, sha256: str, number: int) -> Path:
        """Return the folder of what is computed from the file for one record.

        The same file may be read in two ways: with other volts a count, on another bus.
        """
        return self.path(sha256).with_name(f"{sha256}.drawn-{number}")

    def put_drawn(self, sha256: str, number: int, folder: Path) -> None:
        """Put a finished folder in the place of what was computed before."""
        place, old = self.drawn(sha256, number), Path(tempfile.mkdtemp(dir=self.coming))
        place.parent.mkdir(parents=True, exist_ok=True)
        if place.exists():
            place.rename(old / "old")
        folder.rename(place)
        shutil.rmtree(old)

    def remove(self, sha256: str) -> None:
        """Take a file away with everything computed from it; nothing if it is not there."""
        super().remove(sha256)
        for drawn in self.path(sha256).parent.glob(f"{sha256}.drawn-*"):
            shutil.rmtree(drawn, ignore_errors=True)


def clean_name(name: str) -> str:
    """Return the last part of a file name without anything that is not for reading: "bay 2.csv".

    Folders of any system, control and direction signs, and edge dots and spaces are left out; a name of
    nothing else is "recording".
    """
    last = re.split(r"[/\\]", unicodedata.normalize("NFC", name))[-1]
    kept = "".join(sign for sign in last if unicodedata.category(sign)[0] != "C").strip(" .")
    if len(kept) <= LONGEST_NAME:
        return kept or "recording"
    stem, dot, suffix = kept.rpartition(".")
    if not dot or len(suffix) > 8:
        return kept[:LONGEST_NAME]
    return f"{stem[: LONGEST_NAME - len(suffix) - 1]}.{suffix}"
