"""The comeback curve: time to an event when many are still being watched. Days are whole in
the shop, but any time will do.

Two counts a day are all that is needed, so a table of any size is counted in the database and the curve is
a short sum.

References
----------
.. [1] E. L. Kaplan, P. Meier, J. Amer. Statist. Assoc. 53 (1958) 457-481. From memory.
.. [2] J. P. Klein, M. L. Moeschberger, Survival Analysis, 2nd ed., Springer, 2003, sections 4.2 to 4.4
   (Greenwood, Nelson-Aalen, log-log interval), 4.7 (competing ends), 7.3 (log-rank). From memory.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from diagnostics.statistics.quantiles import two_sided


class DayCount(NamedTuple):
    """What ended on one day: events, jobs no longer watched, vehicles known gone (a competing end)."""

    day: float
    events: int
    leavers: int = 0
    departures: int = 0


@dataclass(frozen=True, slots=True)
class Point:
    """The curve on one day: share with the event by then, its interval, and how many were watched until then.

    Shares from 0 to 1. `at_risk` counts those without an event and still watched when the day begins.
    """

    day: float
    value: float
    low: float
    high: float
    at_risk: int


@dataclass(frozen=True, slots=True)
class Step:
    """One event day: survival after it, Greenwood's sum, the cumulative hazard and its variance."""

    day: float
    survival: float
    greenwood: float
    hazard: float
    hazard_variance: float


@dataclass(frozen=True)
class Curve:
    """A Kaplan-Meier curve, turned over: it rises from 0.

    Ties: what happens on a day comes before those who leave on it. The interval is the log-log one, which
    holds best where survival is near 1 [2]; before the first event it is the exact bound of none in n.
    """

    steps: tuple[Step, ...]
    counts: tuple[DayCount, ...]
    conf: float

    @cached_property
    def total(self) -> int:
        """How many were watched at all."""
        return self._left_from[0] if self.counts else 0

    @cached_property
    def points(self) -> tuple[Point, ...]:
        """The curve at each day with an event."""
        return tuple(self.at(step.day) for step in self.steps)

    def at(self, day: float) -> Point:
        """Return the curve on a day: the value holds from the last event day on."""
        step = self.step_at(day)
        at_risk = self.at_risk(day)
        if step is None:
            return Point(day, 0.0, 0.0, self._none_in(max(at_risk, 1)), at_risk)
        low, high = loglog_interval(step, self.conf)
        return Point(day, 1 - step.survival, 1 - high, 1 - low, at_risk)

    def at_risk(self, day: float) -> int:
        """Return how many were still watched without an event when the day began."""
        place = bisect_left(self._days, day)
        return self._left_from[place] if place < len(self._left_from) else 0

    def step_at(self, day: float) -> Step | None:
        """Return the last step on or before a day."""
        place = bisect_right([step.day for step in self.steps], day)
        return self.steps[place - 1] if place else None

    @cached_property
    def _days(self) -> list[float]:
        return [count.day for count in self.counts]

    @cached_property
    def _left_from(self) -> list[int]:
        """Return how many are watched at the beginning of each day of `counts`."""
        left, found = 0, []
        for count in reversed(self.counts):
            left += count.events + count.leavers + count.departures
            found.append(left)
        return found[::-1]

    def _none_in(self, n: int) -> float:
        return float(-math.expm1(math.log(1 - self.conf) / n))


def kaplan_meier(counts: Iterable[DayCount], conf: float = 0.95) -> Curve:
    """Return the curve of the event; departures leave as others do. The order of `counts` is free.

    Parameters
    ----------
    counts : iterable of DayCount
        Days from 0 on; a day may stand several times.
    conf : float
        Of the interval.
    """
    days = merged(counts)
    left = sum(count.events + count.leavers + count.departures for count in days)
    survival, greenwood, hazard, hazard_variance = 1.0, 0.0, 0.0, 0.0
    steps: list[Step] = []
    for count in days:
        if count.events:
            died, n = count.events, left
            survival *= (n - died) / n
            greenwood += died / (n * (n - died)) if died < n else math.inf
            hazard += died / n
            hazard_variance += died / n**2
            steps.append(Step(count.day, survival, greenwood, hazard, hazard_variance))
        left -= count.events + count.leavers + count.departures
    return Curve(tuple(steps), days, conf)


def loglog_interval(step: Step, conf: float) -> tuple[float, float]:
    """Return the log-log interval of survival after a step; the step's own value where survival is 0."""
    if step.survival <= 0.0:
        return 0.0, 0.0
    log_s = math.log(step.survival)
    spread = _z(conf) * math.sqrt(step.greenwood) / log_s
    return step.survival ** math.exp(-spread), step.survival ** math.exp(spread)


def log_interval(step: Step, conf: float) -> tuple[float, float]:
    """Return the log interval of survival, its upper end at most 1."""
    if step.survival <= 0.0:
        return 0.0, 0.0
    spread = _z(conf) * math.sqrt(step.greenwood)
    return step.survival * math.exp(-spread), min(1.0, step.survival * math.exp(spread))


def plain_interval(step: Step, conf: float) -> tuple[float, float]:
    """Return the plain interval of survival, which may leave 0 to 1."""
    error = standard_error(step)
    return step.survival - _z(conf) * error, step.survival + _z(conf) * error


def standard_error(step: Step) -> float:
    """Return Greenwood's standard error of survival; 0 where survival is 0."""
    return step.survival * math.sqrt(step.greenwood) if step.survival > 0.0 else 0.0


@dataclass(frozen=True, slots=True)
class EndPoint:
    """Competing ends by one day, as shares of all: the event, gone, neither; the variance of the event."""

    day: float
    event: float
    gone: float
    neither: float
    variance: float


def aalen_johansen(counts: Iterable[DayCount]) -> tuple[EndPoint, ...]:
    """Return the cumulative incidence of the event when departures compete with it.

    At each day with an event or a departure. The three shares of a point sum to 1. The variance is that of
    Aalen for independent causes, as printed by standard packages [2].
    """
    days = merged(counts)
    left = sum(count.events + count.leavers + count.departures for count in days)
    neither, event, gone = 1.0, 0.0, 0.0
    done: list[
        tuple[float, int, int, int, float]
    ] = []  # event before it, n, all ends, events, neither before
    found: list[EndPoint] = []
    for count in days:
        ends = count.events + count.departures
        if ends:
            before = neither
            event += before * count.events / left
            gone += before * count.departures / left
            neither *= (left - ends) / left
            done.append((event, left, ends, count.events, before))
            found.append(EndPoint(count.day, event, gone, neither, _variance(done, event)))
        left -= ends + count.leavers
    return tuple(found)


def _variance(done: Sequence[tuple[float, int, int, int, float]], now: float) -> float:
    first = second = third = 0.0
    for reached, n, ends, events, before in done:
        rest = now - reached
        if ends < n:
            first += rest**2 * ends / (n * (n - ends))
        second += before**2 * events * (n - events) / n**3
        third += rest * before * events / n**2
    return first + second - 2 * third


class LogRank(NamedTuple):
    """Chi-square with one degree of freedom and its p; None where the groups cannot be compared."""

    chi2: float | None
    p: float | None
    observed: int
    expected: float


def logrank(strata: Sequence[tuple[Sequence[DayCount], Sequence[DayCount]]]) -> LogRank:
    """Return the log-rank test of two groups, each stratum on its own, sums taken over strata.

    Parameters
    ----------
    strata : sequence of (first group, second group)
        One pair for a test without strata. Departures leave as others do.
    """
    observed, expected, variance = 0, 0.0, 0.0
    for first, second in strata:
        of_one, of_both = merged(first), merged([*first, *second])
        left_one = sum(c.events + c.leavers + c.departures for c in of_one)
        left = sum(c.events + c.leavers + c.departures for c in of_both)
        own = {count.day: count for count in of_one}
        for count in of_both:
            mine = own.get(count.day, DayCount(count.day, 0))
            if count.events:
                observed += mine.events
                expected += left_one * count.events / left
                if left > 1:
                    share = left_one / left * (1 - left_one / left)
                    variance += share * count.events * (left - count.events) / (left - 1)
            left_one -= mine.events + mine.leavers + mine.departures
            left -= count.events + count.leavers + count.departures
    if variance <= 0.0:
        return LogRank(None, None, observed, expected)
    chi2 = (observed - expected) ** 2 / variance
    return LogRank(chi2, math.erfc(math.sqrt(chi2 / 2)), observed, expected)


def merged(counts: Iterable[DayCount]) -> tuple[DayCount, ...]:
    """Return the counts by day, each day once.

    Raises
    ------
    ValueError
        If a day or a count is below 0.
    """
    days: dict[float, list[int]] = {}
    for count in counts:
        if min(count) < 0:
            raise ValueError(f"{count} has a number below 0.")
        held = days.setdefault(count.day, [0, 0, 0])
        for place, number in enumerate(count[1:]):
            held[place] += number
    return tuple(DayCount(day, *days[day]) for day in sorted(days))


def _z(conf: float) -> float:
    return two_sided(conf)
