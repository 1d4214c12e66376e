"""SAE J1850 variable pulse width: the frames of a single-wire bus, with answers within them and breaks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from diagnostics.captures.decoding.activity import Activity, Floats, bursts
from diagnostics.captures.decoding.checks import CRC8_RESIDUE, crc8_register
from diagnostics.captures.decoding.frames import Decoded, Frame, Tally
from diagnostics.captures.decoding.vpw_symbols import (
    LONG_UP_TO_US,
    NOISE_UP_TO_US,
    SHORT_UP_TO_US,
    START_UP_TO_US,
    Level,
    symbol,
)

MOST_BYTES = 12  # Of a frame with its check byte. MC68HC08AS20 data book, read.
NOMINAL_BIT_RATE = 10_400  # AU5783 data sheet, read.
SPEEDS = (1, 4)  # The normal and the fourfold rate. AU5783 data sheet, read.
SHORT_US, LONG_US = 64.0, 128.0  # Nominal. MPC5200B users guide, read.
FILTER_US = 8.0  # What a receiver's input filter takes away at the normal rate. From memory.
SOURCE_BYTE = (
    2  # Place of the sender's address in a frame with three bytes of header. SAE J2178-1, from memory.
)
TRIAL_EDGES = 4000  # Of each excerpt on which the speed is tried.


@dataclass(frozen=True, slots=True)
class _Read:
    """What was read from a start of frame on: its bits, what ended it, and where it ended."""

    bits: str
    ended_by: str
    end: int  # Index of the pulse behind the last that belongs to it.
    answer: str = ""


def decode_vpw(activity: Activity, *, speed: int | None = None) -> Decoded:
    """Return the VPW frames of a recording.

    Parameters
    ----------
    activity : Activity
        Active is driven high.
    speed : 1 or 4, optional
        Multiple of the normal rate; found by trial when absent.

    Returns
    -------
    Decoded
        `bit_rate` is the nominal one times how much shorter than nominal the measured bits are.
    """
    tally = Tally("VPW", activity)
    excerpts = activity.excerpts(TRIAL_EDGES)
    speed, sound = _speed_found(excerpts, (speed,) if speed else SPEEDS)
    tally.quiet_s = START_UP_TO_US * 1e-6 / speed
    tally.add_all(vpw_frames(activity, speed), hopeful=sound > 0)
    return tally.result(_rate(activity, speed) if tally.sound else None)


def vpw_frames(activity: Activity, speed: int = 1) -> Iterator[Frame]:
    """Yield each frame, break and damaged attempt, at a multiple of the normal rate."""
    clean = activity.without_glitches(FILTER_US * 1e-6 / speed)
    quiet_s = START_UP_TO_US * 1e-6 / speed
    let_go_s = float(clean.edges_s[0]) if clean.active and clean.edges_s.size else clean.start_s
    for burst in bursts(clean, quiet_s):
        ended = burst.size % 2 == 0 and clean.end_s - burst[-1] >= quiet_s
        begun = burst.size > 0 and burst[0] - let_go_s >= quiet_s
        yield from _frames_of_burst(burst, speed, begun=bool(begun), ended=bool(ended))


def _frames_of_burst(burst: Floats, speed: int, *, begun: bool, ended: bool) -> Iterator[Frame]:
    widths = (np.diff(burst) * 1e6 * speed).tolist()
    at = 0
    while at < len(widths):
        kind = symbol(widths[at], "active")
        if kind == "SOF":
            read = _read(widths, at + 1)
            whole = (begun or at > 0) and (ended or read.end < len(widths))
            yield _frame(burst, at, read, whole=whole)
            at = read.end + read.end % 2
        elif kind == "BREAK":
            yield Frame(float(burst[at]), float(burst[at + 1]), "break", faults=("break",))
            at += 2
        else:
            end = _next_start(widths, at + 2)
            faults = ("noise",) if begun or at else ("cut",)
            yield Frame(float(burst[at]), float(burst[min(end, burst.size - 1)]), "noise", faults=faults)
            at = end


def _next_start(widths: Sequence[float], at: int) -> int:
    """Return the next active pulse that may begin a frame or is a break, or the end of the burst."""
    while at < len(widths) and symbol(widths[at], "active") not in ("SOF", "BREAK"):
        at += 2
    return at


def _read(widths: Sequence[float], at: int) -> _Read:
    bits: list[str] = []
    for place in range(at, len(widths)):
        level: Level = "passive" if place % 2 else "active"
        found = symbol(widths[place], level)
        if found == "EOD":
            return _with_answer(widths, place + 1, "".join(bits))
        if found not in ("0", "1"):
            return _Read("".join(bits), found, _behind(widths, place, found))
        bits.append(found)
    return _Read("".join(bits), "EOF", len(widths))


def _behind(widths: Sequence[float], place: int, found: str) -> int:
    """Return where to look on: at a new start of frame, behind a break, behind noise at the next of both."""
    if found == "BREAK":
        return min(place + 2, len(widths))
    return place if found == "SOF" else _next_start(widths, place + 1 + place % 2)


def _with_answer(widths: Sequence[float], at: int, bits: str) -> _Read:
    """Read what follows the end of data: a normalisation bit, then bytes that another node answers with."""
    if at >= len(widths) or symbol(widths[at], "active") == "SOF":
        return _Read(bits, "EOD", at)
    answer: list[str] = []
    place = at + 1
    while place < len(widths):
        found = symbol(widths[place], "passive" if place % 2 else "active")
        if found not in ("0", "1"):
            break
        answer.append(found)
        place += 1
    end = len(widths) if place >= len(widths) else _next_start(widths, place + place % 2)
    return _Read(bits, "EOD", end, "".join(answer))


def _frame(burst: Floats, at: int, read: _Read, *, whole: bool) -> Frame:
    length = len(read.bits) // 8
    data = int(read.bits[: 8 * length] or "0", 2).to_bytes(length)
    faults = _faults(read, data)
    if faults and not whole:
        faults = ("cut",)
    return Frame(
        start_s=float(burst[at]),
        end_s=float(burst[min(read.end, burst.size - 1)]),
        kind="data",
        identifier=data[SOURCE_BYTE] if len(data) > SOURCE_BYTE else None,
        bytes=data,
        faults=faults,
        note=f"answered within the frame: {_hex(read.answer)}" if read.answer else "",
    )


def _faults(read: _Read, data: bytes) -> tuple[str, ...]:
    if read.ended_by == "BREAK":
        return ("break",)
    if read.ended_by not in ("EOD", "EOF"):
        return ("symbol",)
    if len(read.bits) % 8 or not 2 <= len(data) <= MOST_BYTES:
        return ("length",)
    return () if crc8_register(data) == CRC8_RESIDUE else ("crc",)


def _hex(bits: str) -> str:
    length = len(bits) // 8
    return int(bits[: 8 * length] or "0", 2).to_bytes(length).hex(" ").upper()


def _speed_found(excerpts: Sequence[Activity], speeds: tuple[int, ...]) -> tuple[int, int]:
    """Return the speed at which most frames are sound, and how many are."""
    sound = [sum(frame.valid for each in excerpts for frame in vpw_frames(each, speed)) for speed in speeds]
    best = int(np.argmax(sound))
    return speeds[best], sound[best]


def _rate(activity: Activity, speed: int) -> float:
    widths = np.diff(activity.edges_s) * 1e6 * speed
    short = (widths > NOISE_UP_TO_US) & (widths <= SHORT_UP_TO_US)
    long = (widths > SHORT_UP_TO_US) & (widths <= LONG_UP_TO_US)
    measured = float(widths[short | long].sum())
    nominal = float(SHORT_US * short.sum() + LONG_US * long.sum())
    return NOMINAL_BIT_RATE * speed * nominal / measured if measured else float(NOMINAL_BIT_RATE * speed)
