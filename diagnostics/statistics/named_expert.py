"""For an expert's page, by name: proportional hazards, and the trend of one vehicle."""

from __future__ import annotations

import math
from typing import Any

from diagnostics.statistics import cox as hazards
from diagnostics.statistics import trend as trends
from shared.computing import Given, Refused, computation

Answer = dict[str, Any]

MOST = 1e12
MOST_COVARIATES = 20


@computation(
    "stats.cox",
    "How many times as fast the event comes for one more of a covariate.",
    Given(
        "times",
        "Time to the event or last seen",
        kind="numbers",
        low=0,
        high=MOST,
        least=2,
        example=[9, 13, 5, 8],
    ),
    Given(
        "events",
        "1 for an event, 0 for last seen without",
        kind="numbers",
        low=0,
        high=1,
        least=2,
        example=[1, 0, 1, 1],
    ),
    Given("x", "For each: its covariates", kind="list", least=2, example=[[0], [1], [1], [0]]),
    Given("ties", "Tied events", kind="choice", choices=("breslow",), optional=True, example="breslow"),
    source="Cox 1972, J. R. Statist. Soc. B 34:187; Breslow 1974, Biometrics 30:89",
    mark="read",
    valid="Hazards stay in proportion; about ten events for each covariate",
    cautions=("An association, not a cause.",),
)
def cox(times: list[float], events: list[float], x: list[Any], ties: str = "breslow") -> Answer:
    """Return coef, se and hr: numbers for one covariate, else lists."""
    n = len(times)
    for key, values in (("events", events), ("x", x)):
        if len(values) != n:
            raise Refused(key, f"There are {n} times and {len(values)} of these.", f"{n} values")
    if any(event not in (0, 1) for event in events) or not any(events):
        raise Refused("events", "Each is 0 or 1, and at least one is 1.", "0 or 1")
    rows = _covariates(x)
    try:
        found = hazards.cox(times, [int(event) for event in events], rows)
    except hazards.Separated as refused:
        raise Refused(
            "x", f"{refused} No finite answer fits.", "covariates that vary on both sides"
        ) from None
    answer = {
        "coef": list(found.coefficients),
        "se": list(found.errors),
        "hr": [math.exp(one) for one in found.coefficients],
    }
    return answer if len(rows[0]) > 1 else {key: values[0] for key, values in answer.items()}


@computation(
    "stats.trend",
    "Whether failures of one vehicle come more and more often, or more and more seldom.",
    Given(
        "times",
        "When each failure came",
        kind="numbers",
        above=0,
        high=MOST,
        least=1,
        example=[10, 25, 60, 140, 300],
    ),
    Given("end", "Until when it was watched", above=0, high=MOST, example=365),
    source="MIL-HDBK-189; Laplace's test",
    mark="from memory",
    formula="2 sum of ln(T/t), chi-square of 2n; z = (mean t - T/2)/(T √(1/12n))",
    valid="At least four failures",
)
def trend(times: list[float], end: float) -> Answer:
    """Return mil_hdbk_chi2, df, mil_hdbk_cdf, laplace_z and reversals."""
    if max(times) >= end:
        raise Refused(
            "end", f"{end:g} does not lie behind the last failure at {max(times):g}.", "a later end"
        )
    found = trends.trend(times, end)
    return {
        "mil_hdbk_chi2": found.chi_square,
        "df": found.df,
        "mil_hdbk_cdf": found.below,
        "laplace_z": found.laplace,
        "reversals": found.reversals,
    }


def _covariates(x: list[Any]) -> list[list[float]]:
    allowed = f"for each a list of 1 to {MOST_COVARIATES} numbers, all of one length"
    rows = [row for row in x if isinstance(row, list | tuple) and 1 <= len(row) <= MOST_COVARIATES]
    if len(rows) != len(x) or len({len(row) for row in rows}) != 1:
        raise Refused("x", "The covariates are not of one length.", allowed)
    for cell in (cell for row in rows for cell in row):
        is_number = isinstance(cell, int | float) and not isinstance(cell, bool)
        if not is_number or not math.isfinite(cell) or abs(cell) > MOST:
            raise Refused("x", f"{cell!r:.40} is not a number.", allowed)
    return [[float(cell) for cell in row] for row in rows]
