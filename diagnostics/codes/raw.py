"""Bytes as people type and paste them: `01 35`, `0135`, `0x01,0x35`."""

from __future__ import annotations

import re
from collections.abc import Collection

from shared.computing import Refused
from shared.wording import count_text

_HEX = re.compile(r"(?:[0-9A-F]{2})+")
_BETWEEN = re.compile(r"[\s,;:\-]+")
PAIRS = "pairs of hexadecimal digits such as 01 35"


def hex_bytes(text: str, field: str = "bytes", counts: Collection[int] = ()) -> bytes:
    """Return the bytes that a text writes as pairs of hexadecimal digits.

    Parameters
    ----------
    text : str
        Pairs with or without blanks, commas, colons or hyphens between them; lower case and 0x are fine.
    field : str
        What a refusal names.
    counts : collection of int
        How many bytes there may be; empty: any number but none.

    Raises
    ------
    Refused
        If a character is no hexadecimal digit, a digit has no partner, or the number of bytes is another.
    """
    parts = [_without_prefix(part) for part in _BETWEEN.split(text.strip().upper()) if part]
    for part in parts:
        if not _HEX.fullmatch(part):
            raise Refused(field, f"'{part[:20]}' is not made of pairs of hexadecimal digits.", PAIRS)
    found = bytes.fromhex("".join(parts))
    if not found or (counts and len(found) not in counts):
        many = " or ".join(str(count) for count in sorted(counts)) or "one or more"
        raise Refused(
            field, f"{count_text(len(found), 'byte')} cannot be used here.", f"{many} bytes: {PAIRS}"
        )
    return found


def shown(data: bytes) -> str:
    """Return bytes as they are written: upper-case pairs with a blank between them."""
    return data.hex(" ").upper()


def _without_prefix(part: str) -> str:
    return part.removeprefix("0X")
