"""The register of the demo's instruments: ranges as their makers state them, calibrations as found."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Range:
    """One range of an instrument, from 0 or another low end."""

    tool: str
    unit: str
    high: str
    resolution: str
    accuracy_text: str
    low: str = "0"


@dataclass(frozen=True, slots=True)
class Found:
    """What a calibration found; days are counted back from today."""

    tool: str
    days_ago: int
    error: str | None = None
    unit: str = ""
    of_unit: str = ""
    note: str = ""


def _meter(tool: str, volts: str, ohms: str) -> tuple[Range, ...]:
    return (
        Range(tool, "mV", "600", "0.1", volts),
        Range(tool, "V", "6", "0.001", volts),
        Range(tool, "V", "60", "0.01", volts),
        Range(tool, "V", "600", "0.1", volts),
        Range(tool, "Ω", "600", "0.1", ohms),
        Range(tool, "kΩ", "6", "0.001", ohms),
        Range(tool, "kΩ", "600", "0.1", ohms),
        Range(tool, "A", "10", "0.001", "1.0 % + 3"),
    )


RANGES = (
    *_meter("meter 1", "±(0.5 % + 2)", "±(0.9 % + 2)"),
    *_meter("meter 2", "±(0.3 % + 1)", "±(0.5 % + 2)"),
    *_meter("meter 3", "±(0.8 % + 3)", "±(1.2 % + 3)"),
    Range("clamp 1", "A", "40", "0.01", "1 % + 0.01 A"),
    Range("clamp 2", "A", "400", "0.1", "2 % + 0.1 A"),
    Range("thermometer 1", "°C", "150", "0.1", "0.5 °C", low="-50"),
)
CALIBRATIONS = (
    Found("meter 1", 529, note="Certificate kept with the meter."),
    Found("meter 1", 164, "0.7", "%", "V", "Showed too much on every voltage range. Adjusted, then good."),
    Found("meter 2", 233, note="Certificate kept with the meter."),
    Found("meter 3", 353, note="Certificate kept with the meter."),
    Found("clamp 1", 255, note="Zeroed first."),
)
