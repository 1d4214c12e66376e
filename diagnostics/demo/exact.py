"""Numbers and limits as written."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal


def number(written: str | None) -> int | Decimal | None:
    """Return a number exactly as written: an int without a point, else a Decimal."""
    if written is None:
        return None
    return Decimal(written) if "." in written else int(written)


@dataclass(frozen=True, slots=True)
class Limits:
    """Lower and upper limit of a reading, in its unit; either may be missing."""

    lo: Decimal | None = None
    hi: Decimal | None = None


NO_LIMITS = Limits()


def limits(lo: str | None = None, hi: str | None = None) -> Limits:
    """Return limits from their text, so that 13.20 keeps its last digit."""
    return Limits(None if lo is None else Decimal(lo), None if hi is None else Decimal(hi))
