"""Charts over time by name: shares, counts, running sums, a mean that forgets."""

from __future__ import annotations

from typing import Any

from diagnostics.statistics import charts
from shared.computing import Given, Refused, computation

Answer = dict[str, Any]

MOST = 1_000_000
BIG = 1e12
COUNTS = Given(
    "counts", "Events of each group, in order", kind="numbers", low=0, high=MOST, least=1, example=[12, 15, 8]
)
VALUES = Given("x", "The values, in order", kind="numbers", low=-BIG, high=BIG, least=1, example=[52, 47, 53])


@computation(
    "stats.p_chart",
    "Whether shares by group differ by more than chance: centre, limits of three sigmas, those beyond.",
    COUNTS,
    Given("n", "The size of every group, or of each", kind="any", example=50),
    Given(
        "exclude",
        "Groups, from 1 on, that do not count for the centre",
        kind="numbers",
        low=1,
        high=MOST,
        optional=True,
    ),
    source="NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.3.2; Laney 2002, Quality Engineering 14:531",
    mark="read",
    formula="p ± 3 √(p (1 - p)/n); Laney: times sigma_z, the mean range of neighbours over 1.128",
)
def p_chart(counts: list[float], n: Any, exclude: list[float] | None = None) -> Answer:
    """Return center, lcl and ucl (numbers where all groups are of one size, else lists), out, and Laney's."""
    events = [_whole("counts", value) for value in counts]
    sizes = _sizes(n, len(events))
    for count, size in zip(events, sizes, strict=True):
        if count > size:
            raise Refused("counts", f"{count} of {size} cannot be.", f"0 to {size}")
    left_out = [_whole("exclude", value) for value in exclude or ()]
    if set(left_out) >= set(range(1, len(events) + 1)):
        raise Refused("exclude", "Every group is left out.", "some of the groups")
    chart = charts.p_chart(events, sizes, left_out, exact=False)
    one_size = not isinstance(n, list | tuple)

    def limits(name: str) -> Any:
        values = [getattr(point, name) for point in chart.points]
        return values[0] if one_size else values

    return {
        "center": chart.center,
        "lcl": limits("low"),
        "ucl": limits("high"),
        "out": list(chart.out),
        "sigma_z": chart.sigma_z,
        "laney_lcl": limits("laney_low"),
        "laney_ucl": limits("laney_high"),
    }


@computation(
    "stats.c_chart",
    "Whether counts over equal stretches differ by more than chance.",
    COUNTS,
    source="NIST/SEMATECH e-Handbook of Statistical Methods, section 6.3.3.1",
    mark="read",
    formula="c ± 3 √c",
)
def c_chart(counts: list[float]) -> Answer:
    """Return center, lcl, ucl and out (from 1 on)."""
    chart = charts.c_chart([_whole("counts", value) for value in counts])
    return {"center": chart.center, "lcl": chart.low, "ucl": chart.high, "out": list(chart.out)}


@computation(
    "stats.cusum",
    "Two running sums of values around a target.",
    VALUES,
    Given("target", "The target", low=-BIG, high=BIG, example=325),
    Given("k", "What is let pass: half the shift to find", low=0, high=BIG, example=0.3175),
    Given("h", "The threshold", above=0, high=BIG, example=4.1959),
    source="NIST/SEMATECH e-Handbook of Statistical Methods, section 6.3.2.3",
    mark="read",
    formula="S+ = max(0, S+ + x - target - k); S- = max(0, S- + target - k - x)",
)
def cusum(x: list[float], target: float, k: float, h: float) -> Answer:
    """Return s_hi, s_lo and first_signal, from 1 on; null where there is none."""
    found = charts.cusum(x, target, k, h)
    return {"s_hi": list(found.high), "s_lo": list(found.low), "first_signal": found.first_signal}


@computation(
    "stats.bernoulli_cusum",
    "A running sum of events and non-events that calls when their odds have changed.",
    Given(
        "outcomes",
        "1 for an event, 0 for none, in order",
        kind="numbers",
        low=0,
        high=1,
        least=1,
        example=[0, 0, 1],
    ),
    Given("p0", "The share of events to expect", above=0, high=0.999999999, example=0.06),
    Given("odds_ratio", "The change of the odds to find", above=0, high=1e6, example=2),
    Given("h", "The threshold", above=0, high=1e6, example=3),
    source="Steiner, Cook, Farewell, Treasure 2000, Biostatistics 1:441",
    mark="from memory",
    formula="event: ln R - ln(1 - p + R p); none: -ln(1 - p + R p); never below 0",
)
def bernoulli_cusum(outcomes: list[float], p0: float, odds_ratio: float, h: float) -> Answer:
    """Return path, w_event, w_no_event and first_signal, from 1 on; null where there is none."""
    if odds_ratio == 1:
        raise Refused("odds_ratio", "Odds that do not change cannot be found.", "above 0, not 1")
    found = charts.bernoulli_cusum([_whole("outcomes", value) for value in outcomes], p0, odds_ratio, h)
    return {
        "path": list(found.path),
        "w_event": found.w_event,
        "w_no_event": found.w_no_event,
        "first_signal": found.first_signal,
    }


@computation(
    "stats.ewma",
    "A mean of values that forgets, with its limits for a long run.",
    VALUES,
    Given("lam", "The weight of the newest value", above=0, high=1, example=0.2),
    Given("start", "Where it starts: the target", low=-BIG, high=BIG, example=50),
    Given("sigma", "The standard deviation of one value", low=0, high=BIG, example=2),
    source="NIST/SEMATECH e-Handbook of Statistical Methods, section 6.3.2.4",
    mark="read",
    formula="z = lam x + (1 - lam) z; start ± 3 sigma √(lam/(2 - lam))",
)
def ewma(x: list[float], lam: float, start: float, sigma: float) -> Answer:
    """Return z, ucl and lcl."""
    found = charts.ewma(x, lam, start, sigma)
    return {"z": list(found.z), "ucl": found.high, "lcl": found.low}


def _sizes(n: Any, groups: int) -> list[int]:
    allowed = f"a whole number from 1 to {MOST}, or a list of {groups} of them"
    sizes = list(n) if isinstance(n, list | tuple) else [n] * groups
    if len(sizes) != groups:
        raise Refused("n", f"There are {groups} groups and {len(sizes)} sizes.", allowed)
    for size in sizes:
        is_number = isinstance(size, int | float) and not isinstance(size, bool)
        if not is_number or not 1 <= size <= MOST or size != int(size):
            raise Refused("n", f"{size!r:.40} is not the size of a group.", allowed)
    return [int(size) for size in sizes]


def _whole(key: str, value: float) -> int:
    if value != int(value):
        raise Refused(key, f"{value:g} is not a whole number.", "whole numbers")
    return int(value)
