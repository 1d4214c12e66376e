"""Technicians, or shops, against what the mix of their jobs lets expect. Pure arithmetic; never a ranking.

References
----------
.. [1] statistics.md section 3.8; practice.md sections 8 and 11.
.. [2] D. J. Spiegelhalter, Statistics in Medicine 24 (2005) 1185-1202. From memory.
.. [3] F. Garwood, Biometrika 28 (1936) 437-442, exact limits of a Poisson count. From memory.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from diagnostics.audit.chance import Flag, Limits, flag_of
from diagnostics.audit.mix import Cell, Expected, expected
from diagnostics.audit.policy import FUNNEL_ALPHAS, OVERDISPERSED_FROM
from diagnostics.statistics.funnel import Overdispersion, poisson_limits, ratio_overdispersion
from diagnostics.statistics.proportions import Proportion, proportion
from diagnostics.statistics.quantiles import gamma_quantile
from diagnostics.statistics.ratios import Ratio
from diagnostics.statistics.shrinkage import gamma_prior_of

LINE_STEPS = 40


@dataclass(frozen=True, slots=True)
class Unit:
    """One technician or shop. Below the fewest jobs to compare there are counts and nothing else.

    expected : comebacks that the shop's rates of such jobs let expect.
    ratio : comebacks over expected, with exact Poisson limits. [3]
    adjusted, low, high : that ratio times the rate of all, with its limits. Shares.
    shrunk, weight_own : the rate drawn towards that of all as far as few jobs ask; the weight of own jobs.
    limits : of the ratio, by chance alone; 1 is the shop.
    without_own : whether own jobs were left out of what is expected.
    """

    id: str
    label: str
    eligible: int
    comebacks: int
    expected: float | None = None
    share: Proportion | None = None
    ratio: Ratio | None = None
    adjusted: float | None = None
    low: float | None = None
    high: float | None = None
    shrunk: float | None = None
    weight_own: float | None = None
    limits: Limits = ()
    flag: Flag = "too few"
    without_own: bool = False


@dataclass(frozen=True, slots=True)
class FunnelLine:
    """The limits of chance of the ratio where so many comebacks are expected."""

    expected: float
    limits: Limits


@dataclass(frozen=True, slots=True)
class Compared:
    """All units in the order of their names.

    whole : the rate of all jobs, with those of nobody named; None of no job.
    spread : how much more the units differ than chance makes them; limits are wider by its root if `widened`.
    """

    rows: tuple[Unit, ...]
    whole: Proportion | None
    spread: Overdispersion
    widened: bool
    lines: tuple[FunnelLine, ...]


def compare(cells: Sequence[Cell], labels: Mapping[str, str], fewest: int) -> Compared:
    """Return the units compared.

    Parameters
    ----------
    cells : sequence of Cell
        Of all jobs; those of unit "" are of nobody named and have no row.
    labels : mapping of unit to its name
    fewest : int
        Eligible jobs; with fewer a unit is counted, not compared.
    """
    jobs, back = _totals(cells)
    whole = proportion(back.total(), jobs.total()) if jobs else None
    counted = [Unit(unit, labels.get(unit, unit), jobs[unit], back[unit]) for unit in jobs if unit]
    rates = expected(cells)
    used = [_measured(unit, rates[unit.id], whole) for unit in counted if whole and unit.eligible >= fewest]
    compared = [(unit, unit.expected) for unit in used if unit.expected]
    spread = ratio_overdispersion([(unit.comebacks, value) for unit, value in compared])
    widened = spread.is_over and spread.phi > 1 and len(compared) >= OVERDISPERSED_FROM
    widen = math.sqrt(spread.phi) if widened else 1.0
    done = _placed(compared, whole, widen) | {unit.id: unit for unit in used if not unit.expected}
    rows = [done.get(unit.id, unit) for unit in counted]
    return Compared(
        rows=tuple(sorted(rows, key=lambda unit: (unit.label.lower(), unit.id))),
        whole=whole,
        spread=spread,
        widened=widened,
        lines=_lines([value for _, value in compared], widen),
    )


def alone(unit: Unit) -> Unit:
    """Return the unit with its counts and its share, without anything that rests on the jobs of others."""
    return Unit(unit.id, unit.label, unit.eligible, unit.comebacks, share=unit.share)


def _totals(cells: Sequence[Cell]) -> tuple[Counter[str], Counter[str]]:
    jobs: Counter[str] = Counter()
    back: Counter[str] = Counter()
    for cell in cells:
        jobs[cell.unit] += cell.jobs
        back[cell.unit] += cell.back
    return jobs, back


def _measured(unit: Unit, found: Expected, whole: Proportion | None) -> Unit:
    unit = replace(unit, share=proportion(unit.comebacks, unit.eligible), without_own=found.without_own)
    if not found.value or whole is None:
        return unit
    low, high = exact_mean(unit.comebacks)
    ratio = Ratio(unit.comebacks / found.value, low / found.value, high / found.value)
    return replace(
        unit,
        expected=found.value,
        ratio=ratio,
        adjusted=min(1.0, whole.share * unit.comebacks / found.value),
        low=min(1.0, whole.share * low / found.value),
        high=min(1.0, whole.share * high / found.value),
    )


def _placed(
    compared: Sequence[tuple[Unit, float]], whole: Proportion | None, widen: float
) -> dict[str, Unit]:
    if not compared or whole is None:
        return {}
    prior = gamma_prior_of([(unit.comebacks, value) for unit, value in compared])
    placed = {}
    for unit, value in compared:
        drawn = prior.posterior(unit.comebacks, value)
        limits = _limits(value, widen)
        placed[unit.id] = replace(
            unit,
            shrunk=min(1.0, whole.share * drawn.mean),
            weight_own=drawn.weight_own,
            limits=limits,
            flag=flag_of(unit.comebacks / value, limits),
        )
    return placed


def exact_mean(events: int, conf: float = 0.95) -> tuple[float, float]:
    """Return the exact limits of the mean where so many events were counted. [3]"""
    side = (1 - conf) / 2
    low = gamma_quantile(side, events) if events else 0.0
    return low, gamma_quantile(side, events + 1, above=True)


def _limits(value: float, widen: float) -> Limits:
    pairs = (poisson_limits(value, alpha) for alpha in FUNNEL_ALPHAS)
    return tuple((max(0.0, 1 + (low - 1) * widen), 1 + (high - 1) * widen) for low, high in pairs)


def _lines(values: Sequence[float], widen: float) -> tuple[FunnelLine, ...]:
    """The limits from one comeback expected to the most expected of anyone, closer together where few are."""
    if not values:
        return ()
    first, last = min(1.0, *values), max(values)
    step = (last / first) ** (1 / LINE_STEPS)
    places = (first * step**n for n in range(LINE_STEPS + 1)) if last > first else (last,)
    return tuple(FunnelLine(place, _limits(place, widen)) for place in places)
