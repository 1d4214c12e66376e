"""The share that came back by month of hand-over, with limits of chance. Pure.

References
----------
.. [1] statistics.md section 3.9.
.. [2] D. B. Laney, Quality Engineering 14 (2002) 531-537, wider limits where months differ by more than
   chance. From memory.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from statistics import median

from diagnostics.audit import policy
from diagnostics.statistics.charts import PChart, p_chart
from diagnostics.statistics.survival import DayCount, kaplan_meier

LANEY = "Laney limits"
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@dataclass(frozen=True, slots=True)
class Handed:
    """The jobs handed back in one month: what ended by day after hand-over; how many windows still run."""

    first: date
    counts: tuple[DayCount, ...]
    young: int

    @property
    def of(self) -> int:
        return sum(one.events + one.leavers + one.departures for one in self.counts)

    @property
    def count(self) -> int:
        return sum(one.events for one in self.counts)


@dataclass(frozen=True, slots=True)
class Period:
    """A month or a quarter of hand-overs. Shares from 0 to 1.

    count, of : came back so far, of all jobs handed back in it.
    estimate : of a period still maturing: the share by the end of the window, by the curve of its own jobs.
    low, high : limits of chance; None on a maturing period.
    """

    first: date
    label: str
    count: int
    of: int
    estimate: float | None = None
    low: float | None = None
    high: float | None = None
    is_out: bool = False
    is_maturing: bool = False


@dataclass(frozen=True, slots=True)
class Trend:
    """The share by month or quarter of hand-over.

    center : the share of all mature periods together; None of none.
    limits : what the limits are called.
    sigma_z : how much mature periods differ, in units of chance; None of fewer than two.
    """

    by: str
    periods: tuple[Period, ...]
    center: float | None
    limits: str
    sigma_z: float | None


def trend(months: Sequence[Handed], window_days: int) -> Trend:
    """Return the chart of these months, in order; of quarters where a month lets expect too few comebacks.

    Where the typical month lets expect fewer than 5 comebacks, quarters are formed; a period that still does
    has exact limits. Laney's limits [2] stand where jobs are many or periods differ by more than chance, and
    never to narrow the limits.
    """
    by, handed = "month", list(months)
    mature = [one for one in handed if not one.young and one.of]
    if mature and median(one.of for one in mature) * _share(mature) < policy.CHART_FEWEST_EXPECTED:
        by, handed = "quarter", _quarters(handed)
        mature = [one for one in handed if not one.young and one.of]
    periods = [_period(one, by, window_days) for one in handed]
    if not mature:
        return Trend(by, tuple(periods), None, "", None)
    chart = p_chart([one.count for one in mature], [one.of for one in mature])
    is_laney = _is_laney(chart, mature)
    limits = {one.first: _limits(chart, at, is_laney) for at, one in enumerate(mature)}
    return Trend(
        by,
        tuple(_limited(one, limits.get(one.first)) for one in periods),
        chart.center,
        LANEY if is_laney else "3-sigma limits",
        chart.sigma_z,
    )


def label_of(first: date, by: str) -> str:
    """Return the name of a period: "Mar 2026", "Q1 2026"."""
    if by == "quarter":
        return f"Q{(first.month + 2) // 3} {first.year}"
    return f"{MONTHS[first.month - 1]} {first.year}"


def _share(handed: Iterable[Handed]) -> float:
    every = list(handed)
    return sum(one.count for one in every) / sum(one.of for one in every)


def _quarters(months: Iterable[Handed]) -> list[Handed]:
    quarters: dict[date, Handed] = {}
    for one in months:
        first = one.first.replace(month=one.first.month - (one.first.month - 1) % 3)
        held = quarters.get(first, Handed(first, (), 0))
        quarters[first] = Handed(first, held.counts + one.counts, held.young + one.young)
    return list(quarters.values())


def _period(one: Handed, by: str, window_days: int) -> Period:
    estimate = kaplan_meier(one.counts).at(window_days).value if one.young else None
    return Period(
        one.first, label_of(one.first, by), one.count, one.of, estimate, is_maturing=bool(one.young)
    )


def _is_laney(chart: PChart, mature: Sequence[Handed]) -> bool:
    if chart.sigma_z is None or chart.sigma_z <= 1:
        return False
    are_many = median(one.of for one in mature) >= policy.LANEY_FROM_JOBS
    return are_many or chart.sigma_z > policy.LANEY_FROM_SIGMA_Z


def _limits(chart: PChart, at: int, is_laney: bool) -> tuple[float, float]:
    point = chart.points[at]
    if is_laney:
        return point.laney_low, point.laney_high
    return point.low, point.high


def _limited(one: Period, limits: tuple[float, float] | None) -> Period:
    if limits is None:
        return one
    low, high = limits
    return replace(one, low=low, high=high, is_out=not low <= one.count / one.of <= high)
