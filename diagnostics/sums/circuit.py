"""Ohm's law, power, resistors in series and in parallel."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from diagnostics.sums.care import care
from diagnostics.sums.figures import figure, figures
from shared.computing import Given, Refused, computation

GROUP = "Circuit"
LARGEST = 1e12

OHMS = Given("ohms", "Resistances", "Ω", "numbers", above=0, high=LARGEST, least=1, example=[120, 120])


def _ohm_says(answer: Mapping[str, float], given: Mapping[str, Any]) -> str:
    return (
        f"{figure(answer['volts'])} V, {figure(answer['amps'])} A, {figure(answer['ohms'])} Ω and "
        f"{figure(answer['watts'])} W belong together."
    )


def _quantity(key: str, meaning: str, unit: str, example: float | None = None) -> Given:
    return Given(key, meaning, unit, above=0, high=LARGEST, optional=True, example=example)


@computation(
    "circuit.ohm_law",
    "Volts, amps, ohms and watts: give any two of the four",
    _quantity("volts", "Voltage", "V", 12.6),
    _quantity("amps", "Current", "A", 4.2),
    _quantity("ohms", "Resistance", "Ω"),
    _quantity("watts", "Power", "W"),
    answers={"volts": "V", "amps": "A", "ohms": "Ω", "watts": "W"},
    formula="U = I × R; P = U × I",
    source="Ohm's law and the definition of power",
    mark="computed",
    valid=(
        "Direct current through a part that keeps its resistance; a cold lamp or motor has "
        "less than a hot one."
    ),
    cautions=care("12v_short", "high_voltage"),
    group=GROUP,
    says=_ohm_says,
)
def ohm_law(
    volts: float | None = None,
    amps: float | None = None,
    ohms: float | None = None,
    watts: float | None = None,
) -> dict[str, float]:
    """Return all four quantities of a direct-current circuit from two of them."""
    if sum(value is not None for value in (volts, amps, ohms, watts)) != 2:
        raise Refused(
            "volts", "Two of the four are needed, no more and no fewer.", "two of volts, amps, ohms, watts"
        )
    u, i = _volts_and_amps(volts, amps, ohms, watts)
    return {
        "volts": u,
        "amps": i,
        "ohms": u / i if ohms is None else ohms,
        "watts": u * i if watts is None else watts,
    }


def _volts_and_amps(
    volts: float | None, amps: float | None, ohms: float | None, watts: float | None
) -> tuple[float, float]:
    if volts is not None:
        if amps is not None:
            return volts, amps
        return volts, volts / ohms if ohms is not None else (watts or 0.0) / volts
    if amps is not None:
        return (amps * ohms if ohms is not None else (watts or 0.0) / amps), amps
    resistance, power = ohms or 0.0, watts or 0.0
    return math.sqrt(power * resistance), math.sqrt(power / resistance)


@computation(
    "circuit.series_ohms",
    "Resistances one after the other",
    OHMS,
    unit="Ω",
    formula="R = R₁ + R₂ + …",
    source="Kirchhoff's laws",
    mark="computed",
    valid="Resistances above 0.",
    group=GROUP,
    says=lambda answer, given: f"{figures(given['ohms'])} Ω in series are {figure(answer)} Ω.",
)
def series_ohms(ohms: list[float]) -> float:
    """Return the resistance of n resistors in series. [Ω]"""
    return math.fsum(ohms)


@computation(
    "circuit.parallel_ohms",
    "Resistances side by side",
    OHMS,
    unit="Ω",
    formula="1 / R = 1 / R₁ + 1 / R₂ + …",
    source="Kirchhoff's laws",
    mark="computed",
    valid="Resistances above 0.",
    group=GROUP,
    says=lambda answer, given: (
        f"{figures(given['ohms'])} Ω in parallel are {figure(answer)} Ω, less than the smallest of them."
        if len(given["ohms"]) > 1
        else f"One resistance alone stays {figure(answer)} Ω."
    ),
)
def parallel_ohms(ohms: list[float]) -> float:
    """Return the resistance of n resistors in parallel. [Ω]"""
    return 1 / math.fsum(1 / value for value in ohms)


@computation(
    "circuit.branch_ohms",
    "What else lies in parallel: the hidden branch behind a reading that is too low",
    Given("expected_ohms", "Resistance that should be there", "Ω", above=0, high=LARGEST, example=60),
    Given("measured_ohms", "Resistance as read", "Ω", above=0, high=LARGEST, example=55),
    unit="Ω",
    formula="1 / R = 1 / measured − 1 / expected",
    source="Kirchhoff's laws",
    mark="computed",
    valid="The reading is below what should be there.",
    group=GROUP,
    says=lambda answer, given: f"A branch of {figure(answer)} Ω beside it gives this reading.",
)
def branch_ohms(expected_ohms: float, measured_ohms: float) -> float:
    """Return the resistance that brings the expected one down to the measured one. [Ω]"""
    if measured_ohms >= expected_ohms:
        raise Refused(
            "measured_ohms",
            f"{measured_ohms:g} Ω is not below {expected_ohms:g} Ω: nothing in parallel can "
            "raise a resistance.",
            f"above 0, below {expected_ohms:g} Ω",
        )
    return 1 / (1 / measured_ohms - 1 / expected_ohms)
