"""Which of the shop's instruments a technician reaches for."""

from __future__ import annotations

import random

from diagnostics.catalogue import TestKind

METERS = ("meter 1", "meter 1", "meter 2", "meter 2", "meter 2", "meter 3")
BY_WORD = (
    ("compression", "compression gauge 1"),
    ("leakage", "compression gauge 1"),
    ("vacuum", "vacuum gauge 1"),
    ("fuel", "fuel gauge 1"),
    ("brake_pressure", "brake gauge 1"),
    ("ac_charge", "scale 1"),
    ("ac_leak", "leak detector 1"),
    ("ac_", "gauge set 1"),
    ("coolant", "pressure tester 1"),
    ("cap_", "pressure tester 1"),
    ("tread", "tread gauge 1"),
    ("tyre_pressure", "tyre gauge 1"),
    ("runout", "dial gauge 1"),
    ("play", "dial gauge 1"),
    ("toe", "alignment rig 1"),
    ("camber", "alignment rig 1"),
    ("alignment", "alignment rig 1"),
    ("thickness", "micrometer 1"),
    ("load_voltage", "battery tester 1"),
    ("rating_share", "battery tester 1"),
    ("trace", "recorder 1"),
    ("dominant", "recorder 1"),
    ("burn_time", "recorder 1"),
    ("trim", "code reader 1"),
    ("misfire", "code reader 1"),
    ("gas", "gas analyser 1"),
    ("oil_pressure", "fuel gauge 1"),
)
BY_UNIT = {
    "A": ("clamp 1", "clamp 1", "clamp 2"),
    "mA": ("clamp 1",),
    "°C": ("thermometer 1",),
    "mm": ("micrometer 1", "dial gauge 1"),
    "%": ("code reader 1",),
    "kPa": ("pressure tester 1",),
    "ms": ("recorder 1",),
    "Hz": ("recorder 1",),
    "count": ("code reader 1",),
    "1/min": ("code reader 1",),
}


def tool_for(kind: TestKind, rng: random.Random) -> str:
    """Return the id of the instrument that a reading of this kind is taken with."""
    for word, tool in BY_WORD:
        if word in kind.code:
            return tool
    return rng.choice(BY_UNIT.get(kind.unit, METERS))
