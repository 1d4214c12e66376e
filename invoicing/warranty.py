"""Until which day and which odometer reading a promise holds, and whether a visit is inside it."""

from __future__ import annotations

import math
from calendar import monthrange
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Literal

KM_PER_MILE = Fraction("1.609344")  # Exact: the international mile of 1959. From memory.

EndRule = Literal["anniversary", "day_before"]
State = Literal["covered", "expired", "undetermined"]
Reason = Literal["last_day_passed", "distance_passed", "undetermined_distance", "odometer_conflict"]

REASON_WORDS: dict[Reason, str] = {
    "last_day_passed": "The last covered day has passed.",
    "distance_passed": "The vehicle has gone farther than the distance covered.",
    "undetermined_distance": "No odometer reading was taken, so the distance is not known.",
    "odometer_conflict": "The odometer shows less than before. A person must decide.",
}


@dataclass(frozen=True, slots=True)
class OdometerEvent:
    """The odometer was replaced, repaired or passed its last digit: it showed `old`, then `new`."""

    on: date
    old: Decimal
    new: Decimal
    why: str = ""


@dataclass(frozen=True, slots=True)
class Promise:
    """What was promised: the last covered day, and the distance from the reading at hand-over.

    `allowance` is a whole number of the odometer's unit, None where no distance was set.
    """

    last_day: date
    odometer_out: Decimal | None = None
    allowance: int | None = None
    events: tuple[OdometerEvent, ...] = ()


@dataclass(frozen=True, slots=True)
class Cover:
    """Whether one visit is covered, and every reason why not."""

    state: State
    reasons: tuple[Reason, ...] = ()

    @property
    def words(self) -> str:
        """The reasons in sentences; "Covered." where there are none."""
        return " ".join(REASON_WORDS[reason] for reason in self.reasons) or "Covered."


def last_day(start: date, months: int, *, end_rule: EndRule = "anniversary") -> date:
    """Return the last covered day of a term counted in months.

    Parameters
    ----------
    start : date
        Local date of hand-over; it is not counted.
    months : int
        Added once from the start. Where the day does not exist, the month's last day stands. [month]
    end_rule : {'anniversary', 'day_before'}
        The anniversary itself is inside, or the day before it is the last.

    Returns
    -------
    date
        Inside the term, to its end in local time.

    Raises
    ------
    ValueError
        If `months` is below 1, or the year passes 9999.

    References
    ----------
    paperwork.md section 6, computation 1 and 2, after Regulation (EEC, Euratom) 1182/71 art. 3. From memory.
    """
    if months < 1:
        raise ValueError(f"A warranty of {months} months is none. Give 1 month or more.")
    years, month = divmod(start.year * 12 + start.month - 1 + months, 12)
    if years > date.max.year:
        raise ValueError(f"{months} months from {start} is beyond the calendar. Give a shorter term.")
    end = date(years, month + 1, min(start.day, monthrange(years, month + 1)[1]))
    return end if end_rule == "anniversary" else end - timedelta(days=1)


def allowance_in(distance: int | Decimal, unit: str, odometer_unit: str) -> int:
    """Return a distance in the odometer's unit, rounded up to a whole one. [odometer_unit]

    Parameters
    ----------
    distance : int or Decimal
        What the shop promises, 0 or more. [unit]
    unit, odometer_unit : {'km', 'mi'}

    Raises
    ------
    ValueError
        If a unit is another one, or the distance is negative.

    References
    ----------
    paperwork.md section 6, computation 3: 1 mile is 1.609344 km exactly.
    """
    for name in (unit, odometer_unit):
        if name not in ("km", "mi"):
            raise ValueError(f"'{name}' is no unit of an odometer. Use km or mi.")
    if distance < 0:
        raise ValueError(f"A distance of {distance} {unit} cannot be promised. Give 0 or more.")
    in_km = Fraction(distance) * (KM_PER_MILE if unit == "mi" else 1)
    return math.ceil(in_km / (KM_PER_MILE if odometer_unit == "mi" else 1))


def last_reading(odometer_out: Decimal, allowance: int) -> int:
    """Return the last covered odometer reading, rounded up to a whole one. [unit of the odometer]

    Parameters
    ----------
    odometer_out : Decimal
        Reading at hand-over. [unit of the odometer]
    allowance : int
        From `allowance_in`. [unit of the odometer]

    References
    ----------
    paperwork.md section 6, computation 3. The limit itself is inside.
    """
    return math.ceil(odometer_out + allowance)


def travelled(odometer_out: Decimal, now: Decimal, events: Sequence[OdometerEvent] = ()) -> Decimal:
    """Return the distance driven since hand-over, over every change of the odometer.

    Parameters
    ----------
    odometer_out, now : Decimal
        Readings at hand-over and at this visit. [unit of the odometer]
    events : sequence of OdometerEvent
        Changes between the two, oldest first.

    Returns
    -------
    Decimal
        Sum of (old - base) over the events, and now - last new. Negative where a reading went back
        and no event says why. [unit of the odometer]

    References
    ----------
    paperwork.md section 6, computation 5.
    """
    base, total = odometer_out, Decimal(0)
    for event in events:
        total += event.old - base
        base = event.new
    return total + now - base


def day_that_counts(presented: date, reported: date | None = None) -> date:
    """Return the day on which cover is judged: the day the customer reported it, else the day presented.

    References
    ----------
    paperwork.md section 6, computation 6.
    """
    return presented if reported is None else reported


def cover(promise: Promise, *, on: date, odometer: Decimal | None) -> Cover:
    """Return whether a visit is inside the promise, with every reason against it.

    Parameters
    ----------
    promise : Promise
        The term and the distance.
    on : date
        The day that counts, local.
    odometer : Decimal or None
        Reading at this visit; None where none was taken. [unit of the odometer]

    Returns
    -------
    Cover
        Expired if the day is past the last day or the distance past the allowance. Not expired but
        without a usable reading: undetermined, never refused.

    References
    ----------
    paperwork.md section 6, computation 4.
    """
    reasons: list[Reason] = []
    if on > promise.last_day:
        reasons.append("last_day_passed")
    if promise.allowance is not None:
        reason = _distance_reason(promise, promise.allowance, odometer)
        if reason:
            reasons.append(reason)
    if {"last_day_passed", "distance_passed"} & set(reasons):
        return Cover("expired", tuple(reasons))
    return Cover("undetermined" if reasons else "covered", tuple(reasons))


def _distance_reason(promise: Promise, allowance: int, odometer: Decimal | None) -> Reason | None:
    if odometer is None or promise.odometer_out is None:
        return "undetermined_distance"
    distance = travelled(promise.odometer_out, odometer, promise.events)
    base = promise.events[-1].new if promise.events else promise.odometer_out
    if odometer < base or distance < 0:
        return "odometer_conflict"
    return "distance_passed" if distance > allowance else None
