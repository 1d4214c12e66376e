"""Gauge, absolute and vacuum, and the air pressure of the place."""

from __future__ import annotations

from diagnostics.sums.care import care
from diagnostics.sums.figures import figure
from shared.computing import Given, Refused, computation

GROUP = "Pressure and vacuum"

# ISO 2533:1975, the standard atmosphere up to 11 km, where g M / (R L) is 5.25588. From memory.
SEA_LEVEL_KPA = 101.325
SEA_LEVEL_K = 288.15
LAPSE_K_PER_M = 0.0065
EXPONENT = 5.25588
LOWEST_M, HIGHEST_M = -430.0, 6000.0  # The lowest road of the world to above the highest.

ALTITUDE = Given(
    "altitude_m", "Altitude, sea level if empty", "m", low=LOWEST_M, high=HIGHEST_M, optional=True
)
AIR = Given(
    "air_kpa",
    "Or air pressure of the day, not reduced to sea level",
    "kPa abs",
    low=40,
    high=110,
    optional=True,
)
ATMOSPHERE = "ISO 2533, the standard atmosphere"
WEATHER = "The weather moves the air pressure by some 3 kPa from the standard one."


@computation(
    "pressure.air_kpa",
    "Usual air pressure at an altitude",
    Given("altitude_m", "Altitude", "m", low=LOWEST_M, high=HIGHEST_M, example=1500),
    unit="kPa abs",
    formula="p = 101.325 × (1 − 0.0065 h / 288.15)^5.25588",
    source=ATMOSPHERE,
    mark="from memory",
    valid=WEATHER,
    group=GROUP,
    says=lambda answer, given: (
        f"About {figure(answer)} kPa; a manifold sensor should show this with key on, engine off."
    ),
)
def air_kpa(altitude_m: float) -> float:
    """Return the pressure of the standard atmosphere at an altitude. [kPa absolute]"""
    return float(SEA_LEVEL_KPA * (1 - LAPSE_K_PER_M * altitude_m / SEA_LEVEL_K) ** EXPONENT)


def local_air_kpa(altitude_m: float | None, air: float | None = None) -> float:
    """Return the air pressure: as given, or of the altitude, or at sea level. [kPa absolute]"""
    if altitude_m is not None and air is not None:
        raise Refused(
            "air_kpa", "The air pressure is given twice, by altitude and as a pressure.", "one of the two"
        )
    return air if air is not None else air_kpa(altitude_m or 0.0)


@computation(
    "pressure.absolute_kpa",
    "Absolute pressure from a gauge reading",
    Given("gauge_kpa", "Gauge reading, a vacuum below 0", "kPa", low=-110, high=1e6, example=220),
    ALTITUDE,
    AIR,
    unit="kPa abs",
    formula="absolute = gauge + air pressure",
    source=ATMOSPHERE,
    mark="from memory",
    valid=WEATHER,
    group=GROUP,
    says=lambda answer, given: f"{figure(answer)} kPa absolute.",
)
def absolute_kpa(gauge_kpa: float, altitude_m: float | None = None, air_kpa: float | None = None) -> float:
    """Return the absolute pressure of a gauge reading. [kPa absolute]"""
    absolute = gauge_kpa + local_air_kpa(altitude_m, air_kpa)
    if absolute < 0:
        raise Refused(
            "gauge_kpa",
            f"{gauge_kpa:g} kPa is more vacuum than the air here gives.",
            "an absolute pressure of 0 or more",
        )
    return absolute


@computation(
    "pressure.gauge_kpa",
    "Gauge reading from an absolute pressure",
    Given("absolute_kpa", "Absolute pressure", "kPa abs", low=0, high=1e6, example=250),
    ALTITUDE,
    AIR,
    unit="kPa",
    formula="gauge = absolute − air pressure",
    source=ATMOSPHERE,
    mark="from memory",
    valid=WEATHER,
    group=GROUP,
    says=lambda answer, given: f"A gauge shows {figure(answer)} kPa{', a vacuum' if answer < 0 else ''}.",
)
def gauge_kpa(absolute_kpa: float, altitude_m: float | None = None, air_kpa: float | None = None) -> float:
    """Return what a gauge shows of an absolute pressure. [kPa gauge]"""
    return absolute_kpa - local_air_kpa(altitude_m, air_kpa)


@computation(
    "pressure.manifold_kpa",
    "Absolute manifold pressure from a vacuum gauge",
    Given("vacuum_kpa", "Vacuum as read (type 20 inHg)", "kPa", low=0, high=110, example=65),
    ALTITUDE,
    AIR,
    unit="kPa abs",
    formula="absolute = air pressure − vacuum",
    source=ATMOSPHERE,
    mark="from memory",
    valid=f"{WEATHER} Every 300 m of altitude take some 3.5 kPa (1 inHg) off the vacuum of the same engine.",
    cautions=care("rotating_parts", "exhaust_gas"),
    group=GROUP,
    says=lambda answer, given: f"The manifold sensor should say {figure(answer)} kPa.",
)
def manifold_kpa(vacuum_kpa: float, altitude_m: float | None = None, air_kpa: float | None = None) -> float:
    """Return the absolute pressure behind a vacuum reading. [kPa absolute]"""
    air = local_air_kpa(altitude_m, air_kpa)
    if vacuum_kpa > air:
        raise Refused(
            "vacuum_kpa", f"{vacuum_kpa:g} kPa is more vacuum than the air here gives.", f"0 to {air:.1f} kPa"
        )
    return air - vacuum_kpa
