"""Compression and cylinder leakage (trade-values.md section 4.5)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from diagnostics.sums.care import care
from diagnostics.sums.figures import figure
from shared.computing import Given, Refused, computation

GROUP = "Engine"

# Common practice; the maker's figures win.
LEAST_OF_HIGHEST_PERCENT = 75.0
LEAST_KPA = 690.0
GOOD_LEAK_PERCENT, WORN_LEAK_PERCENT, FAULT_LEAK_PERCENT = 10.0, 20.0, 30.0

KPA = Given(
    "kpa",
    "Compression of each cylinder, in their order",
    "kPa",
    "numbers",
    above=0,
    high=20_000,
    least=1,
    example=[1200, 1180, 900, 1210],
)
CARE = (
    "Disable fuel and ignition by the maker's procedure before cranking; a spark plug hole blows fuel mist.",
    *care("rotating_parts", "hot_parts", "fuel"),
)
COMPRESSION_VALID = (
    "Warm engine, throttle open, all plugs out, full battery, the same number of strokes each."
)
LEAK_CARE = (
    "Hold the engine from turning: test air on a piston can spin the crank and throw a bar.",
    *care("rotating_parts", "hot_parts", "cooling_pressure"),
)
LEAKAGE = (
    Given("supply", "Pressure of the supply gauge", above=0, high=1e6, example=80),
    Given("cylinder", "Pressure of the cylinder gauge, in the same unit", low=0, high=1e6, example=60),
)
LEAK_FORMULA = "100 × (supply − cylinder) / supply"


@computation(
    "engine.compression_percent",
    "Lowest compression as a share of the highest",
    KPA,
    unit="%",
    formula="100 × lowest / highest",
    source="definition",
    mark="computed",
    valid=COMPRESSION_VALID,
    cautions=CARE,
    group=GROUP,
    says=lambda answer, given: (
        f"The weakest cylinder has {figure(answer)} % of the strongest; 75 % or more is usual."
    ),
)
def compression_percent(kpa: list[float]) -> float:
    """Return lowest over highest, up to 100. [%]"""
    return 100 * (min(kpa) / max(kpa))


def _spread_says(answer: Mapping[str, Any], given: Mapping[str, Any]) -> str:
    share, weakest = figure(answer["percent"], digits=3), answer["weakest_cylinder"]
    return {
        "even": f"Even: the weakest, cylinder {weakest}, has {share} % of the strongest.",
        "uneven": (
            f"Uneven: cylinder {weakest} has {share} % of the strongest. A leakage test says where it goes."
        ),
        "low": (
            f"Even but low, down to {figure(answer['lowest_kpa'])} kPa: cam timing, "
            "cranking speed or wear of all."
        ),
        "uneven-and-low": (
            f"Cylinder {weakest} has {share} % of the strongest and is under {LEAST_KPA:g} "
            "kPa. A leakage test says where it goes."
        ),
    }[answer["verdict"]]


@computation(
    "engine.compression_verdict",
    "Spread of the compression over the cylinders, and what it says",
    KPA,
    answers={
        "verdict": "",
        "percent": "%",
        "lowest_kpa": "kPa",
        "highest_kpa": "kPa",
        "weakest_cylinder": "",
    },
    formula="lowest ≥ 75 % of highest, none under 690 kPa (100 psi)",
    source="usual limits for petrol engines; the maker's figures win",
    mark="common practice",
    valid=f"Petrol engines. {COMPRESSION_VALID}",
    cautions=CARE,
    group=GROUP,
    says=_spread_says,
)
def compression_verdict(kpa: list[float]) -> dict[str, str | float | int]:
    """Return `even`, `uneven`, `low` or `uneven-and-low`, the share, both ends, the weakest (from 1)."""
    lowest = min(kpa)
    uneven, low = compression_percent(kpa) < LEAST_OF_HIGHEST_PERCENT, lowest < LEAST_KPA
    words = [word for word, is_so in (("uneven", uneven), ("low", low)) if is_so]
    return {
        "verdict": "-and-".join(words) or "even",
        "percent": compression_percent(kpa),
        "lowest_kpa": lowest,
        "highest_kpa": max(kpa),
        "weakest_cylinder": kpa.index(lowest) + 1,
    }


@computation(
    "engine.leakdown_percent",
    "Leakage of a cylinder from the two gauges of a leakage tester",
    *LEAKAGE,
    unit="%",
    formula=LEAK_FORMULA,
    source="FAA AC 43.13-1B, 8-14, as quoted in a public page: 60 of 80 psi is 25 %",
    mark="read",
    valid="Piston at top dead centre of compression, engine warm.",
    cautions=LEAK_CARE,
    group=GROUP,
    says=lambda answer, given: f"{figure(answer)} % of the air is lost.",
)
def leakdown_percent(supply: float, cylinder: float) -> float:
    """Return the share of the supply pressure that is lost, 0 to 100. [%]"""
    if cylinder > supply:
        raise Refused(
            "cylinder",
            f"{cylinder:g} is above the supply of {supply:g}: are the gauges swapped?",
            f"0 to {supply:g}",
        )
    return 100 * ((supply - cylinder) / supply)


LEAK_MEANS = {
    "good": "Good.",
    "usable": "Some wear, usable: compare with the other cylinders.",
    "worn": "Worn: listen at intake, exhaust, oil filler and radiator for where it goes.",
    "fault": "A fault: listen at intake, exhaust, oil filler and radiator for where it goes.",
}


@computation(
    "engine.leakdown_verdict",
    "What the leakage of a cylinder says",
    *LEAKAGE,
    answers={"verdict": "", "percent": "%"},
    formula=f"{LEAK_FORMULA}; up to 10 good, to 20 usable, to 30 worn, above it a fault",
    source="usual limits; the maker's figures win",
    mark="common practice",
    valid="Piston at top dead centre of compression, engine warm.",
    cautions=LEAK_CARE,
    group=GROUP,
    says=lambda answer, given: f"{figure(answer['percent'])} % lost. {LEAK_MEANS[answer['verdict']]}",
)
def leakdown_verdict(supply: float, cylinder: float) -> dict[str, str | float]:
    """Return `good`, `usable`, `worn` or `fault`, and the share that is lost. [%]"""
    percent = leakdown_percent(supply, cylinder)
    steps = ((GOOD_LEAK_PERCENT, "good"), (WORN_LEAK_PERCENT, "usable"), (FAULT_LEAK_PERCENT, "worn"))
    verdict = next((word for most, word in steps if percent <= most), "fault")
    return {"verdict": verdict, "percent": percent}
