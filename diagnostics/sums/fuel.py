"""Fuel pressure that falls, and what fuel trim means (trade-values.md sections 2.3 and 4.5)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from diagnostics.sums.care import care
from diagnostics.sums.figures import figure
from shared.computing import Given, Refused, computation

GROUP = "Fuel and mixture"

# Common practice; the maker's figures win.
HOLD_MINUTES, HOLD_WITHIN_KPA, HOLD_AT_MOST_KPA = 5.0, 20.0, 35.0
TRIM_WORTH_A_TEST_PERCENT = 10.0

DECAY = (
    Given("start", "Pressure when the pump stopped", low=0, high=1e6, example=380),
    Given("end", "Pressure at the end, in the same unit", low=0, high=1e6, example=345),
    Given("minutes", "Minutes between", "min", above=0, high=100_000, example=10),
)
FUEL_CARE = care("fuel", "hot_parts")
RUNNING_CARE = care("rotating_parts", "exhaust_gas")


def _trim(key: str, meaning: str, example: float) -> Given:
    return Given(key, meaning, "%", low=-100, high=100, example=example)


@computation(
    "fuel.decay_per_minute",
    "How fast the pressure falls",
    *DECAY,
    unit="each minute",
    formula="(start − end) / minutes",
    source="definition",
    mark="computed",
    valid="Pump off, no injector opening, engine cooling little. Below 0: it rose, which heat soak does.",
    cautions=FUEL_CARE,
    group=GROUP,
    says=lambda answer, given: f"It falls by {figure(answer)} each minute, in the unit of the readings.",
)
def decay_per_minute(start: float, end: float, minutes: float) -> float:
    """Return the fall of a pressure each minute, in its own unit."""
    return (start - end) / minutes


@computation(
    "fuel.hold_verdict",
    "Whether fuel pressure holds after the pump stops",
    Given("start_kpa", "Pressure when the pump stopped", "kPa", above=0, high=50_000, example=380),
    Given("end_kpa", "Pressure at the end", "kPa", low=0, high=50_000, example=372),
    Given("minutes", "Minutes between", "min", low=1, high=60, example=5),
    answers={"verdict": "", "fall_kpa": "kPa", "fall_in_5_min_kpa": "kPa"},
    formula="fall × 5 / minutes: up to 20 kPa holds, to 35 doubtful",
    source="usual limits for port injection; the maker's figure rules",
    mark="common practice",
    valid="Low-pressure side, pump off. A fall is rarely straight: read after 5 min if you can.",
    cautions=FUEL_CARE,
    group=GROUP,
    says=lambda answer, given: {
        "holds": "It holds.",
        "doubtful": "Doubtful: repeat it, then clamp supply and return in turn to see which side leaks.",
        "falls": (
            "It falls: clamp supply and return in turn to tell pump valve, regulator and injectors apart."
        ),
    }[answer["verdict"]],
)
def hold_verdict(start_kpa: float, end_kpa: float, minutes: float) -> dict[str, str | float]:
    """Return `holds`, `doubtful` or `falls`, the fall, and the fall scaled to five minutes. [kPa]"""
    if end_kpa > start_kpa:
        raise Refused(
            "end_kpa",
            f"{end_kpa:g} kPa is above the {start_kpa:g} kPa it started from.",
            f"0 to {start_kpa:g} kPa",
        )
    fall = start_kpa - end_kpa
    scaled = fall * HOLD_MINUTES / minutes
    verdict = "holds" if scaled <= HOLD_WITHIN_KPA else "doubtful" if scaled <= HOLD_AT_MOST_KPA else "falls"
    return {"verdict": verdict, "fall_kpa": fall, "fall_in_5_min_kpa": scaled}


TRIM_MEANS = {
    "usual": "Usual: the module hardly corrects.",
    "adds-fuel": (
        "The module adds fuel: it sees too much oxygen. Air that was not metered, too "
        "little fuel, or an exhaust leak before the sensor."
    ),
    "takes-fuel": (
        "The module takes fuel away: it sees too little oxygen. Too much fuel, vapour from "
        "the canister or fuel in the oil, or air metered too high."
    ),
}


@computation(
    "fuel.trim_verdict",
    "What short and long fuel trim mean together",
    _trim("short", "Short-term trim", 4),
    _trim("long", "Long-term trim", 12),
    answers={"verdict": "", "total_percent": "%"},
    formula="total = short + long; beyond ±10 % it deserves a test",
    source="usual limit; positive adds fuel by SAE J1979",
    mark="common practice",
    valid="Closed loop, warm, steady speed; one bank at a time.",
    cautions=RUNNING_CARE,
    group=GROUP,
    says=lambda answer, given: f"{figure(answer['total_percent'])} % in all. {TRIM_MEANS[answer['verdict']]}",
)
def trim_verdict(short: float, long: float) -> dict[str, str | float]:
    """Return `usual`, `adds-fuel` or `takes-fuel`, and the sum of both. [%]"""
    total = short + long
    return {"verdict": _trim_word(total), "total_percent": total}


def _trim_word(total: float) -> str:
    if abs(total) <= TRIM_WORTH_A_TEST_PERCENT:
        return "usual"
    return "adds-fuel" if total > 0 else "takes-fuel"


PATTERNS = {
    ("usual", "usual"): "Usual at both: the mixture is not where to look.",
    ("adds-fuel", "usual"): (
        "Lean at idle only: a leak of the intake, whose share falls as the engine takes "
        "more air."
    ),
    ("usual", "adds-fuel"): (
        "Lean under load only: fuel supply (pump, filter, pressure) or an air meter that "
        "reads low."
    ),
    ("adds-fuel", "adds-fuel"): (
        "Lean at both: fuel pressure or supply, a wrong air reading, or an exhaust leak "
        "before the sensor."
    ),
    ("takes-fuel", "usual"): "Rich at idle only: canister vapour, a dripping injector, fuel in the oil.",
    ("usual", "takes-fuel"): "Rich under load only: fuel pressure too high, or an air meter that reads high.",
    ("takes-fuel", "takes-fuel"): (
        "Rich at both: fuel pressure, leaking injectors, or a wrong sensor (air, coolant "
        "temperature)."
    ),
}  # fmt: skip
MIXED = (
    "Opposite at idle and under load: suspect the air meter, and look at its reading against speed and load."
)


def _pattern_says(answer: Mapping[str, Any], given: Mapping[str, Any]) -> str:
    return PATTERNS.get((answer["idle"], answer["loaded"]), MIXED)


@computation(
    "fuel.trim_pattern",
    "What fuel trim at idle and under load say together",
    _trim("idle_total", "Short and long trim together, at idle", 18),
    _trim("loaded_total", "Short and long trim together, at a steady 2500 rpm or on the road", 3),
    answers={"idle": "", "loaded": ""},
    formula="each total beyond ±10 % counts",
    source="usual reading of trims; a hint where to test next, no proof",
    mark="common practice",
    valid=(
        "Closed loop, warm; a module that meters air by mass. One that reckons from "
        "manifold pressure hides intake leaks."
    ),
    cautions=(*RUNNING_CARE, *care("road_test")),
    group=GROUP,
    says=_pattern_says,
)
def trim_pattern(idle_total: float, loaded_total: float) -> dict[str, str]:
    """Return `usual`, `adds-fuel` or `takes-fuel` for idle and for load."""
    return {"idle": _trim_word(idle_total), "loaded": _trim_word(loaded_total)}
