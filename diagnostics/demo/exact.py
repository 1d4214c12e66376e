"""Numbers as written."""

from __future__ import annotations

from decimal import Decimal


def number(written: str | None) -> int | Decimal | None:
    """Return a number exactly as written: an int without a point, else a Decimal."""
    if written is None:
        return None
    return Decimal(written) if "." in written else int(written)
