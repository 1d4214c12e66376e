"""The small invented vocabulary of generated histories, and the edges they crowd."""

from collections.abc import Mapping
from datetime import date, time
from decimal import Decimal
from typing import Any

Line = dict[str, Any]

FIRST_DAY, LAST_DAY = date(2024, 1, 8), date(2026, 12, 18)
PEOPLE = ("Ines Calder", "Rob Tamm", "Mo Hale", "Una Brandt")
CLOCKS = (time(8, 15), time(9, 0), time(10, 30), time(13, 45), time(16, 20), time(23, 40), time(0, 20))
FAMILIES = (  # systems that are the same, adjacent or strange to each other
    ("charging", "battery", "cooling"),
    ("cooling", "hvac", "engine_mechanical"),
    ("fuel", "ignition", "intake_air"),
    ("steering", "tyres_wheels", "body_water"),
)
SYMPTOMS = ("no_start", "warning_lamp", "noise")
COMPONENTS = ("alternator", "belt", "coil", "hose")
POINTS = ("pin 1", "pin 2")
SHORT_GAP_DAYS = (-1, 0, 0, 0, 1, 2, 4, 7, 12, 14, 16, 20)
GAP_DAYS = (*SHORT_GAP_DAYS, 23, 29, 30, 30, 31, 45, 60, 75, 88, 89, 90, 90, 91, 180)
GAP_KM = (-40, 0, 3, 90, 700, 900, 1500, 2400, 4800, 5999, 6000, 6000, 6001, 9000)
GAP_MILES = (-5, 0, 40, 55, 430, 999, 1000, 1001, 2400, 3727, 3728, 3729, 5000)
REPEAT_DAYS = (120, 300, 364, 365, 365, 366)
REPEAT_KM = (19_999, 20_000, 20_000, 20_000, 20_001, 20_001, 15_000)
REPEAT_MILES = (12_427, 12_428, 9_000)

INSTRUMENT_DAY = date(2025, 6, 16)  # one instrument falls due, another is withdrawn
SOUND = 0.98  # care of a visit that follows the whole chain, but for the odd slip

LOCATIONS: tuple[Line, ...] = (
    {"record": "location", "id": "L1", "name": "Quarry Road Garage", "time_zone": "America/Denver"},
    {
        "record": "location", "id": "L2", "name": "Mill Lane Bay", "time_zone": "Australia/Adelaide",
        "single_person": True, "window_days": 30, "window_km": Decimal("1609.344"),
    },
    {
        "record": "location", "id": "L3", "name": "Harbour Side Motors", "time_zone": "Europe/Berlin",
        "single_person": False, "window_days": 90, "window_km": 6000,
    },
)  # fmt: skip
INSTRUMENTS: tuple[Line, ...] = (
    {"id": "I1", "kind": "meter", "cal_due": "2027-12-31", "accuracy": Decimal("0.05")},
    {"id": "I2", "kind": "gauge", "cal_due": "2027-06-30", "accuracy": 5},
    {"id": "I3", "kind": "meter", "cal_due": INSTRUMENT_DAY.isoformat(), "accuracy": Decimal("0.10")},
    {"id": "I4", "kind": "meter", "accuracy_text": "0.5 % + 2 counts"},
    {"id": "I5", "kind": "thermometer", "cal_required": False, "accuracy": 1, "withdrawn_on": None},
    {
        "id": "I6",
        "kind": "lamp",
        "cal_required": False,
        "cal_due": None,
        "withdrawn_on": INSTRUMENT_DAY.isoformat(),
    },
    {"id": "I7", "kind": "gauge", "cal_required": True, "cal_due": "2027-12-31", "accuracy": 0},
)
GOOD_INSTRUMENTS = ("I1", "I2", "I5", "I7")
OTHER_INSTRUMENTS = ("I3", "I4", "I6", "I99")

# Step code, unit of the reading, unit of the limits, limits, and the step between two neighbouring values.
SCALES: Mapping[str, tuple[tuple[str, str | None, str, str, str], ...]] = {
    "rest_volts": (
        ("V", None, "12.40", "12.90", "0.05"),
        ("V", "mV", "12400", "12900", "0.05"),
        ("mV", "V", "12.4", "12.9", "5"),
    ),
    "rail_pressure": (
        ("kPa", "bar", "3", "3.5", "5"),
        ("bar", "kPa", "300", "350", "0.05"),
        ("psi", "kPa", "300", "350", "0.5"),
        ("psi", "psi", "40", "50", "5"),
    ),
    "bus_ohm": (
        ("ohm", "kohm", "0.055", "0.065", "1"),
        ("kohm", "ohm", "55", "65", "0.05"),
        ("ohm", None, "55", "65", "5"),
    ),
    "vent_temp": (
        ("°C", "°F", "41", "50", "1"),
        ("°F", "°C", "5", "10", "1"),
        ("°C", None, "5", "10", "0.5"),
    ),
    "blink_count": (
        ("blinks", None, "3", "5", "1"),
        ("blinks", "flashes", "3", "5", "1"),
        ("V", "ohm", "3", "5", "1"),
    ),
}
IN_READING_UNIT: dict[tuple[str, str], Decimal | int] = {  # unit of the reading, unit of the limits
    ("mV", "V"): 1000,
    ("V", "mV"): Decimal("0.001"),
    ("kPa", "bar"): 100,
    ("bar", "kPa"): Decimal("0.01"),
    ("ohm", "kohm"): 1000,
    ("kohm", "ohm"): Decimal("0.001"),
    ("psi", "kPa"): Decimal("0.145038"),  # near the limit, not on it
}
