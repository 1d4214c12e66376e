"""Decode a recording: find the bus among its channels, take its two levels, count its frames."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from diagnostics.captures.bus_levels import (
    CAN_RECEIVED_DOMINANT_V,
    CAN_RECEIVED_RECESSIVE_V,
    VPW_HIGH_LOW_V,
    VPW_WEAK_HIGH_V,
)
from diagnostics.captures.decoding.activity import MOST_EDGES, Activity, Floats, Thresholds, from_volts
from diagnostics.captures.decoding.can import decode_can
from diagnostics.captures.decoding.frames import Decoded
from diagnostics.captures.decoding.kline import decode_kline
from diagnostics.captures.decoding.lin import decode_lin
from diagnostics.captures.decoding.vpw import decode_vpw
from diagnostics.captures.samples import Channel, Chunk, Recording, UnreadableCapture

Protocol = Literal["VPW", "CAN", "LIN", "K line"]
PROTOCOLS: tuple[Protocol, ...] = ("VPW", "CAN", "LIN", "K line")
_DECODERS: dict[Protocol, Callable[[Activity], Decoded]] = {
    "VPW": decode_vpw,
    "CAN": decode_can,
    "LIN": decode_lin,
    "K line": decode_kline,
}

CAN_DIFFERENCE = Thresholds(CAN_RECEIVED_RECESSIVE_V, CAN_RECEIVED_DOMINANT_V)
VPW_RECEIVER = Thresholds(VPW_HIGH_LOW_V, VPW_WEAK_HIGH_V)
SUPPLY_PARTS = {"LIN": (0.4, 0.6), "K line": (0.3, 0.7)}  # Data sheet NCV7329; ISO 14230-1:2012 8.2. Read.
LOGIC = Thresholds(0.3, 0.7)
VOLTS_OF_UNIT = {"": 1.0, "V": 1.0, "mV": 1e-3, "kV": 1e3, "µV": 1e-6, "uV": 1e-6}

# Where one wire of a two-wire bus, a difference and a logic line lie apart. Project rule, around the levels
# of data sheet SLLSF80B: recessive wires 2.0 to 3.0 V, dominant low wire from 0.5 V, difference up to 3.0 V.
WIRE_LETS_GO_ABOVE_V = 1.9
DIFFERENCE_BELOW_V = 3.1
NEAR_ZERO_V = 0.3

LOOK_PERCENT = 0.05  # Of the samples of a chunk may lie beyond what is taken for its levels.
MOVES_V = 0.3  # A smaller swing is taken for none.
LOOK_ON = 3  # Chunks that are looked at after the first that moves.


@dataclass(frozen=True, slots=True)
class _Wire:
    """What is decoded of a recording: its rows, with their factors to add up, and their name."""

    rows: tuple[int, ...]
    factors: tuple[float, ...]
    name: str
    logic: bool = False

    def volts(self, chunk: Chunk) -> Floats:
        found = chunk.values[self.rows[0]] * self.factors[0]
        if len(self.rows) > 1:
            found = found + chunk.values[self.rows[1]] * self.factors[1]
        return np.asarray(found, dtype=np.float64)


def decode(
    recording: Recording,
    protocol: Protocol,
    *,
    channels: tuple[str, ...] = (),
    supply_v: float | None = None,
) -> Decoded:
    """Return the frames on a recorded bus.

    Parameters
    ----------
    recording : Recording
        Read once, and its beginning once more where the levels must be found first; a chunk at a time.
    protocol : "VPW", "CAN", "LIN" or "K line"
    channels : names, optional
        One channel; for CAN one or both wires. Without them the only channel, or both of two for CAN.
        A logic channel is taken either way round.
    supply_v : float, optional
        Supply at the line, which the thresholds of LIN and K line are parts of; the high level when
        absent. [V]

    Returns
    -------
    Decoded
        Its notes say what was taken for what. Faulty frames across a gap of the recording are "cut".

    Raises
    ------
    UnreadableCapture
        If a channel is missing, is no voltage, or it is not clear which one is meant.
    """
    if protocol not in PROTOCOLS:
        raise UnreadableCapture("protocol", f"'{protocol}' is not decoded.", ", ".join(PROTOCOLS))
    wire = _wire(recording, protocol, channels)
    low, high = (0.0, 1.0) if wire.logic else _levels(recording, wire)
    thresholds, active_high, taken_for = _thresholds(protocol, wire, low, high, supply_v)
    activity, gaps = _activity(recording, wire, thresholds, active_high)
    found = _either_way_round(
        activity, protocol, both=wire.logic or (protocol == "CAN" and len(wire.rows) == 1)
    )
    return replace(found, notes=(*found.notes, taken_for, *_remarks(activity, gaps, low, high, thresholds)))


def _either_way_round(activity: Activity, protocol: Protocol, *, both: bool) -> Decoded:
    found = _DECODERS[protocol](activity)
    if found.sound or not both:
        return found
    other = _DECODERS[protocol](activity.inverted())
    return other if other.sound else found


def _wire(recording: Recording, protocol: Protocol, names: tuple[str, ...]) -> _Wire:
    most = 2 if protocol == "CAN" else 1
    known = ", ".join(channel.name for channel in recording.channels)
    rows = tuple(recording.index(name) for name in names) or tuple(range(len(recording.channels)))
    if not 1 <= len(rows) <= most:
        what = "both wires or one channel" if most == 2 else "one channel"
        raise UnreadableCapture("channel", f"Say which channel is the {protocol} bus.", f"{what} of {known}")
    chosen = [recording.channels[row] for row in rows]
    if len(chosen) == 2 and any(channel.kind == "logic" for channel in chosen):
        raise UnreadableCapture("channel", "Two logic channels make no pair.", f"one channel of {known}")
    factors = [_volts_of_unit(channel) for channel in chosen]
    if len(rows) == 1:
        return _Wire(rows, (factors[0],), chosen[0].name, chosen[0].kind == "logic")
    high = _higher(recording, rows, factors)
    low = 1 - high
    return _Wire(
        (rows[high], rows[low]),
        (factors[high], -factors[low]),
        f"{chosen[high].name} less {chosen[low].name}",
    )


def _volts_of_unit(channel: Channel) -> float:
    if channel.unit not in VOLTS_OF_UNIT and channel.kind != "logic":
        raise UnreadableCapture(
            "channel",
            f"'{channel.name}' is in {channel.unit}, which is no voltage.",
            ", ".join(filter(None, VOLTS_OF_UNIT)),
        )
    return VOLTS_OF_UNIT.get(channel.unit, 1.0)


def _higher(recording: Recording, rows: tuple[int, ...], factors: list[float]) -> int:
    """Return which of two wires is CAN high: it never lies below the other, so its mean is the greater."""
    lead = 0.0
    for chunk in recording.chunks():
        apart = chunk.values[rows[0]] * factors[0] - chunk.values[rows[1]] * factors[1]
        lead += float(np.nansum(apart))
        if float(np.nanmax(np.abs(apart), initial=0.0)) > CAN_DIFFERENCE.high_v:
            break
    return 0 if lead >= 0 else 1


def _levels(recording: Recording, wire: _Wire) -> tuple[float, float]:
    """Return the least and the greatest lasting level, looking until something moves and a bit on."""
    low, high, moving = np.inf, -np.inf, 0
    for chunk in recording.chunks():
        volts = wire.volts(chunk)
        volts = volts[np.isfinite(volts)]
        if volts.size:
            least, greatest = np.percentile(volts, (LOOK_PERCENT, 100 - LOOK_PERCENT))
            low, high = min(low, float(least)), max(high, float(greatest))
        moving += high - low > MOVES_V
        if moving > LOOK_ON:
            break
    return (low, high) if low <= high else (0.0, 0.0)


def _thresholds(
    protocol: Protocol, wire: _Wire, low: float, high: float, supply_v: float | None
) -> tuple[Thresholds, bool, str]:
    """Return thresholds, whether the bus is driven at the high level, and what it was taken for."""
    if wire.logic:
        return LOGIC, protocol == "VPW", f"{wire.name} taken for a logic line"
    if protocol == "VPW":
        return VPW_RECEIVER, True, f"{wire.name} against 3.5 and 4.25 V"
    if protocol == "CAN":
        thresholds, active_high, what = _can_thresholds(wire, low, high)
        return thresholds, active_high, f"{wire.name} taken for {what}"
    supply = supply_v if supply_v is not None and supply_v > 0 else max(high, MOVES_V)
    lower, upper = SUPPLY_PARTS[protocol]
    says = f"{wire.name} against {100 * lower:.0f} and {100 * upper:.0f} % of {supply:.3g} V"
    return Thresholds(lower * supply, upper * supply), False, says


def _can_thresholds(wire: _Wire, low: float, high: float) -> tuple[Thresholds, bool, str]:
    if len(wire.rows) == 2:
        return CAN_DIFFERENCE, True, "the difference of the pair"
    swing = max(high - low, MOVES_V)
    middle = Thresholds(low + 0.4 * swing, low + 0.6 * swing)
    if low >= WIRE_LETS_GO_ABOVE_V:
        return middle, True, "the high wire"
    if low > NEAR_ZERO_V:
        return middle, False, "the low wire"
    if high < DIFFERENCE_BELOW_V and low > -NEAR_ZERO_V:
        return CAN_DIFFERENCE, True, "the difference of the pair"
    if high < NEAR_ZERO_V:
        return (
            Thresholds(-CAN_DIFFERENCE.high_v, -CAN_DIFFERENCE.low_v),
            False,
            "the difference, low less high",
        )
    return middle, False, "a logic line"


def _activity(
    recording: Recording, wire: _Wire, thresholds: Thresholds, active_high: bool
) -> tuple[Activity, list[tuple[float, float]]]:
    gaps: list[tuple[float, float]] = []
    blocks = _blocks(recording, wire, gaps)
    found = from_volts(blocks, thresholds, active_high=active_high)
    return replace(found, gaps_s=np.asarray(gaps, dtype=np.float64).reshape(-1, 2)), gaps


def _blocks(
    recording: Recording, wire: _Wire, gaps: list[tuple[float, float]]
) -> Iterator[tuple[Floats, Floats]]:
    """Yield times and volts of the samples that are there, and note the gaps between them."""
    last_s: float | None = None
    for chunk in recording.chunks():
        volts = wire.volts(chunk)
        there = np.isfinite(volts)
        times = chunk.times if there.all() else chunk.times[there]
        if not times.size:
            continue
        volts = volts if there.all() else volts[there]
        if recording.dt is not None:
            joined = times if last_s is None else np.concatenate(([last_s], times))
            wide = np.flatnonzero(np.diff(joined) > 1.9 * recording.dt)
            gaps.extend((float(joined[at]), float(joined[at + 1])) for at in wide.tolist())
        last_s = float(times[-1])
        yield times, volts


def _remarks(
    activity: Activity, gaps: list[tuple[float, float]], low: float, high: float, thresholds: Thresholds
) -> Iterator[str]:
    if not activity.edges_s.size and high - low <= MOVES_V:
        yield f"The level stays at about {(low + high) / 2:.3g} V"
    elif not activity.edges_s.size:
        passes = f"{thresholds.low_v:.3g} and {thresholds.high_v:.3g} V"
        yield f"The level stays between {low:.3g} and {high:.3g} V and never passes both {passes}"
    if not activity.whole:
        yield f"Only the first {MOST_EDGES:,} edges were decoded, up to {activity.edges_s[-1]:.6g} s"
    if gaps:
        yield f"Gaps in the recording: {len(gaps)}, the first at {gaps[0][0]:.6g} s"
