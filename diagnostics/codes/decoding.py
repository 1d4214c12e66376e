"""A file or a paste as text: which encoding, or why it is no text."""

from __future__ import annotations

import codecs

MOST_BYTES = 2 * 1024 * 1024
MOST_CONTROLS = 0.05  # Share of control characters above which a file is no text. Chosen, no source.

_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
_KEPT_CONTROLS = "\t\n\r\f\v"
_CLEANED = {number: " " for number in (*range(32), 127) if chr(number) not in _KEPT_CONTROLS}


class Unreadable(ValueError):
    """What was given is no text, or too much of it; says what to do."""


def decode_text(data: bytes) -> str:
    """Return a file's bytes as text.

    UTF-8, UTF-16 and UTF-32 are told by their mark, UTF-16 without one by its zero bytes; what is none of
    them is read as Windows-1252, then Latin-1, which never fails.

    Raises
    ------
    Unreadable
        If it is longer than `MOST_BYTES` or has too many control characters to be text.
    """
    if len(data) > MOST_BYTES:
        raise Unreadable(_too_long(len(data)))
    return check_text(_decoded(data))


def check_text(text: str) -> str:
    """Return a text with its stray control characters as blanks, or raise `Unreadable`."""
    size = len(text.encode("utf-8", "surrogatepass"))
    if size > MOST_BYTES:
        raise Unreadable(_too_long(size))
    controls = sum(text.count(chr(number)) for number in _CLEANED)
    if controls > MOST_CONTROLS * len(text):
        raise Unreadable(
            "This is not a text file: it has too many control characters. Export the report as text or CSV."
        )
    # A lone surrogate stands for a broken character; no database keeps it.
    return text.translate(_CLEANED).encode("utf-8", "replace").decode()


def _decoded(data: bytes) -> str:
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            return data.decode(encoding, errors="replace")
    if encoding := _unmarked_utf16(data):
        return data.decode(encoding, errors="replace")
    for encoding in ("utf-8", "cp1252"):
        try:
            return data.decode(encoding)
        except UnicodeDecodeError:
            continue
    return data.decode("latin-1")


def _unmarked_utf16(data: bytes) -> str:
    """UTF-16 of a western language has a zero in every other byte."""
    head = data[:1000]
    half = len(head) // 2
    if half < 2:
        return ""
    if head[1::2].count(0) > 0.8 * half and head[0::2].count(0) < 0.1 * half:
        return "utf-16-le"
    if head[0::2].count(0) > 0.8 * half and head[1::2].count(0) < 0.1 * half:
        return "utf-16-be"
    return ""


def _too_long(size: int) -> str:
    return (
        f"This report has {size / 1024 / 1024:.1f} MB; {MOST_BYTES // 1024 // 1024} MB are the most that is "
        "read. Leave the recorded live data out, or read it in parts."
    )
