"""Open a recorded signal, whatever kind of file it is in."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from diagnostics.captures import csv_files, sigrok_files, vcd_files, wav_files
from diagnostics.captures.samples import (
    CHUNK_SAMPLES,
    MOST_CHANNELS,
    MOST_SAMPLES,
    AsRead,
    Channel,
    Chunk,
    Recording,
    UnreadableCapture,
    held_in_memory,
)

__all__ = [
    "CHUNK_SAMPLES",
    "MOST_CHANNELS",
    "MOST_SAMPLES",
    "AsRead",
    "Channel",
    "Chunk",
    "Recording",
    "UnreadableCapture",
    "held_in_memory",
    "open_recording",
]

VCD_BEGINS = re.compile(rb"\s*\$(date|version|comment|timescale|scope|var|enddefinitions|attrbegin)\b")
FORMS = "CSV or text, WAV, VCD or a sigrok session (.sr)"


def open_recording(path: Path | str, *, name: str = "", as_read: AsRead | None = None) -> Recording:
    """Return the recording in a file, chosen by what the file holds and then by its suffix.

    Parameters
    ----------
    path : path
        Where the file lies.
    name : text
        The name under which it came, if it is kept under another one; its suffix counts.
    as_read : AsRead, optional
        What the file does not say: volts per count, sample rate, units.

    Returns
    -------
    Recording
        Only the head of the file has been read.

    Raises
    ------
    UnreadableCapture
        If the file is empty, is no recording, or its head cannot be read.
    """
    path, as_read = Path(path), as_read or AsRead()
    with path.open("rb") as stream:
        beginning = stream.read(1 << 12)
    if not beginning.strip(b"\0\r\n\t "):
        raise UnreadableCapture("file", "The file is empty.", FORMS)
    return _reader(beginning, Path(name or path.name).suffix.lower())(path, as_read)


def _reader(beginning: bytes, suffix: str) -> Callable[[Path, AsRead], Recording]:
    if beginning[:4] in (b"RIFF", b"RF64", b"RIFX"):
        return wav_files.read_wav
    if beginning[:2] == b"PK":
        return sigrok_files.read_sigrok
    if VCD_BEGINS.match(beginning):
        return vcd_files.read_vcd
    by_suffix = {".wav": wav_files.read_wav, ".sr": sigrok_files.read_sigrok, ".vcd": vcd_files.read_vcd}
    return by_suffix.get(suffix, csv_files.read_csv)
