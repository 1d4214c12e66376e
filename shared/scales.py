"""Where a value, its limits and an interval stand on a drawn scale.

All positions are per cent of the drawing's width, 0 at the left. Drawings keep to scale: a value so far
out that its limits would shrink to a speck stands behind a break in the line instead.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import ceil, floor, log10

Number = Decimal | int | float

TWO_SIDED_MARGIN = 0.5  # of the stretch between two limits, left free at both ends
ONE_SIDED_MARGIN = 1.25  # of the stretch from a single limit to the value, shown on each side of it
LEAST_HALF = 0.02  # of a single limit: the least that is shown on each side of it
LEAST_BAND_PERCENT = 12.0  # a hatched span narrower than this is not seen as a span
BREAK_PERCENT = 88.0  # where the line is broken
BEYOND_PERCENT = 96.0  # where a value stands that lies past the break
VERDICTS = ("below", "within", "above", "none")


@dataclass(frozen=True, slots=True)
class Strip:
    """One value on its scale.

    at, before : position of the value, and of the value before the repair; None where there is none. [%]
    band_at, band_width : the hatched span where the value should be; width 0 where no limit is given. [%]
    break_at : position of a break in the line, None where the scale is whole. [%]
    start, end : the values at both ends of the whole part of the scale, in the unit of the value.
    """

    at: float | None
    before: float | None
    band_at: float
    band_width: float
    break_at: float | None
    start: float
    end: float


def place(value: Number | None, lo: Number | None, hi: Number | None) -> str:
    """Return 'below', 'within' or 'above' the limits (both included), or 'none' where nothing can be said.

    All three in one unit. This says where the mark stands; which verdict a test has is judged elsewhere.
    """
    if value is None or (lo is None and hi is None):
        return "none"
    if lo is not None and value < lo:
        return "below"
    if hi is not None and value > hi:
        return "above"
    return "within"


def strip(
    value: Number | None, lo: Number | None, hi: Number | None, before: Number | None = None
) -> Strip | None:
    """Return where a value and its limits stand, or None where there is nothing to draw.

    Parameters
    ----------
    value, before : number or None
        The reading, and the same reading before the repair. One unit for all four.
    lo, hi : number or None
        Limits, both included; None where there is none.

    Returns
    -------
    Strip or None
        None if there is no limit, or neither value nor before.
    """
    marks = [float(mark) for mark in (value, before) if mark is not None]
    if not marks or (lo is None and hi is None):
        return None
    low = float(lo) if lo is not None else None
    high = float(hi) if hi is not None else None
    start, end = _window(marks, low, high)
    band_from = start if low is None else max(low, start)
    band_to = end if high is None else min(high, end)
    share = (band_to - band_from) / (end - start) * 100
    break_at = None
    if share < LEAST_BAND_PERCENT and low != high:
        start, end, break_at = _broken(band_from, band_to, marks, low, high)
        band_from = start if low is None else low
        band_to = end if high is None else high

    def position(mark: float) -> float:
        if break_at is not None and mark > end:
            return BEYOND_PERCENT
        if break_at is not None and mark < start:
            return 100 - BEYOND_PERCENT
        return _position(mark, start, end, break_at)

    band_at = _position(band_from, start, end, break_at)
    return Strip(
        at=None if value is None else position(float(value)),
        before=None if before is None else position(float(before)),
        band_at=band_at,
        band_width=round(_position(band_to, start, end, break_at) - band_at, 2),
        break_at=break_at,
        start=start,
        end=end,
    )


@dataclass(frozen=True, slots=True)
class Tick:
    """One mark of a scale: its position [%], its value, and which way its label hangs."""

    at: float
    value: float
    label: str
    anchor: str  # start, middle, end


def ticks(most: float, about: int = 4) -> tuple[Tick, ...]:
    """Return marks from 0 to the next round number at or above `most`, in steps of 1, 2, 2.5 or 5.

    Parameters
    ----------
    most : float
        Largest value that must fit; above 0.
    about : int
        Roughly how many steps; the result has about / 2 to 2 * about.

    Raises
    ------
    ValueError
        If `most` is not above 0.
    """
    if most <= 0:
        raise ValueError(f"A scale to {most} has no length. Give a number above 0.")
    raw = most / about
    power = 10.0 ** floor(log10(raw))
    step = next(power * nice for nice in (1, 2, 2.5, 5, 10) if power * nice >= raw * (1 - 1e-9))
    count = ceil(most / step - 1e-9)
    return tuple(
        Tick(
            at=round(100 * i / count, 2),
            value=step * i,
            label=f"{step * i:.10g}",
            anchor="start" if i == 0 else "end" if i == count else "middle",
        )
        for i in range(count + 1)
    )


def positions(values: Sequence[float], most: float) -> tuple[float, ...]:
    """Return each value's position on a scale from 0 to `most`, held inside 0 to 100. [%]"""
    return tuple(round(min(100.0, max(0.0, 100 * value / most)), 2) for value in values)


def _window(marks: Sequence[float], low: float | None, high: float | None) -> tuple[float, float]:
    """The ends of the scale: limits around its middle, and zero at the left where it can be."""
    if low is not None and high is not None:
        margin = TWO_SIDED_MARGIN * ((high - low) or abs(high) or 1.0)
        return min(low, *marks) - margin, max(high, *marks) + margin
    limit = high if low is None else low
    assert limit is not None
    farthest = max(abs(mark - limit) for mark in marks)
    half = max(ONE_SIDED_MARGIN * farthest, LEAST_HALF * abs(limit)) or 1.0
    if low is None and limit > 0 and min(marks) >= 0:
        return 0.0, max(2 * limit, limit + half)
    return limit - half, limit + half


def _broken(
    band_from: float, band_to: float, marks: Sequence[float], low: float | None, high: float | None
) -> tuple[float, float, float]:
    """A scale around the limits only, and the side on which its line is broken."""
    width = band_to - band_from
    beyond_right = max(marks) > band_to
    if low is None:
        return (0.0 if band_from >= 0 else band_from), band_to + 3 * width, BREAK_PERCENT
    if high is None:
        return band_from - 3 * width, band_to, 100 - BREAK_PERCENT
    start, end = band_from - 1.5 * width, band_to + 1.5 * width
    return start, end, BREAK_PERCENT if beyond_right else 100 - BREAK_PERCENT


def _position(mark: float, start: float, end: float, break_at: float | None) -> float:
    first, last = 0.0, 100.0
    if break_at is not None and break_at > 50:
        last = break_at
    elif break_at is not None:
        first = break_at
    return round(first + (last - first) * (mark - start) / (end - start), 2)
