"""Which wire is thick enough, and how much voltage a part of a circuit may drop (sections 4.1 and 4.2)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from diagnostics.sums import wire
from diagnostics.sums.care import care
from diagnostics.sums.figures import figure
from shared.computing import Given, computation

# Highest resistance at 20 °C of plain flexible conductors, class 5. Read in public tables of IEC 60228.
FLEXIBLE_MOHM_PER_M = {
    0.5: 39.0, 0.75: 26.0, 1.0: 19.5, 1.5: 13.3, 2.5: 7.98, 4.0: 4.95, 6.0: 3.30, 10.0: 1.91, 16.0: 1.21,
    25.0: 0.780, 35.0: 0.554, 50.0: 0.386,
}  # fmt: skip
USUAL_GAUGES = (22, 20, 18, 16, 14, 12, 10, 8, 6, 4, 2, 1, 0, -1, -2, -3)
SAME = 1 + 1e-9  # A wire that meets the need exactly is not passed over for a rounding.

# Common practice, no single authority: current flowing, at the rated load. The maker's figure wins.
LIMITS_V = {
    "starter, positive side": 0.5,
    "starter, ground side": 0.3,
    "starter, both sides": 0.8,
    "charging, positive side": 0.5,
    "charging, ground side": 0.2,
    "wire or cable": 0.2,
    "switch or relay contact": 0.3,
    "ground connection": 0.1,
    "connector": 0.1,
    "sensor or computer ground": 0.05,
    "sensor reference": 0.1,
}
SHARES_OF_SUPPLY = {"branch circuit, critical": 0.03, "branch circuit, not critical": 0.10}
CIRCUITS = (*LIMITS_V, *SHARES_OF_SUPPLY)
USUAL_SUPPLY_V = 12.0

CIRCUIT = Given(
    "circuit", "Part of the circuit", kind="choice", choices=CIRCUITS, example="ground connection"
)
SUPPLY = Given(
    "supply_volts", "Supply of a branch circuit, 12 V if empty", "V", above=0, high=60, optional=True
)
LIMIT_SOURCE = "usual workshop limits; the starter's total of 0.8 V was read in one tester manual"
LIMIT_RANGE = "Current flowing, at the rated load. The maker's figure wins."


def _wire_says(answer: Mapping[str, Any], given: Mapping[str, Any]) -> str:
    area = answer["size_mm2"]
    if area is None or answer["gauge_awg"] is None:
        return "No single wire of the usual sizes is thick enough: shorten the run, or allow a larger drop."
    return (
        f"{figure(area)} mm² or gauge {wire.gauge_text(answer['gauge_awg'])} is the thinnest usual wire "
        f"that keeps the drop within {figure(given['drop_volts'])} V. The fuse must still protect it."
    )


@computation(
    "wire.gauge_needed",
    "Thinnest usual wire that keeps the drop within what is allowed",
    Given("amps", "Current", "A", above=0, high=2000, example=20),
    Given("metres", "Length of the run, one way", "m", above=0, high=1000, example=5),
    Given("drop_volts", "Drop allowed on the wire", "V", above=0, high=100, example=0.36),
    Given(
        "celsius", "Temperature of the wire, 20 °C if empty", "°C",
        low=wire.COLDEST_CELSIUS, high=wire.HOTTEST_CELSIUS, optional=True,
    ),
    Given("both_ways", "Out and back on wires of this size", kind="yes", optional=True),
    answers={
        "area_mm2": "mm²",
        "size_mm2": "mm²",
        "size_drop_volts": "V",
        "gauge_awg": "AWG",
        "gauge_drop_volts": "V",
    },
    formula=(
        "R needed = U / (I × length × (1 + 0.00393 (t − 20))); A = 17.241 / R; length "
        "twice the run for both ways"
    ),
    source="Ohm's law; sizes by IEC 60228 class 5 (highest resistance, public tables) and ASTM B258",
    mark="computed",
    valid="Plain copper. The voltage drop only: how hot the wire gets is for the maker's table and the fuse.",
    cautions=(
        "Heat is not in this sum: take the thicker of this wire and the one that the fuse, "
        "the bundle and the "
        "maker's table ask for.",
        *care("12v_short"),
    ),
    group=wire.GROUP,
    says=_wire_says,
)  # fmt: skip
def gauge_needed(
    amps: float,
    metres: float,
    drop_volts: float,
    celsius: float = wire.REFERENCE_CELSIUS,
    both_ways: bool = False,
) -> dict[str, float | int | None]:
    """Return the exact area, the next usual metric size and gauge, and their drop; None past the largest."""
    volts_each_mohm = amps * metres * (2 if both_ways else 1) * wire.copper_factor(celsius) / 1000
    most = drop_volts / volts_each_mohm
    area = next((mm2 for mm2, mohm in FLEXIBLE_MOHM_PER_M.items() if mohm <= most * SAME), None)
    awg = next((n for n in USUAL_GAUGES if wire.awg_mohm_per_m(n) <= most * SAME), None)
    return {
        "area_mm2": wire.RESISTIVITY_MOHM_MM2_PER_M / most,
        "size_mm2": area,
        "size_drop_volts": None if area is None else FLEXIBLE_MOHM_PER_M[area] * volts_each_mohm,
        "gauge_awg": awg,
        "gauge_drop_volts": None if awg is None else wire.awg_mohm_per_m(awg) * volts_each_mohm,
    }


@computation(
    "wire.flexible_mohm_per_m",
    "Highest resistance of a flexible metric wire as sold, each metre",
    Given(
        "size", "Nominal cross-section, mm²", kind="choice",
        choices=tuple(f"{mm2:g}" for mm2 in FLEXIBLE_MOHM_PER_M), example="2.5",
    ),
    unit="mΩ/m",
    formula="table",
    source="IEC 60228, class 5, plain copper, public tables",
    mark="read",
    valid="20 °C, plain flexible copper.",
    group=wire.GROUP,
    says=lambda answer, given: (
        f"Each metre of a sound {given['size']} mm² wire has {figure(answer)} mΩ at most at "
        "20 °C."
    ),
)  # fmt: skip
def flexible_mohm_per_m(size: str) -> float:
    """Return the highest resistance that the standard allows a wire of this nominal size. [mΩ/m]"""
    return FLEXIBLE_MOHM_PER_M[float(size)]


@computation(
    "wire.drop_limit_volts",
    "How much voltage a part of a circuit may usually drop",
    CIRCUIT,
    SUPPLY,
    unit="V",
    formula="table; 3 % or 10 % of the supply for a branch circuit",
    source=LIMIT_SOURCE,
    mark="common practice",
    valid=LIMIT_RANGE,
    cautions=care("12v_short", "rotating_parts"),
    group=wire.GROUP,
    says=lambda answer, given: f"Usually {figure(answer)} V or less for: {given['circuit']}.",
)
def drop_limit_volts(circuit: str, supply_volts: float = USUAL_SUPPLY_V) -> float:
    """Return the usual highest drop of a part of a circuit. [V]"""
    share = SHARES_OF_SUPPLY.get(circuit)
    return LIMITS_V[circuit] if share is None else share * supply_volts


@computation(
    "wire.drop_verdict",
    "Whether a measured drop is within the usual limit of its part of the circuit",
    Given("volts", "Voltage drop as read", "V", low=0, high=60, example=0.35),
    CIRCUIT,
    SUPPLY,
    answers={"verdict": "", "limit_volts": "V", "over_volts": "V"},
    formula="drop − limit",
    source=LIMIT_SOURCE,
    mark="common practice",
    valid=f"{LIMIT_RANGE} The meter's own uncertainty is not in it.",
    cautions=care("12v_short", "rotating_parts"),
    group=wire.GROUP,
    says=lambda answer, given: (
        f"{figure(given['volts'])} V is "
        f"{'more than' if answer['verdict'] == 'above' else 'within'} the usual "
        f"{figure(answer['limit_volts'])} V for: {given['circuit']}."
    ),
)
def drop_verdict(volts: float, circuit: str, supply_volts: float = USUAL_SUPPLY_V) -> dict[str, str | float]:
    """Return `within` or `above`, the limit, and by how much it is passed (0 within). [V]"""
    limit = drop_limit_volts(circuit, supply_volts)
    return {
        "verdict": "above" if volts > limit else "within",
        "limit_volts": limit,
        "over_volts": max(volts - limit, 0.0),
    }
