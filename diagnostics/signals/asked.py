"""What a drawing asks for: a stretch of time and a number of columns, looked at before anything is opened."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass

MOST_COLUMNS = 4096
FARTHEST = 1e12  # Seconds.
# Python's own float() takes underscores, digits of other scripts, "nan" and "inf".
_NUMBER = re.compile(r"-?\d{1,20}(\.\d{1,20})?([eE][+-]?\d{1,3})?", re.ASCII)


@dataclass(frozen=True, slots=True)
class Asked:
    """A stretch in seconds, its end not included, and how many columns it fills."""

    since: float
    until: float
    width: int


def ask_window(query: Mapping[str, str]) -> Asked | str:
    """Return what is asked for, or what is wrong with it in words."""
    since, until = _seconds(query.get("from", "")), _seconds(query.get("to", ""))
    if since is None or until is None:
        return "from and to are seconds, such as 0.0125."
    if until <= since:
        return "The window is empty: to must be greater than from."
    width = query.get("width", "")
    if not (width.isascii() and width.isdigit() and 1 <= int(width[:6]) <= MOST_COLUMNS):
        return f"width is a whole number of columns, 1 to {MOST_COLUMNS}."
    return Asked(since, until, int(width))


def _seconds(text: str) -> float | None:
    value = float(text) if _NUMBER.fullmatch(text) else math.nan
    return value if abs(value) <= FARTHEST else None
