"""Thermistors and sensor supplies (trade-values.md section 4.5)."""

from __future__ import annotations

import math

from diagnostics.sums.care import care
from diagnostics.sums.figures import figure
from diagnostics.sums.temperature import CELSIUS_ZERO_K, celsius_of, degrees, either
from shared.computing import Given, Refused, computation

GROUP = "Sensors"

R25_CELSIUS = 25.0  # A thermistor's nominal resistance is that at 25 °C.
COLDEST_CELSIUS, HOTTEST_CELSIUS = -80.0, 400.0
SUPPLY_V, SUPPLY_OFF_V = 5.0, 0.25  # Common practice.

OHMS = Given("ohms", "Resistance of the sensor", "Ω", above=0, high=1e9, example=2500)
R25 = Given("r25", "Its resistance at 25 °C", "Ω", above=0, high=1e9, example=2200)
BETA = Given("beta", "Its beta", "K", above=0, high=20_000, example=3500)
VREF = Given("vref", "Supply of the sensor", "V", above=0, high=100, example=5.0)
PULLUP = Given("pullup", "Pull-up resistor in the module", "Ω", above=0, high=1e9, example=2200)
COEFFICIENTS = (
    Given("A", "Coefficient A", low=-1, high=1, example=0.001129148),
    Given("B", "Coefficient B", low=-1, high=1, example=0.000234125),
    Given("C", "Coefficient C", low=-1, high=1, example=8.76741e-08),
)
BETA_SOURCE = "the beta equation of thermistor makers"
CARE = care("hot_parts", "cooling_pressure")
NTC_ONLY = "A sensor whose resistance falls as it warms. One beta holds well over some 50 K around 25 °C."
NO_CURRENT = "Unplugged, no current from elsewhere."


def _warmth(answer: float) -> str:
    return f"The sensor says {degrees(answer)}. Compare with a thermometer beside it."


@computation(
    "sensor.steinhart_hart",
    "Temperature of a thermistor by the Steinhart-Hart equation",
    OHMS,
    *COEFFICIENTS,
    unit="°C",
    formula="1 / T = A + B ln R + C (ln R)³, T in kelvin",
    source="a public module manual; the coefficients are the sensor maker's",
    mark="read",
    valid=f"Between the temperatures for which the coefficients were made. {NO_CURRENT}",
    cautions=CARE,
    group=GROUP,
    says=lambda answer, given: _warmth(answer),
)
def steinhart_hart(ohms: float, A: float, B: float, C: float) -> float:
    """Return the temperature at which a thermistor has this resistance. [°C]"""
    logarithm = math.log(ohms)
    return _celsius("ohms", A + B * logarithm + C * logarithm**3)


def _celsius(field: str, per_kelvin: float) -> float:
    """From 1/T; what no sensor can be asked for is refused."""
    lowest, highest = (1 / (CELSIUS_ZERO_K + t) for t in (HOTTEST_CELSIUS, COLDEST_CELSIUS))
    if not lowest <= per_kelvin <= highest:
        raise Refused(
            field,
            "These values give no temperature that a thermistor can have.",
            f"a resistance that belongs to {COLDEST_CELSIUS:g} to {HOTTEST_CELSIUS:g} °C",
        )
    return 1 / per_kelvin - CELSIUS_ZERO_K


@computation(
    "sensor.beta",
    "Temperature of a thermistor from its resistance, by its beta",
    OHMS,
    R25,
    BETA,
    unit="°C",
    formula="1 / T = 1 / 298.15 + ln(R / R₂₅) / beta",
    source=BETA_SOURCE,
    mark="from memory",
    valid=f"{NTC_ONLY} {NO_CURRENT}",
    cautions=CARE,
    group=GROUP,
    says=lambda answer, given: _warmth(answer),
)
def beta_celsius(ohms: float, r25: float, beta: float) -> float:
    """Return the temperature at which a thermistor of this beta has this resistance. [°C]"""
    return _celsius("ohms", 1 / (CELSIUS_ZERO_K + R25_CELSIUS) + (math.log(ohms) - math.log(r25)) / beta)


@computation(
    "sensor.beta_ohms",
    "Resistance that a thermistor should have at a temperature",
    *either(COLDEST_CELSIUS, HOTTEST_CELSIUS, "Temperature", 80),
    R25,
    BETA,
    unit="Ω",
    formula="R = R₂₅ × exp(beta × (1 / T − 1 / 298.15))",
    source=BETA_SOURCE,
    mark="from memory",
    valid=NTC_ONLY,
    cautions=CARE,
    group=GROUP,
    says=lambda answer, given: f"It should have {figure(answer)} Ω.",
)
def beta_ohms(
    r25: float, beta: float, celsius: float | None = None, fahrenheit: float | None = None
) -> float:
    """Return the resistance of a thermistor at a temperature. [Ω]"""
    kelvin = celsius_of(celsius, fahrenheit) + CELSIUS_ZERO_K
    return r25 * math.exp(beta * (1 / kelvin - 1 / (CELSIUS_ZERO_K + R25_CELSIUS)))


@computation(
    "sensor.beta_of",
    "Beta of a thermistor from two points of the maker's table",
    Given("ohms_1", "Resistance at the first temperature", "Ω", above=0, high=1e9, example=2500),
    Given("celsius_1", "First temperature", "°C", low=COLDEST_CELSIUS, high=HOTTEST_CELSIUS, example=20),
    Given("ohms_2", "Resistance at the second temperature", "Ω", above=0, high=1e9, example=300),
    Given("celsius_2", "Second temperature", "°C", low=COLDEST_CELSIUS, high=HOTTEST_CELSIUS, example=80),
    answers={"beta": "K", "r25": "Ω"},
    formula="beta = ln(R₁ / R₂) / (1 / T₁ − 1 / T₂)",
    source=BETA_SOURCE,
    mark="from memory",
    valid=NTC_ONLY,
    group=GROUP,
    says=lambda answer, given: f"Beta {figure(answer['beta'])} K, {figure(answer['r25'])} Ω at 25 °C.",
)
def beta_of(ohms_1: float, celsius_1: float, ohms_2: float, celsius_2: float) -> dict[str, float]:
    """Return the beta through two points, and the resistance that goes with it at 25 °C."""
    if celsius_1 == celsius_2:
        raise Refused("celsius_2", "Both temperatures are the same.", "two temperatures that differ")
    first, second = 1 / (celsius_1 + CELSIUS_ZERO_K), 1 / (celsius_2 + CELSIUS_ZERO_K)
    beta = (math.log(ohms_1) - math.log(ohms_2)) / (first - second)
    if beta <= 0:
        raise Refused(
            "ohms_2", "This resistance does not fall as it warms.", "lower at the higher temperature"
        )
    return {"beta": beta, "r25": ohms_1 * math.exp(beta * (1 / (CELSIUS_ZERO_K + R25_CELSIUS) - first))}


@computation(
    "sensor.divider",
    "Temperature from the signal of a thermistor to ground behind a pull-up resistor",
    Given("volts", "Signal", "V", low=0, high=100, example=2.5),
    VREF,
    PULLUP,
    R25,
    BETA,
    unit="°C",
    formula="R = pull-up × U / (U ref − U), then 1 / T = 1 / 298.15 + ln(R / R₂₅) / beta",
    source=f"Ohm's law; {BETA_SOURCE}",
    mark="computed",
    valid=f"{NTC_ONLY} Plugged in, key on, sensor between signal and ground.",
    cautions=CARE,
    group=GROUP,
    says=lambda answer, given: _warmth(answer),
)
def divider(volts: float, vref: float, pullup: float, r25: float, beta: float) -> float:
    """Return the temperature that a signal voltage stands for. [°C]"""
    ohms = pullup * volts / (vref - volts) if volts < vref else math.inf
    if not 0 < ohms < math.inf:
        end = "a wire shorted to ground" if ohms <= 0 else "an open wire or sensor"
        raise Refused(
            "volts", f"{volts:g} V is no temperature: it points to {end}.", f"above 0, below {vref:g} V"
        )
    return beta_celsius(ohms, r25, beta)


@computation(
    "sensor.divider_volts",
    "Signal that a thermistor to ground should give at a temperature",
    *either(COLDEST_CELSIUS, HOTTEST_CELSIUS, "Temperature", 80),
    VREF,
    PULLUP,
    R25,
    BETA,
    unit="V",
    formula="U = U ref × R / (R + pull-up)",
    source=f"Ohm's law; {BETA_SOURCE}",
    mark="computed",
    valid=NTC_ONLY,
    cautions=CARE,
    group=GROUP,
    says=lambda answer, given: (
        f"{figure(answer)} V at the module; usual are 0.5 to 1 V hot and 3 to 4 V cold on a 5 V supply."
    ),
)
def divider_volts(
    vref: float,
    pullup: float,
    r25: float,
    beta: float,
    celsius: float | None = None,
    fahrenheit: float | None = None,
) -> float:
    """Return the signal voltage at a temperature. [V]"""
    ohms = beta_ohms(r25, beta, celsius, fahrenheit)
    return vref * ohms / (ohms + pullup)


@computation(
    "sensor.supply_verdict",
    "Whether the 5 V supply of the sensors is right",
    Given("volts", "Supply, at the sensor's plug", "V", low=0, high=60, example=4.98),
    answers={"verdict": "", "low_volts": "V", "high_volts": "V"},
    formula="5.0 V ± 0.25 V",
    source="usual limits; the maker's figure wins",
    mark="common practice",
    valid="A 5 V supply, against the sensor's own ground, key on.",
    group=GROUP,
    says=lambda answer, given: {
        "within": "A usual supply.",
        "below": "Too low: unplug the sensors that share it one by one, and check the module's ground.",
        "above": "Too high: a short to a battery-fed wire, or the module; sensors may be damaged.",
    }[answer["verdict"]],
)
def supply_verdict(volts: float) -> dict[str, str | float]:
    """Return `below`, `within` or `above`, and the two limits. [V]"""
    low, high = SUPPLY_V - SUPPLY_OFF_V, SUPPLY_V + SUPPLY_OFF_V
    verdict = "below" if volts < low else "above" if volts > high else "within"
    return {"verdict": verdict, "low_volts": low, "high_volts": high}
