"""The symbols of SAE J1850 variable pulse width: what the length and the level of a pulse mean."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

Level = Literal["active", "passive"]
Symbol = Literal["0", "1", "SOF", "EOD", "EOF", "BREAK", "invalid"]

# Receiver windows of SAE J1850 in microseconds, from memory: a pulse belongs to the first whose end it does
# not pass. The nominal widths of 64, 128, 200, 280 and 300 were read in the MPC5200B users guide.
NOISE_UP_TO_US = 34
SHORT_UP_TO_US = 96
LONG_UP_TO_US = 163
START_UP_TO_US = 239


class NotAFrame(ValueError):
    """A row of pulses that is no frame: which pulse, counted from 0, and what is wrong."""

    def __init__(self, pulse: int, message: str) -> None:
        self.pulse, self.message = pulse, message
        super().__init__(message)


def symbol(us: float, level: Level) -> Symbol:
    """Return what a pulse means to the receiver.

    Parameters
    ----------
    us : float
        Width of the pulse. [us]
    level : "active" or "passive"
        Whether the bus was driven high or let go.

    Returns
    -------
    "0", "1", "SOF", "EOD", "EOF", "BREAK" or "invalid"
        A pulse of up to 34 us is noise: invalid.

    References
    ----------
    .. [1] SAE J1850, receiver windows of the variable pulse width symbols at 10.4 kbit/s. From memory.
    """
    active = level == "active"
    if us <= NOISE_UP_TO_US:
        return "invalid"
    if us <= SHORT_UP_TO_US:
        return "1" if active else "0"
    if us <= LONG_UP_TO_US:
        return "0" if active else "1"
    if us <= START_UP_TO_US:
        return "SOF" if active else "EOD"
    return "BREAK" if active else "EOF"


def frame_bytes(widths_us: Sequence[float]) -> bytes:
    """Return the bytes of one frame, check byte included, from the widths of its pulses.

    Parameters
    ----------
    widths_us : n floats
        Level by level, from the start of frame, which is active; the last may be the end of data or of
        frame. What follows the end of data (an answer within the frame) is not part of the answer. [us]

    Returns
    -------
    bytes
        At least one.

    Raises
    ------
    NotAFrame
        If it does not begin with a start of frame, has a symbol that does not belong inside a frame, or is
        not made of whole bytes.
    """
    if not widths_us or symbol(widths_us[0], "active") != "SOF":
        raise NotAFrame(0, "The first pulse must be a start of frame: active, above 163 to 239 us.")
    bits = []
    for place, width in enumerate(widths_us[1:], start=1):
        found = symbol(width, "passive" if place % 2 else "active")
        if found in ("EOD", "EOF"):
            break
        if found not in ("0", "1"):
            raise NotAFrame(place, f"Pulse {place + 1} of {width:g} us is no bit and no end of frame.")
        bits.append(found)
    if not bits or len(bits) % 8:
        raise NotAFrame(len(bits), f"The frame has {len(bits)} bits, which is no whole number of bytes.")
    return int("".join(bits), 2).to_bytes(len(bits) // 8)
