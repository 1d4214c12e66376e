"""Saturation pressure and temperature of the refrigerants of vehicles (trade-values.md section 4.6).

One equation serves both: ln(p / p_c) = (T_c / T) Σ n_i (1 − T / T_c)^t_i. It is solved for the temperature
by bisection, because the pressure rises with it throughout.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from diagnostics.sums.care import care
from diagnostics.sums.figures import figure
from diagnostics.sums.pressure import ALTITUDE, local_air_kpa
from diagnostics.sums.temperature import CELSIUS_ZERO_K, celsius_of, degrees, either
from shared.computing import Given, Refused, computation
from shared.units import PSI_PA

GROUP = "Air-conditioning"

POWERS = (1.0, 1.5, 2.0, 4.0)
HALVINGS = 60  # Bisection of 160 K down to below the resolution of a float.


@dataclass(frozen=True, slots=True)
class Refrigerant:
    """What the saturation equation needs, and where it holds. [K, kPa, 1, °C]"""

    critical_k: float
    critical_kpa: float
    coefficients: tuple[float, ...]
    coldest: float
    hottest: float


# R-134a: R. Tillner-Roth and H. D. Baehr, J. Phys. Chem. Ref. Data 23 (1994) 657. From memory; within
# 0.02 % of CoolProp 8.0.0 from −40 °C up and within 0.12 % at −60 °C.
R134A = Refrigerant(374.18, 4056.29, (-7.686556, 2.311791, -2.039554, -3.583758), -60.0, 100.0)
# R-1234yf: fitted here to CoolProp 8.0.0, which implements Lemmon and Akasaka, Int. J. Thermophys. 43 (2022)
# 119; within 0.05 % of it from −60 °C up.
R1234YF = Refrigerant(367.85, 3384.3737, (-7.457967, 2.209247, -1.737861, -3.267104), -60.0, 94.0)
REFRIGERANTS = {"R-134a": R134A, "R-1234yf": R1234YF}

PSI_KPA = float(PSI_PA / 1000)
# Kilopascal in each unit, and whether it counts from the local air pressure.
UNITS = {
    "kPa": (1.0, False),
    "kPag": (1.0, True),
    "psia": (PSI_KPA, False),
    "psig": (PSI_KPA, True),
    "bar": (100.0, False),
    "barg": (100.0, True),
    "MPa": (1000.0, False),
}
UNIT = Given(
    "unit", "Unit of the pressure, absolute kPa if empty; kPag, psig and barg are gauge", kind="choice",
    choices=tuple(UNITS), optional=True, example="psig",
)  # fmt: skip
PRESSURE = Given("pressure", "Pressure as read, in the unit named", low=-110, high=6000, example=82)

AT_REST = (
    "Engine off, both sides equal, vehicle soaked to one temperature: a standing-pressure "
    "check, never a target "
    "for the running system."
)
SOURCE_134A = "R. Tillner-Roth and H. D. Baehr (1994); a public table credited to REFPROP agrees"
SOURCE_YF = "a fit to CoolProp 8.0.0 (Lemmon and Akasaka, 2022); a public table agrees"
FORMULA = "ln(p / pc) = (Tc / T) × Σ n (1 − T / Tc)^t, c the critical point; gauge = absolute − air pressure"
CARE = care("refrigerant", "hot_parts")


def saturation_kpa(fluid: Refrigerant, celsius: float) -> float:
    """Return the absolute pressure at which liquid and vapour are in balance. [kPa absolute]"""
    kelvin = celsius + CELSIUS_ZERO_K
    below = 1 - kelvin / fluid.critical_k
    total = math.fsum(n * below**t for n, t in zip(fluid.coefficients, POWERS, strict=True))
    return fluid.critical_kpa * math.exp(fluid.critical_k / kelvin * total)


def saturation_celsius(fluid: Refrigerant, kpa: float) -> float:
    """Return the temperature at which liquid and vapour are in balance at an absolute pressure. [°C]

    Refuses a pressure outside those of the fluid's range.
    """
    least, most = saturation_kpa(fluid, fluid.coldest), saturation_kpa(fluid, fluid.hottest)
    if not least <= kpa <= most:
        raise Refused(
            "pressure",
            f"{kpa:.4g} kPa absolute is outside the range in which this holds: {least:.4g} "
            f"to {most:.4g} kPa absolute.",
            f"{least:.4g} to {most:.4g} kPa absolute ({fluid.coldest:g} to {fluid.hottest:g} °C)",
        )
    low, high = fluid.coldest, fluid.hottest
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if saturation_kpa(fluid, middle) < kpa else (low, middle)
    return (low + high) / 2


def as_read(kpa: float, unit: str, altitude_m: float | None) -> float:
    """Return an absolute pressure as a gauge in `unit` shows it. [unit]"""
    factor, is_gauge = UNITS[unit]
    return (kpa - (local_air_kpa(altitude_m) if is_gauge else 0.0)) / factor


def absolute(pressure: float, unit: str, altitude_m: float | None) -> float:
    """Return a pressure as read in `unit` as an absolute one. [kPa absolute]"""
    factor, is_gauge = UNITS[unit]
    return pressure * factor + (local_air_kpa(altitude_m) if is_gauge else 0.0)


def _pressure_says(answer: float, given: Mapping[str, Any]) -> str:
    return (
        f"At rest the gauge should show {figure(answer)} "
        f"{given.get('unit', 'kPa (absolute)')} while any liquid is left."
    )


def _warmth_says(answer: float, given: Mapping[str, Any]) -> str:
    return f"This is the pressure of {degrees(answer)}, while any liquid is left."


@computation(
    "ac.r134a_psat",
    "Standing pressure of R-134a at a temperature",
    *either(R134A.coldest, R134A.hottest, example=25),
    UNIT,
    ALTITUDE,
    unit="kPa",
    formula=FORMULA,
    source=SOURCE_134A,
    mark="from memory",
    valid=f"−60 to 100 °C. {AT_REST}",
    cautions=CARE,
    group=GROUP,
    says=_pressure_says,
)
def r134a_psat(
    celsius: float | None = None,
    fahrenheit: float | None = None,
    unit: str = "kPa",
    altitude_m: float | None = None,
) -> float:
    """Return the saturation pressure of R-134a. [unit]"""
    return as_read(saturation_kpa(R134A, celsius_of(celsius, fahrenheit)), unit, altitude_m)


@computation(
    "ac.r1234yf_psat",
    "Standing pressure of R-1234yf at a temperature",
    *either(R1234YF.coldest, R1234YF.hottest, example=25),
    UNIT,
    ALTITUDE,
    unit="kPa",
    formula=FORMULA,
    source=SOURCE_YF,
    mark="computed",
    valid=f"−60 to 94 °C. {AT_REST}",
    cautions=CARE,
    group=GROUP,
    says=_pressure_says,
)
def r1234yf_psat(
    celsius: float | None = None,
    fahrenheit: float | None = None,
    unit: str = "kPa",
    altitude_m: float | None = None,
) -> float:
    """Return the saturation pressure of R-1234yf. [unit]"""
    return as_read(saturation_kpa(R1234YF, celsius_of(celsius, fahrenheit)), unit, altitude_m)


@computation(
    "ac.r134a_tsat",
    "Temperature that belongs to a standing pressure of R-134a",
    PRESSURE,
    UNIT,
    ALTITUDE,
    unit="°C",
    formula=FORMULA,
    source=SOURCE_134A,
    mark="from memory",
    valid=f"−60 to 100 °C. {AT_REST}",
    cautions=CARE,
    group=GROUP,
    says=_warmth_says,
)
def r134a_tsat(pressure: float, unit: str = "kPa", altitude_m: float | None = None) -> float:
    """Return the saturation temperature of R-134a. [°C]"""
    return saturation_celsius(R134A, absolute(pressure, unit, altitude_m))


@computation(
    "ac.r1234yf_tsat",
    "Temperature that belongs to a standing pressure of R-1234yf",
    PRESSURE,
    UNIT,
    ALTITUDE,
    unit="°C",
    formula=FORMULA,
    source=SOURCE_YF,
    mark="computed",
    valid=f"−60 to 94 °C. {AT_REST}",
    cautions=CARE,
    group=GROUP,
    says=_warmth_says,
)
def r1234yf_tsat(pressure: float, unit: str = "kPa", altitude_m: float | None = None) -> float:
    """Return the saturation temperature of R-1234yf. [°C]"""
    return saturation_celsius(R1234YF, absolute(pressure, unit, altitude_m))
