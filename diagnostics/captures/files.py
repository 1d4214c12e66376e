"""Which files can hold a recording, told by their name and their first bytes. Nothing is decoded here."""

from __future__ import annotations

from pathlib import PurePath

SUFFIXES = (".csv", ".tsv", ".txt", ".wav", ".vcd", ".sr")
ALLOWED_WORDS = "CSV or text, WAV, VCD, sigrok session (.sr)"
# RIFF WAVE as in the Multimedia Programming Interface of 1991; local file header of a ZIP. From memory.
WAV_STARTS = (b"RIFF", b"RF64")
ZIP_START = b"PK\x03\x04"
# How pictures, archives, programs and documents begin that people choose by mistake. From memory.
OTHER_STARTS = (
    b"\x89PNG",
    b"\xff\xd8\xff",
    b"GIF8",
    b"%PDF",
    b"\x1f\x8b",
    b"BZh",
    b"7z\xbc",
    b"\x7fELF",
    b"MZ\x90",
)


def suffix_of(name: str) -> str:
    """Return the ending of a file name in small letters, with its dot; empty if there is none we know."""
    found = PurePath(name.replace("\\", "/")).suffix.lower()
    return found if found in SUFFIXES else ""


def why_not(name: str, head: bytes) -> str:
    """Return why a file cannot be a recording, and what is allowed; empty if it may be one.

    Parameters
    ----------
    name : str
        The file's name as sent; only its ending is looked at.
    head : bytes
        The first bytes of the file, 512 or so.
    """
    suffix = suffix_of(name)
    if not suffix:
        return f"A file of this ending is not read. Allowed: {ALLOWED_WORDS}."
    if suffix == ".wav":
        fits = head.startswith(WAV_STARTS) and head[8:12] == b"WAVE"
    elif suffix == ".sr":
        fits = head.startswith(ZIP_START)
    else:
        fits = not head.startswith((*OTHER_STARTS, *WAV_STARTS, ZIP_START)) and _is_text(head)
    if fits:
        return ""
    said = f"What is in this file is not what {suffix} says."
    return f"{said} Save it again from the instrument as {ALLOWED_WORDS}."


def _is_text(head: bytes) -> bool:
    """Whether these bytes can be text: no zero byte, unless a mark says that signs have two bytes."""
    return head.startswith((b"\xff\xfe", b"\xfe\xff")) or b"\x00" not in head
