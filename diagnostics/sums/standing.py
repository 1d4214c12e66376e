"""What the standing pressure of an air-conditioning system says (trade-values.md section 4.6)."""

from __future__ import annotations

from diagnostics.sums.pressure import ALTITUDE
from diagnostics.sums.refrigerant import (
    AT_REST,
    CARE,
    GROUP,
    PRESSURE,
    REFRIGERANTS,
    UNIT,
    absolute,
    saturation_kpa,
)
from diagnostics.sums.temperature import celsius_of, either
from shared.computing import Given, Refused, computation

# Project rule: a workshop gauge of class 1.6 and 1 K of doubt about the temperature make about 5 %.
NEAR_SHARE = 0.05

MEANINGS = {
    "matches": (
        "The pressure is that of the refrigerant: some liquid is there. How much, only "
        "recovery and weighing tell."
    ),
    "above": (
        "Above the refrigerant's own pressure: air in the system, another refrigerant, or "
        "the vehicle is not soaked to one temperature."
    ),
    "below": "Below it: no liquid is left, the charge is far too low. Find the leak before it is filled.",
}


@computation(
    "ac.standing_verdict",
    "What the standing pressure says of the charge",
    Given(
        "refrigerant",
        "Refrigerant on the label",
        kind="choice",
        choices=tuple(REFRIGERANTS),
        example="R-134a",
    ),
    PRESSURE,
    UNIT,
    *either(-60, 94, "Temperature of the soaked vehicle", 25),
    ALTITUDE,
    answers={"verdict": "", "expected_kpa": "kPa abs", "read_kpa": "kPa abs", "off_percent": "%"},
    formula="reading / saturation pressure − 1, within 5 % matches",
    source="saturation equations of ac.r134a_psat and ac.r1234yf_psat; the band is ours",
    mark="project rule",
    valid=AT_REST,
    cautions=CARE,
    group=GROUP,
    says=lambda answer, given: MEANINGS[answer["verdict"]],
)
def standing_verdict(
    refrigerant: str,
    pressure: float,
    unit: str = "kPa",
    celsius: float | None = None,
    fahrenheit: float | None = None,
    altitude_m: float | None = None,
) -> dict[str, str | float]:
    """Return `matches`, `above` or `below`, both absolute pressures, and by how much they differ."""
    expected = saturation_kpa(REFRIGERANTS[refrigerant], celsius_of(celsius, fahrenheit))
    read = absolute(pressure, unit, altitude_m)
    if read < 0:
        raise Refused(
            "pressure", "This is more vacuum than the air here gives.", "an absolute pressure of 0 or more"
        )
    off = read / expected - 1
    verdict = "matches" if abs(off) <= NEAR_SHARE else "above" if off > 0 else "below"
    return {"verdict": verdict, "expected_kpa": expected, "read_kpa": read, "off_percent": 100 * off}
