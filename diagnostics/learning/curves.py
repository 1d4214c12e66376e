"""Whether comebacks come sooner or later on one side of a change: the two curves compared."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from django.db.models import Max, Q

from diagnostics.learning.counting import Asked, jobs_of, sides
from diagnostics.learning.policy import CURVES_FEWEST_EVENTS
from diagnostics.statistics.survival import DayCount, LogRank, logrank
from shop.models import Location


def compared_curves(change: Asked, as_of: date) -> LogRank | None:
    """Return the log-rank test of after against before; None with fewer than 10 comebacks on a side."""
    if change.days is None:
        return None
    window = Location.objects.aggregate(most=Max("window_days"))["most"] or 0
    before, after = (_days(change, side, as_of, window) for side in sides(change))
    if min(_events(before), _events(after)) < CURVES_FEWEST_EVENTS:
        return None
    return logrank([(after, before)])


def _days(change: Asked, side: Q, as_of: date, window: int) -> list[DayCount]:
    """One count a job: the day it came back, or how long it was watched, at most its window."""
    rows = jobs_of(change).filter(side).values_list("returned_on", "back_days")
    return [_day(min((as_of - returned_on).days, window), back) for returned_on, back in rows]


def _day(watched: int, back: int | None) -> DayCount:
    return DayCount(back, 1) if back is not None and back <= watched else DayCount(watched, 0, leavers=1)


def _events(days: Iterable[DayCount]) -> int:
    return sum(day.events for day in days)
