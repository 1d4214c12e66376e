"""Has something changed? The share by month of hand-over, and a running sum that calls early."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache
from itertools import accumulate
from typing import Any

from django.db.models import Count, Q

from diagnostics.audit import policy
from diagnostics.audit.by_month import Handed, Trend, label_of, trend
from diagnostics.audit.curve import cohort_counts, window_days
from diagnostics.audit.scope import Scope
from diagnostics.statistics.charts import bernoulli_cusum, run_length, threshold_for
from diagnostics.statistics.survival import DayCount

PATH_KEPT = 3000  # Jobs whose steps are kept to be drawn; the sum itself runs over all.


@dataclass(frozen=True, slots=True)
class Watch:
    """A running sum over jobs in order of hand-over, each fed when its window has run.

    jobs, came_back : over which it ran.
    path : the sum after each of the last jobs; `first` is the number of the first of them, from 1.
    labels : numbers of jobs from 1, and the month that begins with them.
    signal, signal_on : the job at which it first called and its day of hand-over; None if it never did.
    above_since : the day of hand-over of the job since which it has stood above; None where it does not.
    false_alarm_every, found_after : jobs on average until it calls, at the base and at the odds looked for.
    """

    jobs: int
    came_back: int
    path: tuple[float, ...]
    first: int
    labels: tuple[tuple[int, str], ...]
    now: float
    highest: float
    threshold: float
    signal: int | None
    signal_on: date | None
    above_since: date | None
    base: float
    odds_ratio: float
    w_event: float
    w_no_event: float
    false_alarm_every: float
    found_after: float

    def as_json(self, tail: int = 100) -> dict[str, Any]:
        """Return the sum as plain values, with its last `tail` steps."""
        return {
            "jobs": self.jobs,
            "came_back": self.came_back,
            "path": [round(value, 6) for value in self.path[-tail:]] if tail else [],
            "now": self.now,
            "threshold": self.threshold,
            "signal": self.signal,
            "signal_on": self.signal_on.isoformat() if self.signal_on else None,
            "above_since": self.above_since.isoformat() if self.above_since else None,
            "false_alarm_every": self.false_alarm_every,
            "found_after": self.found_after,
            "base": self.base,
            "odds_ratio": self.odds_ratio,
            "w_event": self.w_event,
            "w_no_event": self.w_no_event,
        }


def p_chart_of(scope: Scope) -> Trend:
    """Return the share by month of hand-over, or by quarter. Three queries, whose rows are days, not jobs.

    A month is mature once the window of every job of it has run; only the others need a curve.
    """
    months: dict[date, list[int]] = {}
    days = scope.jobs().order_by("returned_on").values_list("returned_on")
    is_ripe = Q(mature_on__lte=scope.as_of)
    for day, *found in days.annotate(
        n=Count("pk"), young=Count("pk", filter=~is_ripe), back=Count("event", filter=is_ripe)
    ):
        month = months.setdefault(day.replace(day=1), [0, 0, 0])
        for place, number in enumerate(found):
            month[place] += number
    young = [first for first, (_, still, _) in months.items() if still]
    curves = cohort_counts(_from(scope, young[0])) if young else {}
    last = window_days(scope)
    handed = [
        Handed(first, curves[first] if still else _ended(n, back, last), still)
        for first, (n, still, back) in months.items()
    ]
    return trend(handed, last)


def _from(scope: Scope, first: date) -> Scope:
    return replace(scope, since=max(scope.since, first) if scope.since else first)


def _ended(jobs: int, back: int, last: int) -> tuple[DayCount, ...]:
    """The counts of a mature month; on which day its jobs came back no longer matters."""
    return (DayCount(last, back, jobs - back),)


def cusum_of(
    scope: Scope,
    *,
    base: float = policy.CUSUM_BASE,
    odds_ratio: float = policy.CUSUM_ODDS_RATIO,
    threshold: float = policy.CUSUM_THRESHOLD,
    false_alarm_every: float | None = None,
) -> Watch:
    """Return the running sum over the jobs of a scope whose window has run. One query, a row a day.

    A job is fed when its window has run, whether it came back or not: feeding a return at once and a clean
    job a window later would lean upwards (statistics.md section 3.9). The risk is the same for every job; the
    mix of jobs is not allowed for. Within a day the jobs that came back are fed last, since nothing tells
    their order. The sum does not begin again after a call.

    Parameters
    ----------
    base, odds_ratio : float
        The share expected, and the change of its odds that is looked for.
    threshold : float
        Where it calls.
    false_alarm_every : float or None
        Jobs on average between false calls; chooses the threshold instead.

    References
    ----------
    .. [1] S. H. Steiner et al., Biostatistics 1 (2000) 441-452. From memory.
    .. [2] practice.md section 8, trend.
    """
    if false_alarm_every is not None:
        threshold = _threshold(base, odds_ratio, false_alarm_every)
    days = list(
        scope.ripe()
        .order_by("returned_on")
        .values_list("returned_on")
        .annotate(clean=Count("pk", filter=Q(event__isnull=True)), back=Count("event"))
    )
    outcomes = [outcome for _, clean, back in days for outcome in (*[False] * clean, *[True] * back)]
    found = bernoulli_cusum(outcomes, base, odds_ratio, threshold)
    upto = list(accumulate(clean + back for _, clean, back in days))
    above = _above_from(found.path, threshold)
    return Watch(
        jobs=len(outcomes),
        came_back=sum(outcomes),
        path=tuple(found.path[-PATH_KEPT:]),
        first=max(1, len(outcomes) - PATH_KEPT + 1),
        labels=_months(days, upto),
        now=found.path[-1] if outcomes else 0.0,
        highest=max(found.path, default=0.0),
        threshold=threshold,
        signal=found.first_signal,
        signal_on=_day_of(found.first_signal, days, upto),
        above_since=_day_of(above, days, upto),
        base=base,
        odds_ratio=odds_ratio,
        w_event=found.w_event,
        w_no_event=found.w_no_event,
        false_alarm_every=_jobs_until(base, odds_ratio, threshold, base),
        found_after=_jobs_until(base, odds_ratio, threshold, _at_odds(base, odds_ratio)),
    )


def _above_from(path: Sequence[float], threshold: float) -> int | None:
    """The job from which on the sum has stood above the threshold to the last; None where it does not."""
    above = None
    for job in range(len(path), 0, -1):
        if path[job - 1] < threshold:
            break
        above = job
    return above


def _day_of(job: int | None, days: Sequence[tuple[date, int, int]], upto: Sequence[int]) -> date | None:
    return None if job is None else days[bisect_left(upto, job)][0]


def _months(days: Sequence[tuple[date, int, int]], upto: Sequence[int]) -> tuple[tuple[int, str], ...]:
    """The first job of each month and its name."""
    firsts: dict[str, int] = {}
    for (day, clean, back), last in zip(days, upto, strict=True):
        firsts.setdefault(label_of(day, "month"), last - clean - back + 1)
    return tuple((job, label) for label, job in firsts.items())


def _at_odds(base: float, odds_ratio: float) -> float:
    return odds_ratio * base / (1 - base + odds_ratio * base)


@lru_cache(maxsize=64)
def _jobs_until(base: float, odds_ratio: float, threshold: float, share: float) -> float:
    return run_length(base, odds_ratio, threshold, share)


@lru_cache(maxsize=64)
def _threshold(base: float, odds_ratio: float, false_alarm_every: float) -> float:
    return threshold_for(base, odds_ratio, false_alarm_every)
