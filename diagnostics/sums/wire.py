"""Copper wire: gauge, area, resistance and the voltage it drops (trade-values.md section 4.1)."""

from __future__ import annotations

import math

from diagnostics.sums.care import care
from diagnostics.sums.figures import figure
from shared.computing import Given, Refused, computation

GROUP = "Wire and voltage drop"

# Annealed copper of 100 % IACS at 20 °C, IEC 60028: 1/58 ohm mm2/m. Read in a public cable page.
RESISTIVITY_MOHM_MM2_PER_M = 17.241
COEFFICIENT_PER_K = 0.00393  # Referred to 20 °C. From memory of NBS Handbook 100.
REFERENCE_CELSIUS = 20.0
COLDEST_CELSIUS, HOTTEST_CELSIUS = -60.0, 200.0
# ASTM B258: gauge 36 is 0.005 in, gauge 4/0 is 0.46 in, 39 steps of one ratio between them.
AWG_36_MM, AWG_RATIO, AWG_STEPS = 0.127, 92.0, 39
THICKEST_AWG, THINNEST_AWG = -3, 56

RESISTANCE_SOURCE = (
    "resistivity of annealed copper 17.241 mΩ·mm²/m at 20 °C (IEC 60028, 100 % IACS), a public cable page"
)
COPPER_SOURCE = "temperature coefficient 0.00393 per K at 20 °C, NBS Handbook 100"
SOLID_ONLY = "Solid copper of 100 % IACS at 20 °C; wire as sold is 2 to 3 % above, stranded more."
COPPER_RANGE = "Plain copper, −60 to 200 °C."

AWG = Given(
    "awg",
    "Gauge, 0 for 1/0, −1 for 2/0, −3 for 4/0",
    "AWG",
    "whole",
    low=THICKEST_AWG,
    high=THINNEST_AWG,
    example=18,
)


@computation(
    "wire.awg_diameter_mm",
    "Diameter of a solid wire of an American gauge",
    AWG,
    unit="mm",
    formula="d = 0.127 mm × 92^((36 − n) / 39)",
    source="ASTM B258; the diameters of a public wire table agree",
    mark="from memory",
    valid="Gauge 4/0 (−3) to 56.",
    group=GROUP,
    says=lambda answer, given: (
        f"A solid wire of gauge {gauge_text(given['awg'])} is {figure(answer)} mm thick."
    ),
)
def awg_diameter_mm(awg: int) -> float:
    """Return the diameter of a solid wire of this gauge. [mm]"""
    return float(AWG_36_MM * AWG_RATIO ** ((36 - awg) / AWG_STEPS))


@computation(
    "wire.awg_area_mm2",
    "Cross-section of a wire of an American gauge",
    AWG,
    unit="mm²",
    formula="A = π d² / 4, d = 0.127 mm × 92^((36 − n) / 39)",
    source="ASTM B258; the areas of a public cable-engineering table agree",
    mark="from memory",
    valid="Gauge 4/0 (−3) to 56.",
    group=GROUP,
    says=lambda answer, given: f"Gauge {gauge_text(given['awg'])} has {figure(answer)} mm² of copper.",
)
def awg_area_mm2(awg: int) -> float:
    """Return the cross-section of a solid wire of this gauge. [mm²]"""
    return math.pi / 4 * awg_diameter_mm(awg) ** 2


@computation(
    "wire.awg_mohm_per_m",
    "Resistance of a wire of an American gauge, each metre",
    AWG,
    unit="mΩ/m",
    formula="R = 17.241 / A, A = π d² / 4",
    source="ASTM B258 and NBS Handbook 100, 100 % IACS solid",
    mark="from memory",
    valid=SOLID_ONLY,
    group=GROUP,
    says=lambda answer, given: (
        f"Each metre of gauge {gauge_text(given['awg'])} has {figure(answer)} mΩ at 20 °C."
    ),
)
def awg_mohm_per_m(awg: int) -> float:
    """Return the resistance at 20 °C of a solid wire of this gauge. [mΩ/m]"""
    return area_mohm_per_m(awg_area_mm2(awg))


@computation(
    "wire.area_mohm_per_m",
    "Resistance of a copper wire from its cross-section, each metre",
    Given("mm2", "Cross-section", "mm²", above=0, high=2000, example=2.5),
    unit="mΩ/m",
    formula="R = 17.241 / A",
    source=RESISTANCE_SOURCE,
    mark="read",
    valid=SOLID_ONLY,
    group=GROUP,
    says=lambda answer, given: f"Each metre of {figure(given['mm2'])} mm² has {figure(answer)} mΩ at 20 °C.",
)
def area_mohm_per_m(mm2: float) -> float:
    """Return the resistance at 20 °C of copper of this cross-section. [mΩ/m]"""
    return RESISTIVITY_MOHM_MM2_PER_M / mm2


@computation(
    "wire.copper_at",
    "Resistance of copper at another temperature than 20 °C",
    Given("ohms_20C", "Resistance at 20 °C", "Ω", low=0, high=1e9, example=0.01),
    Given("celsius", "Temperature of the wire", "°C", low=COLDEST_CELSIUS, high=HOTTEST_CELSIUS, example=80),
    unit="Ω",
    formula="R = R₂₀ × (1 + 0.00393 (t − 20))",
    source=COPPER_SOURCE,
    mark="from memory",
    valid=COPPER_RANGE,
    group=GROUP,
    says=lambda answer, given: f"At {figure(given['celsius'])} °C it has {figure(answer)} Ω.",
)
def copper_at(ohms_20C: float, celsius: float) -> float:
    """Return the resistance at `celsius` of copper that has `ohms_20C` at 20 °C. [Ω]"""
    return ohms_20C * copper_factor(celsius)


def copper_factor(celsius: float) -> float:
    """Return by how much copper's resistance is multiplied from 20 °C to `celsius`. [1]"""
    return 1 + COEFFICIENT_PER_K * (celsius - REFERENCE_CELSIUS)


@computation(
    "wire.voltage_drop",
    "Voltage that a wire drops: give its gauge, its cross-section or its resistance each metre",
    Given("metres", "Length of the wire; twice the run for out and back", "m", low=0, high=10_000, example=5),
    Given("amps", "Current", "A", low=0, high=10_000, example=20),
    Given(
        "awg", "Gauge, 0 for 1/0, −1 for 2/0, −3 for 4/0", "AWG", "whole",
        low=THICKEST_AWG, high=THINNEST_AWG, optional=True, example=10,
    ),
    Given("mm2", "Or cross-section", "mm²", above=0, high=2000, optional=True),
    Given("mohm_per_m", "Or resistance each metre at 20 °C", "mΩ/m", above=0, high=1e6, optional=True),
    Given(
        "celsius", "Temperature of the wire, 20 °C if empty", "°C",
        low=COLDEST_CELSIUS, high=HOTTEST_CELSIUS, optional=True,
    ),
    unit="V",
    formula="U = I × R × length × (1 + 0.00393 (t − 20))",
    source=f"Ohm's law; {RESISTANCE_SOURCE}; {COPPER_SOURCE}",
    mark="computed",
    valid=f"{COPPER_RANGE} The drop of connections is not in it.",
    cautions=care("12v_short"),
    group=GROUP,
    says=lambda answer, given: (
        f"{figure(given['amps'])} A through {figure(given['metres'])} m of it drops {figure(answer)} V; "
        "more than that on the meter is a bad connection or a damaged wire."
    ),
)  # fmt: skip
def voltage_drop(
    metres: float,
    amps: float,
    awg: int | None = None,
    mm2: float | None = None,
    mohm_per_m: float | None = None,
    celsius: float = REFERENCE_CELSIUS,
) -> float:
    """Return the voltage that a current drops along a wire. [V]"""
    return amps * metres * _mohm_per_m(awg, mm2, mohm_per_m) / 1000 * copper_factor(celsius)


def _mohm_per_m(awg: int | None, mm2: float | None, mohm_per_m: float | None) -> float:
    given = [value for value in (awg, mm2, mohm_per_m) if value is not None]
    if len(given) != 1:
        what = "The wire is not described." if not given else "The wire is described in more than one way."
        raise Refused("awg", what, "one of gauge (awg), cross-section (mm2), resistance (mohm_per_m)")
    if awg is not None:
        return awg_mohm_per_m(awg)
    return area_mohm_per_m(mm2) if mm2 is not None else float(given[0])


@computation(
    "wire.connection_ohms",
    "Resistance of a connection or a cable from the voltage it drops and the current through it",
    Given("volts", "Voltage drop across it", "V", low=0, high=100_000, example=0.35),
    Given("amps", "Current through it", "A", above=0, high=100_000, example=160),
    unit="Ω",
    formula="R = U / I",
    source="Ohm's law",
    mark="computed",
    valid="Current flowing while the drop is read.",
    cautions=care("12v_short", "rotating_parts"),
    group=GROUP,
    says=lambda answer, given: f"It has {figure(answer * 1000)} mΩ.",
)
def connection_ohms(volts: float, amps: float) -> float:
    """Return the resistance that drops this voltage at this current. [Ω]"""
    return volts / amps


def gauge_text(awg: int) -> str:
    """Return a gauge as it is written on the wire: 18, 1/0, 4/0."""
    return str(awg) if awg > 0 else f"{1 - awg}/0"
