"""A fuse as a shunt: the draw from the millivolts across it (trade-values.md section 4.4)."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from diagnostics.sums.care import care
from diagnostics.sums.figures import figure
from shared.computing import Given, computation

GROUP = "Draw through a fuse"

# Typical cold resistances by rating in ampere, from memory of one catalogue; makers differ by about 15 %.
BLADE_MOHM = {
    "ATO": {"3": 31.1, "5": 17.9, "7.5": 10.9, "10": 7.70, "15": 4.80, "20": 3.38, "25": 2.52, "30": 1.97},
    "mini": {"3": 31.2, "5": 17.0, "7.5": 10.6, "10": 7.35, "15": 4.58, "20": 3.21, "25": 2.36, "30": 1.85},
}
RATINGS_A = tuple(BLADE_MOHM["ATO"])
MAKERS_DIFFER_PERCENT = 15.0

CARE = (
    "Leave the fuse in its socket and touch only its test points: pulling a fuse wakes "
    "modules and hides the draw.",
    *care("12v_short", "restraint"),
)
COLD = (
    "A genuine blade fuse near room temperature, carrying far less than its rating; a "
    "counterfeit does not follow the chart."
)

DROP = Given("mV", "Voltage across the fuse", "mV", low=0, high=10_000, example=1.2)
SHUNT = Given("mohm", "Resistance of the fuse", "mΩ", above=0, high=1e6, example=7.7)
METER = (
    Given("percent", "Meter's accuracy, per cent of reading", "%", low=0, high=100, example=0.5),
    Given("counts", "Meter's accuracy, counts", low=0, high=10_000, example=2),
    Given("resolution_mV", "Meter's last digit", "mV", above=0, high=1000, example=0.01),
)


@computation(
    "fuse.current_ma",
    "Current through a fuse from the voltage across it",
    DROP,
    SHUNT,
    unit="mA",
    formula="I = U / R",
    source="Ohm's law; a trade journal's chart of 2017 agrees",
    mark="computed",
    valid=COLD,
    cautions=CARE,
    group=GROUP,
    says=lambda answer, given: f"About {figure(answer)} mA flow through this fuse.",
)
def current_ma(mV: float, mohm: float) -> float:
    """Return the current through a resistance of so many milliohm. [mA]"""
    return mV / mohm * 1000


@computation(
    "fuse.current_ma_range",
    "Lowest and highest current through a fuse, with the meter's accuracy carried through",
    DROP,
    SHUNT,
    *METER,
    unit="mA",
    formula="(U ± (U × per cent / 100 + counts × last digit)) / R",
    source="the meter's specification as its maker states it, carried through Ohm's law",
    mark="computed",
    valid=(
        f"{COLD} The fuse's own tolerance is not in it. Below 0: the current may flow the "
        "other way, or not at all."
    ),
    cautions=CARE,
    group=GROUP,
    says=lambda answer, given: (
        f"Anything from {figure(answer[0])} to {figure(answer[1])} mA fits this reading."
        + (" It does not even prove that a current flows: use a finer range." if answer[0] <= 0 else "")
    ),
)
def current_ma_range(
    mV: float, mohm: float, percent: float, counts: float, resolution_mV: float
) -> list[float]:
    """Return the two ends of the current that a meter of this accuracy leaves open. [mA]"""
    half_width = _half_width_mv(mV, percent, counts, resolution_mV)
    return [(mV - half_width) / mohm * 1000, (mV + half_width) / mohm * 1000]


def _half_width_mv(mV: float, percent: float, counts: float, resolution_mV: float) -> float:
    return mV * percent / 100 + counts * resolution_mV


@computation(
    "fuse.typical_mohm",
    "Typical cold resistance of a blade fuse",
    Given("form", "Form", kind="choice", choices=tuple(BLADE_MOHM), example="ATO"),
    Given("rating", "Rating, A", kind="choice", choices=RATINGS_A, example="10"),
    unit="mΩ",
    formula="table",
    source="one catalogue of ISO 8820-3 blade fuses, types C and F",
    mark="from memory",
    valid="Cold; other makers' fuses differ by about 15 %.",
    cautions=CARE,
    group=GROUP,
    says=lambda answer, given: (
        f"About {figure(answer)} mΩ, makers differ by 15 %. Measure a spare one of the same "
        "make if it matters."
    ),
)
def typical_mohm(form: str, rating: str) -> float:
    """Return the typical cold resistance of a blade fuse. [mΩ]"""
    return BLADE_MOHM[form][rating]


def _draw_says(answer: Mapping[str, float], given: Mapping[str, Any]) -> str:
    return (
        f"About {figure(answer['current_ma'])} mA, "
        f"standard uncertainty {figure(answer['uncertainty_ma'], digits=2)} mA; "
        f"anything from {figure(answer['low_ma'])} to {figure(answer['high_ma'])} mA fits."
    )


@computation(
    "fuse.draw",
    "Draw through a blade fuse of a known rating, with its uncertainty",
    DROP,
    Given("form", "Form", kind="choice", choices=tuple(BLADE_MOHM), example="ATO"),
    Given("rating", "Rating, A", kind="choice", choices=RATINGS_A, example="10"),
    *METER,
    Given("fuse_percent", "Fuse's tolerance, 15 % if empty", "%", low=0, high=50, optional=True),
    answers={"current_ma": "mA", "uncertainty_ma": "mA", "low_ma": "mA", "high_ma": "mA"},
    formula="I = U / R; u(I) = I √((a_U / U)² + (a_R / R)²) / √3; ends at (U ∓ a_U) / (R ± a_R)",
    source="JCGM 100:2008, 4.3.7 and 5.1; typical resistances of one catalogue",
    mark="from memory",
    valid=COLD,
    cautions=CARE,
    group=GROUP,
    says=_draw_says,
)
def draw(
    mV: float,
    form: str,
    rating: str,
    percent: float,
    counts: float,
    resolution_mV: float,
    fuse_percent: float = MAKERS_DIFFER_PERCENT,
) -> dict[str, float]:
    """Return the current, its standard uncertainty, and the ends that meter and fuse leave open. [mA]

    Both tolerances count as rectangular and independent. The standard uncertainty is of first order.
    """
    mohm = typical_mohm(form, rating)
    volts_off, mohm_off = _half_width_mv(mV, percent, counts, resolution_mV), mohm * fuse_percent / 100
    ends = [(mV + dv) / (mohm + dr) * 1000 for dv in (-volts_off, volts_off) for dr in (-mohm_off, mohm_off)]
    current = current_ma(mV, mohm)
    spread = math.hypot(volts_off / mohm * 1000, current * mohm_off / mohm)
    return {
        "current_ma": current,
        "uncertainty_ma": spread / math.sqrt(3),
        "low_ma": min(ends),
        "high_ma": max(ends),
    }
