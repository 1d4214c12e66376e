"""Recordings as they were uploaded: each kept once under its hash, and what is computed from it beside it.

A shelf is a folder:

    ab/abcdef…           the file as uploaded, named by its SHA-256
    ab/abcdef….drawn-7/  what is computed from it for record 7: the pyramid and the decoded frames
    coming/              files and folders that are being made; nothing here counts
"""

from __future__ import annotations

import hashlib
import os
import re
import shutil
import tempfile
import unicodedata
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

PIECE = 1 << 20
LONGEST_NAME = 120
_HASH = re.compile(r"[0-9a-f]{64}")


class FileIsDamaged(Exception):
    """A kept file is not there, or is not the one that was uploaded."""


@dataclass(frozen=True, slots=True)
class Kept:
    """A file on the shelf: its hash, its bytes, and whether it was there before."""

    sha256: str
    size: int
    was_there: bool


class Shelf:
    """Keeps files by their SHA-256 in one folder."""

    def __init__(self, root: Path) -> None:
        self.root = root

    def path(self, sha256: str) -> Path:
        """Return where the file of that hash stands."""
        if not _HASH.fullmatch(sha256):
            raise ValueError(f"'{sha256[:80]}' is no SHA-256. It has 64 digits of 0 to 9 and a to f.")
        return self.root / sha256[:2] / sha256

    def drawn(self, sha256: str, number: int) -> Path:
        """Return the folder of what is computed from the file for one record.

        The same file may be read in two ways: with other volts a count, on another bus.
        """
        return self.path(sha256).with_name(f"{sha256}.drawn-{number}")

    def take_in(self, stream: BinaryIO) -> Kept:
        """Copy a stream onto the shelf, piece by piece; all of it or nothing.

        Returns
        -------
        Kept
            The hash and size in bytes. A file that is already there is left as it is.
        """
        found, size = hashlib.sha256(), 0
        with tempfile.NamedTemporaryFile(dir=self.coming, delete=False) as incoming:
            coming = Path(incoming.name)
            try:
                while piece := stream.read(PIECE):
                    found.update(piece)
                    size += incoming.write(piece)
                incoming.flush()
                os.fsync(incoming.fileno())
                return self._put(coming, found.hexdigest(), size)
            finally:
                coming.unlink(missing_ok=True)

    def checked(self, sha256: str) -> Path:
        """Return where the file stands, after reading all of it and comparing its hash.

        Raises
        ------
        FileIsDamaged
            If it is missing, or its content is not what was uploaded.
        """
        path = self.path(sha256)
        try:
            with path.open("rb") as file:
                found = hashlib.file_digest(file, "sha256").hexdigest()
        except FileNotFoundError:
            raise FileIsDamaged(f"The file {sha256[:12]} is not there. Restore it from a backup.") from None
        if found != sha256:
            raise FileIsDamaged(
                f"The file {sha256[:12]} is not the one that was uploaded: its hash is {found[:12]}. "
                "Restore it from a backup."
            )
        return path

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
        self.path(sha256).unlink(missing_ok=True)
        for drawn in self.path(sha256).parent.glob(f"{sha256}.drawn-*"):
            shutil.rmtree(drawn, ignore_errors=True)

    @property
    def coming(self) -> Path:
        """The folder for what is being made, on the same disk."""
        folder = self.root / "coming"
        folder.mkdir(parents=True, exist_ok=True)
        return folder

    def _put(self, coming: Path, sha256: str, size: int) -> Kept:
        place = self.path(sha256)
        if place.exists():
            return Kept(sha256, size, was_there=True)
        place.parent.mkdir(parents=True, exist_ok=True)
        coming.chmod(0o640)
        coming.rename(place)
        _sync(place.parent)
        return Kept(sha256, size, was_there=False)


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


def _sync(folder: Path) -> None:
    """Make a new name in a folder last through a power cut."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
