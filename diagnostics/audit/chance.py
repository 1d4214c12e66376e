"""Where a figure lies between the limits of chance, in one word. No Django."""

from __future__ import annotations

from typing import Literal

Flag = Literal["too few", "within", "outside 95", "outside 99.9"]
Limits = tuple[tuple[float, float], ...]  # Of 95 % and of 99.9 %; nothing where there are too few.


def flag_of(value: float | None, limits: Limits) -> Flag:
    """Return where a value lies; on a limit it lies within."""
    if value is None or not limits:
        return "too few"
    (low, high), (lowest, highest) = limits
    if not lowest <= value <= highest:
        return "outside 99.9"
    return "within" if low <= value <= high else "outside 95"
