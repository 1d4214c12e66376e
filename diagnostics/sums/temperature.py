"""A temperature that may be given in degrees Celsius or Fahrenheit."""

from __future__ import annotations

from shared.computing import Given, Refused
from shared.wording import quantity_text

# Exact: the Fahrenheit scale has 180 degrees between 32 °F and 212 °F where Celsius has 100.
FAHRENHEIT_A_KELVIN = 9 / 5
FAHRENHEIT_AT_0_C = 32.0
CELSIUS_ZERO_K = 273.15  # Exact by definition of the degree Celsius, SI brochure, 9th ed., 2019.


def to_fahrenheit(celsius: float) -> float:
    """Return a temperature in °F. [°F]"""
    return celsius * FAHRENHEIT_A_KELVIN + FAHRENHEIT_AT_0_C


def to_celsius(fahrenheit: float) -> float:
    """Return a temperature in °C. [°C]"""
    return (fahrenheit - FAHRENHEIT_AT_0_C) / FAHRENHEIT_A_KELVIN


def degrees(celsius: float) -> str:
    """Return a temperature in words, to a tenth of a degree: "25.0 °C (77.0 °F)"."""
    return f"{_tenths(celsius, '°C')} ({_tenths(to_fahrenheit(celsius), '°F')})"


def _tenths(value: float, unit: str) -> str:
    return quantity_text(f"{round(value, 1) + 0:.1f}", unit)


def either(
    low: float, high: float, meaning: str = "Temperature", example: float | None = None
) -> tuple[Given, Given]:
    """Return the two values of which one is given; `low` and `high` bound both. [°C]"""
    return (
        Given("celsius", meaning, "°C", low=low, high=high, optional=True, example=example),
        Given(
            "fahrenheit",
            f"Or {meaning[0].lower()}{meaning[1:]}",
            "°F",
            low=to_fahrenheit(low),
            high=to_fahrenheit(high),
            optional=True,
        ),
    )


def celsius_of(celsius: float | None, fahrenheit: float | None, unless: float | None = None) -> float:
    """Return the one temperature that was given. [°C]

    `unless` stands where none was given; without it, none and both are refused.
    """
    if celsius is not None and fahrenheit is not None:
        raise Refused("fahrenheit", "The temperature is given twice, in °C and in °F.", "one of the two")
    if fahrenheit is not None:
        return to_celsius(fahrenheit)
    if celsius is not None:
        return celsius
    if unless is None:
        raise Refused("celsius", "The temperature is missing.", "a temperature in °C or in °F")
    return unless
