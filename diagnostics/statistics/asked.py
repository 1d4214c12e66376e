"""What the named computations of statistics ask for, and how they refuse counts that cannot be."""

from __future__ import annotations

from typing import Any

from shared.computing import Given, Refused

MOST_COUNT = 1_000_000
LARGEST_SHARE = 0.999999999  # A side of 0 has no quantile.

CONFIDENCE = Given("conf", "The confidence", above=0, high=LARGEST_SHARE, example=0.95)
MAY_CONFIDENCE = Given(
    "conf", "The confidence (0.95)", above=0, high=LARGEST_SHARE, optional=True, example=0.95
)


def counted(key: str, meaning: str, example: int) -> Given:
    """Return a count, 0 or more."""
    return Given(key, meaning, kind="whole", low=0, high=MOST_COUNT, example=example)


def numbered(key: str, meaning: str, example: int) -> Given:
    """Return how many were counted among, 1 or more."""
    return Given(key, meaning, kind="whole", low=1, high=MOST_COUNT, example=example)


TWO_GROUPS = (
    counted("x1", "How many of the first group showed it", 7),
    numbered("n1", "How many the first group has", 34),
    counted("x2", "How many of the second group showed it", 1),
    numbered("n2", "How many the second group has", 34),
)


def check_among(x: int, n: int, key: str = "x") -> None:
    """Refuse a count above its number."""
    if x > n:
        raise Refused(key, f"{x} of {n} cannot be.", f"0 to {n}")


def check_groups(x1: int, n1: int, x2: int, n2: int) -> None:
    """Refuse two counts of which one is above its number."""
    check_among(x1, n1, "x1")
    check_among(x2, n2, "x2")


def two_by_two(table: Any, key: str = "table") -> tuple[tuple[int, int], tuple[int, int]]:
    """Return a table of counts as given in JSON, or refuse it."""
    allowed = f"[[a, b], [c, d]], whole numbers from 0 to {MOST_COUNT}"
    rows = table if isinstance(table, list | tuple) else ()
    if len(rows) != 2 or not all(isinstance(row, list | tuple) and len(row) == 2 for row in rows):
        raise Refused(key, "A table has two rows of two counts.", allowed)
    counts = [_count(cell, key, allowed) for row in rows for cell in row]
    return (counts[0], counts[1]), (counts[2], counts[3])


def _count(cell: Any, key: str, allowed: str) -> int:
    is_number = isinstance(cell, int | float) and not isinstance(cell, bool)
    if not is_number or not 0 <= cell <= MOST_COUNT or cell != int(cell):
        raise Refused(key, f"{cell!r:.40} is not a count.", allowed)
    return int(cell)
