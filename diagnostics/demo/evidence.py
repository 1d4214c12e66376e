"""What stands beside the readings of the open jobs: a recorded signal and a scan. Invented, as all here."""

from __future__ import annotations

import math
from dataclasses import dataclass

SAMPLES_A_SECOND = 1000
SECONDS_A_TRY = 2.0
# Volts along the cable in five turns of the key: it carries four times, then only clicks.
DROPS_V = (0.42, 0.38, 0.45, 0.40, 9.6)
FAN_REPORT = """Odometer: 93518 km

Engine control unit:
  P0480-13 Fan relay, control circuit, pending
Brake control unit: no codes
Body control unit: no codes
Radio: no response

Misfire: ready
Fuel system: ready
Catalyst: not ready
"""


@dataclass(frozen=True, slots=True)
class Recording:
    """A recording for the demo: of which open job, what it shows, its file and what the channels touch."""

    story: str
    title: str
    name: str
    content: bytes
    points: tuple[str, ...]
    battery_v: str


def recordings() -> list[Recording]:
    """Return the recordings of the demo."""
    return [
        Recording(
            "open.cable_ordered",
            "Drop along the starter cable, five turns of the key",
            "starter-cable.csv",
            starter_cable(),
            ("battery positive post to starter main stud", "battery terminals"),
            "12.6",
        )
    ]


def starter_cable() -> bytes:
    """Return the text export of two channels: the drop along the cable, and the battery. [V]"""
    lines = ["Time (s),A (V),B (V)"]
    total = int(len(DROPS_V) * SECONDS_A_TRY * SAMPLES_A_SECOND)
    for sample in range(total):
        at = sample / SAMPLES_A_SECOND
        drop, battery = _at(at)
        hum = 0.01 * ((sample * 7) % 5 - 2)  # The last digit of an instrument never stands still.
        lines.append(f"{at:.3f},{drop + hum:.3f},{battery + hum:.3f}")
    return "\n".join(lines).encode()


def _at(at: float) -> tuple[float, float]:
    """Drop and battery at one instant: the key is turned in the middle second of each try."""
    within = at % SECONDS_A_TRY
    if not 0.5 <= within < 1.5:
        return 0.0, 12.58
    drop = DROPS_V[int(at // SECONDS_A_TRY)]
    if drop > 1:
        return drop, 12.35
    turning = math.sin(2 * math.pi * 9 * within)  # Nine compressions a second.
    return drop * (1 + 0.12 * turning), 10.9 - 0.25 * turning
