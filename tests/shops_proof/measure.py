"""How often the intervals of the audit hold the truth of the simulated shops."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from diagnostics.audit.mix import Cell, expected
from diagnostics.statistics.funnel import binomial_limits, poisson_limits
from diagnostics.statistics.planning import before_after, jobs_a_side
from diagnostics.statistics.proportions import proportion
from diagnostics.statistics.ratios import risk_ratio
from diagnostics.statistics.strata import Stratum, mh_ratio
from diagnostics.statistics.survival import DayCount, kaplan_meier
from tests.shops_proof.shops import HARD_SHARE, WINDOW, Shops


@dataclass(frozen=True)
class Held:
    """Of how many shops an interval was made, in how many it held the truth; the mean of the estimates."""

    name: str
    truth: float
    mean: float
    shops: int
    held: int

    @property
    def coverage(self) -> float:
        return self.held / self.shops


def rate(shops: Shops) -> Held:
    """Comebacks of ripe jobs, with the Wilson interval."""
    ripe = shops.ripe
    counts = (shops.came_back & ripe).sum(axis=1)
    found = [proportion(int(x), int(n)) for x, n in zip(counts, ripe.sum(axis=1), strict=True)]
    return _held("rate of ripe jobs", shops.rate, [(one.share, one.low, one.high) for one in found])


def naive(shops: Shops) -> Held:
    """Comebacks so far over all jobs handed back: what a simple report would say."""
    counts = shops.came_back.sum(axis=1)
    jobs = shops.day.shape[1]
    found = [proportion(int(x), jobs) for x in counts]
    return _held("naive: all jobs", shops.rate, [(one.share, one.low, one.high) for one in found])


def curve(shops: Shops) -> Held:
    """The Kaplan-Meier curve at the window's end, with the log-log interval."""
    points = (kaplan_meier(counts).at(WINDOW) for counts in _day_counts(shops))
    return _held(
        "curve at 90 days", shops.curve_at_window, [(one.value, one.low, one.high) for one in points]
    )


def curve_unseen(shops: Shops) -> Held:
    """The same curve where nobody wrote down which vehicles had left: they seem to be still driving."""
    points = (kaplan_meier(counts).at(WINDOW) for counts in _day_counts(shops, sees_leaving=False))
    return _held(
        "curve, leaving unseen", shops.curve_at_window, [(one.value, one.low, one.high) for one in points]
    )


def stratified(shops: Shops) -> Held:
    """The Mantel-Haenszel risk ratio of ripe jobs that skipped the step, within system and difficulty."""
    found = [mh_ratio(strata) for strata in _strata(shops)]
    return _held("risk ratio, in strata", shops.risk_ratio, [(one.value, one.low, one.high) for one in found])


def crude(shops: Shops) -> Held:
    """The same ratio with all jobs together: hard jobs are where the step gets skipped."""
    tables = [np.array(strata).sum(axis=0) for strata in _strata(shops)]
    found = [risk_ratio(*(int(number) for number in table)) for table in tables]
    return _held("crude risk ratio", shops.risk_ratio, [(one.value, one.low, one.high) for one in found])


@dataclass(frozen=True)
class Blamed:
    """Of equally good technicians, the share beyond 95 % limits: by their rate, by what their jobs expect."""

    crude: float
    by_mix: float


def blamed(shops: Shops, alpha: float = 0.05) -> Blamed:
    """Return how many are set apart, with the limits and the expected counts of the audit."""
    crude, by_mix = [], []
    for cells in _cells(shops):
        jobs, back = Counter[str](), Counter[str]()
        for cell in cells:
            jobs[cell.unit] += cell.jobs
            back[cell.unit] += cell.back
        share = back.total() / jobs.total()
        for unit, found in expected(cells).items():
            crude.append(_is_beyond(back[unit] / jobs[unit], binomial_limits(share, jobs[unit], alpha)))
            if found.value:
                by_mix.append(_is_beyond(back[unit] / found.value, poisson_limits(found.value, alpha)))
    return Blamed(float(np.mean(crude)), float(np.mean(by_mix)))


def called_helpful(
    seed: int,
    shops: int,
    *,
    share: float,
    hoped: tuple[float, float],
    months: int = 24,
    after_at_least: float = 0.0,
) -> float:
    """Return the share of changes that did nothing which are ever called helpful, looked at every month.

    `after_at_least`: the change is made only after a stretch with this share of comebacks, and compared with
    that stretch.
    """
    chance = np.random.default_rng(seed)
    jobs = jobs_a_side(*hoped)
    a_month = max(1, jobs // 12)
    called = 0
    for _ in range(shops):
        x = int(chance.binomial(jobs, share))
        while x < after_at_least * jobs:
            x = int(chance.binomial(jobs, share))
        before = (x, jobs)
        after = chance.binomial(a_month, share, size=months).cumsum()
        called += any(
            before_after(before, (int(x), a_month * month), hoped=hoped).verdict == "helped"
            for month, x in enumerate(after, 1)
        )
    return called / shops


def _held(name: str, truth: float, found: list[tuple[float | None, float | None, float | None]]) -> Held:
    known = [(value, low, high) for value, low, high in found if value is not None and low is not None]
    held = sum(low <= truth and (high is None or truth <= high) for _, low, high in known)
    mean = float(np.mean([value for value, _, _ in known]))
    return Held(name, truth, mean, len(known), held)


def _is_beyond(value: float, limits: tuple[float, float]) -> bool:
    return not limits[0] <= value <= limits[1]


def _cells(shops: Shops) -> Iterator[list[Cell]]:
    """Ripe jobs of each shop and those that came back, by technician, system and difficulty."""
    strata = int(shops.stratum.max()) + 1
    cell = shops.technician * strata + shops.stratum
    for place in range(cell.shape[0]):
        ripe, back = shops.ripe[place], shops.came_back[place]
        jobs, returned = (np.bincount(cell[place][which], minlength=strata) for which in (ripe, ripe & back))
        yield [
            Cell(
                str(at // strata),
                divmod(at % strata, len(HARD_SHARE)),
                int(n),
                int(returned[at : at + 1].sum()),
            )
            for at, n in enumerate(jobs)
            if n
        ]


def _day_counts(shops: Shops, *, sees_leaving: bool = True) -> Iterator[list[DayCount]]:
    back = shops.came_back
    gone = ~back & (shops.gone < shops.day) & sees_leaving
    left = np.where(back, shops.back, np.where(gone, shops.gone, shops.day))
    left = np.minimum(left, WINDOW + 1)  # What is later does not move the curve at the window's end.
    for place in range(left.shape[0]):
        last = int(left[place].max()) + 1
        events, departures, leavers = (
            np.bincount(left[place][which[place]], minlength=last) for which in (back, gone, ~back & ~gone)
        )
        yield [
            DayCount(day, int(events[day]), int(leavers[day]), int(departures[day])) for day in range(last)
        ]


def _strata(shops: Shops) -> Iterator[list[Stratum]]:
    number = int(shops.stratum.max()) + 1
    ripe, back = shops.ripe, shops.came_back
    for place in range(shops.day.shape[0]):
        counts = [
            np.bincount(shops.stratum[place][which[place] & ripe[place]], minlength=number)
            for which in (shops.skipped & back, shops.skipped, ~shops.skipped & back, ~shops.skipped)
        ]
        yield [Stratum(*(int(count[stratum]) for count in counts)) for stratum in range(number)]
