"""When they come back: the curve of a scope, in which a young job counts for as long as it was watched."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Count

from diagnostics.audit import policy
from diagnostics.audit.scope import Scope
from diagnostics.statistics.survival import Curve, DayCount, EndPoint, Point, aalen_johansen, kaplan_meier
from shop.models import Location

DAY = timedelta(days=1)
MARKS = (30, 60, 90)
OTHER_WINDOW_DAYS = 90  # Where no shop is on record. practice.md section 9.


@dataclass(frozen=True, slots=True)
class ComebackCurve:
    """The curve from hand-over to the end of the window.

    points : at day 0, every event day, 30, 60, 90 and the window's end, in order.
    drawn_to : the last day with enough jobs still watched to draw; 0 where there is none.
    jobs : handed back in the period; `left` of them are of vehicles known gone.
    competing : the share at the window's end where vehicles that left compete with the return; None where
        none is known to have left.
    """

    window_days: int
    points: tuple[Point, ...]
    drawn_to: int
    jobs: int
    left: int
    competing: EndPoint | None

    def at(self, day: int) -> Point | None:
        """Return the point of a day that is marked."""
        return next((point for point in self.points if point.day == day), None)


def curve(scope: Scope) -> ComebackCurve:
    """Return the curve of a scope. Two queries, whose rows are days, not jobs."""
    counts = day_counts(scope)
    days = window_days(scope)
    jobs = sum(count.events + count.leavers + count.departures for count in counts)
    if not jobs:
        return ComebackCurve(days, (), 0, 0, 0, None)
    found = kaplan_meier(counts)
    left = sum(count.departures for count in counts)
    ends = [end for end in aalen_johansen(counts) if end.day <= days] if left else []
    return ComebackCurve(
        window_days=days,
        points=_points(found, days),
        drawn_to=_drawn_to(found, counts, days),
        jobs=jobs,
        left=left,
        competing=ends[-1] if ends else None,
    )


def cohort_counts(scope: Scope) -> dict[date, tuple[DayCount, ...]]:
    """Return the counts a day of the jobs of each month of hand-over, by the first of the month."""
    months: dict[date, list[DayCount]] = defaultdict(list)
    for returned_on, count in _rows(scope):
        months[returned_on.replace(day=1)].append(count)
    return {month: _together(counts) for month, counts in sorted(months.items())}


def day_counts(scope: Scope) -> tuple[DayCount, ...]:
    """Return what ended on each day after hand-over, as it was known on the day of the count."""
    return _together(count for _, count in _rows(scope))


def window_days(scope: Scope) -> int:
    """Return the longest window of the shops asked about."""
    shops = Location.objects.filter(code=scope.location) if scope.location else Location.objects.all()
    return max(shops.values_list("window_days", flat=True), default=OTHER_WINDOW_DAYS)


def _rows(scope: Scope) -> Iterable[tuple[date, DayCount]]:
    """Yield what ended, by the day of hand-over; the database groups, so a row is many jobs.

    A job is watched to the end of its own shop's window: later nothing could count. A vehicle that came back
    had not left, whatever the record says of it, so that the curve ends where the rate does.
    """
    ends = ("returned_on", "mature_on", "event", "left_on")
    groups = scope.jobs().values_list(*ends).annotate(n=Count("pk"))
    for returned_on, mature_on, event, left_on, n in groups.iterator():
        watched = (min(scope.as_of, mature_on - DAY) - returned_on).days
        gone = (left_on - returned_on).days if left_on else None
        if event is not None and event <= watched:
            yield returned_on, DayCount(event, n)
        elif gone is not None and gone <= watched:
            yield returned_on, DayCount(gone, 0, 0, n)
        else:
            yield returned_on, DayCount(watched, 0, n)


def _together(counts: Iterable[DayCount]) -> tuple[DayCount, ...]:
    events: Counter[int] = Counter()
    leavers: Counter[int] = Counter()
    departures: Counter[int] = Counter()
    for count in counts:
        events[count.day] += count.events
        leavers[count.day] += count.leavers
        departures[count.day] += count.departures
    days = sorted(events.keys() | leavers.keys() | departures.keys())
    return tuple(DayCount(day, events[day], leavers[day], departures[day]) for day in days)


def _points(found: Curve, days: int) -> tuple[Point, ...]:
    marked = {0, days, *(mark for mark in MARKS if mark <= days)}
    marked |= {step.day for step in found.steps if step.day <= days}
    return tuple(found.at(day) for day in sorted(marked))


def _drawn_to(found: Curve, counts: tuple[DayCount, ...], days: int) -> int:
    """Return the last day to draw to: 10 jobs, and a tenth of all, are still watched then."""
    least = max(policy.FEWEST_AT_RISK, found.total / 10)
    watched = [day for day in (*(count.day for count in counts), days) if day <= days]
    return max((day for day in watched if found.at_risk(day) >= least), default=0)
