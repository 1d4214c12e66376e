"""Cranking and charging: what the voltage at the battery should be (trade-values.md section 4.3)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from diagnostics.sums.battery import load_test_min_volts
from diagnostics.sums.care import care
from diagnostics.sums.figures import figure
from diagnostics.sums.temperature import either
from shared.computing import Given, Refused, computation

GROUP = "Cranking and charging"

# Common practice throughout, no single authority. The maker's figures win.
CHARGING_V = (13.5, 14.7)  # Warm, fast idle, loads off.
SMART_CHARGING_V = (12.2, 15.0)  # What a controlled alternator may be told to hold.
RIPPLE_PEAK_TO_PEAK_V = 0.5
RIPPLE_AC_USUAL_V, RIPPLE_AC_MOST_V = 0.05, 0.1

RUNNING = care("battery", "rotating_parts", "exhaust_gas")
CRANKING = care("battery", "12v_short", "rotating_parts")
CRANKING_RULE = "9.6 V warm; below 70 °F (21 °C) the table of the load test: 60 °F 9.5, 50 9.4 … 0 °F 8.5"


@computation(
    "battery.cranking_min_volts",
    "Lowest battery voltage while the engine is cranked, by temperature",
    *either(-90, 120, "Temperature of the battery", 10),
    unit="V",
    formula=CRANKING_RULE,
    source="9.6 V warm is a usual limit; for the cold we take the load-test table",
    mark="common practice",
    valid="At the battery posts, charged to 75 % or more, 12 V starter, engine turning at its usual speed.",
    cautions=CRANKING,
    group=GROUP,
    says=lambda answer, given: f"Not under {figure(answer)} V at the posts while it cranks.",
)
def cranking_min_volts(celsius: float | None = None, fahrenheit: float | None = None) -> float:
    """Return the usual lowest voltage at the battery posts while cranking. [V]"""
    return load_test_min_volts(celsius, fahrenheit)


@computation(
    "battery.cranking_verdict",
    "Whether the voltage while cranking is high enough",
    Given("volts", "Lowest voltage while cranking", "V", low=0, high=20, example=9.9),
    *either(-90, 120, "Temperature of the battery", 10),
    answers={"verdict": "", "limit_volts": "V", "margin_volts": "V"},
    formula=CRANKING_RULE,
    source="9.6 V warm is a usual limit; for the cold we take the load-test table",
    mark="common practice",
    valid="At the battery posts, charged to 75 % or more, 12 V starter.",
    cautions=CRANKING,
    group=GROUP,
    says=lambda answer, given: (
        f"Within: {figure(answer['margin_volts'])} V above the usual limit."
        if answer["verdict"] == "within"
        else f"Below the usual {figure(answer['limit_volts'])} V: load-test the battery, "
        "then measure starter current and cable drops before anything is replaced."
    ),
)
def cranking_verdict(
    volts: float, celsius: float | None = None, fahrenheit: float | None = None
) -> dict[str, str | float]:
    """Return `within` or `below`, the limit, and the margin (below 0 where it fails). [V]"""
    limit = cranking_min_volts(celsius, fahrenheit)
    return {
        "verdict": "within" if volts >= limit else "below",
        "limit_volts": limit,
        "margin_volts": volts - limit,
    }


CHARGING_MEANS = {
    "below": (
        "Too low: measure output current and the drop of both charging cables before the "
        "alternator is blamed."
    ),
    "within": "A usual charging voltage. Prove it under load too.",
    "above": (
        "Too high: check the sense wire and its drop, the ground and the regulator; a battery boils at this."
    ),
    "not-charging": "Under a full battery's rest voltage: it is not charging at all.",
}
FULL_AT_REST_V = 12.65


@computation(
    "battery.charging_verdict",
    "What a charging voltage says",
    Given("volts", "Voltage at the battery, engine running", "V", low=0, high=40, example=14.2),
    Given("smart", "The charging is controlled by a module", kind="yes", optional=True),
    answers={"verdict": "", "low_volts": "V", "high_volts": "V"},
    formula="13.5 to 14.7 V; 12.2 to 15 V where a module commands it",
    source="usual limits; the maker's figures win",
    mark="common practice",
    valid="12 V system, warm, fast idle, loads off. Cold raises it.",
    cautions=RUNNING,
    group=GROUP,
    says=lambda answer, given: CHARGING_MEANS[answer["verdict"]],
)
def charging_verdict(volts: float, smart: bool = False) -> dict[str, str | float]:
    """Return `not-charging`, `below`, `within` or `above`, and the two limits. [V]"""
    low, high = SMART_CHARGING_V if smart else CHARGING_V
    verdict = "within" if low <= volts <= high else "above" if volts > high else "below"
    if verdict == "below" and volts <= FULL_AT_REST_V:
        verdict = "not-charging"
    return {"verdict": verdict, "low_volts": low, "high_volts": high}


def _ripple_says(answer: Mapping[str, Any], given: Mapping[str, Any]) -> str:
    return {
        "within": "Usual ripple.",
        "doubtful": "At the edge: look at the pattern on a scope before the alternator is condemned.",
        "above": (
            "Too much: a diode or a phase is likely lost; look at the pattern on a scope, and at the battery."
        ),
    }[str(answer["verdict"])]


@computation(
    "battery.ripple_verdict",
    "What the ripple of an alternator says: give it peak to peak, or as a meter's AC reading",
    Given(
        "peak_to_peak_volts", "Ripple, peak to peak (scope)", "V", low=0, high=40, optional=True, example=0.2
    ),
    Given("ac_volts", "Or ripple on the meter's AC range", "V", low=0, high=40, optional=True),
    answers={"verdict": "", "limit_volts": "V"},
    formula="peak to peak up to 0.5 V; AC reading up to 0.05 V, doubtful up to 0.1 V",
    source="usual limits; the maker's figures win",
    mark="common practice",
    valid="At the alternator or the battery posts, charging, some load on.",
    cautions=RUNNING,
    group=GROUP,
    says=_ripple_says,
)
def ripple_verdict(
    peak_to_peak_volts: float | None = None, ac_volts: float | None = None
) -> dict[str, str | float]:
    """Return `within`, `doubtful` or `above`, and the limit that was used. [V]"""
    if (peak_to_peak_volts is None) == (ac_volts is None):
        raise Refused(
            "peak_to_peak_volts",
            "One of the two readings is needed.",
            "peak to peak, or a meter's AC reading",
        )
    if peak_to_peak_volts is not None:
        verdict = "within" if peak_to_peak_volts <= RIPPLE_PEAK_TO_PEAK_V else "above"
        return {"verdict": verdict, "limit_volts": RIPPLE_PEAK_TO_PEAK_V}
    assert ac_volts is not None
    verdict = (
        "within" if ac_volts <= RIPPLE_AC_USUAL_V else "doubtful" if ac_volts <= RIPPLE_AC_MOST_V else "above"
    )
    return {"verdict": verdict, "limit_volts": RIPPLE_AC_MOST_V}
