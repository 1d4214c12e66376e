"""LIN: break, sync field, protected identifier, data and checksum; bit rate measured on each sync field."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from diagnostics.captures.decoding.activity import Activity, Floats
from diagnostics.captures.decoding.characters import BITS, Characters, characters
from diagnostics.captures.decoding.checks import lin_checksum, lin_protected
from diagnostics.captures.decoding.frames import Decoded, Frame, Tally

# Of the line's bits a break has at least 13, and a receiver takes 11. LIN 2.x, from memory. A slow clock of
# the receiver's own cannot matter here: the break is held against the sync field that follows it.
BREAK_BITS = 10.5
SYNC_PULSES = 9  # Start bit and 01010101 as pulses of one bit each; the stop bit joins what follows.
SYNC_SPREAD = 0.35  # By how much a pulse of the sync field may differ from their mean.
RATES = (900.0, 25_000.0)  # What is taken for a LIN bit rate; 1 to 20 kbit/s in LIN 2.x, from memory. [bit/s]
MOST_DATA = 8
SILENCE_BITS = 200  # Longer than any pause within a frame: the longest response takes 126 bits at most.
GLITCH_BITS = 0.25


def decode_lin(activity: Activity) -> Decoded:
    """Return the LIN frames of a recording.

    Parameters
    ----------
    activity : Activity
        Active is dominant, the low level.

    Returns
    -------
    Decoded
        `bit_rate` is the middle one of those measured. A header that nobody answers is counted as faulty
        by the fault "response"; it may be meant so, where the schedule polls a part that is not fitted.
        The note of a frame says which checksum fits.
    """
    tally = Tally("LIN", activity)
    clean = activity.without_glitches(GLITCH_BITS * _bit_time(activity))
    starts, widths, levels = clean.pulses()
    at, bit_s = _breaks(widths, levels)
    usual_s = float(np.median(bit_s)) if at.size else 0.0
    tally.quiet_s = SILENCE_BITS * usual_s
    heads = [(int(place), float(each)) for place, each in zip(at, bit_s, strict=True)]
    heads += [(int(place), 0.0) for place in _without_sync(widths, levels, at, usual_s)]
    heads.sort()
    ends = [float(starts[place]) for place, _ in heads[1:]] + [clean.end_s]
    for (place, measured_s), end_s in zip(heads, ends, strict=False):
        tally.add(_frame(clean, starts, place, measured_s or usual_s, end_s, has_sync=measured_s > 0))
    return tally.result(1 / usual_s if tally.sound else None)


def _bit_time(activity: Activity) -> float:
    """Return the bit time by the sync fields of the raw activity, or 0 where there is none. [s]"""
    _, widths, levels = activity.pulses()
    _, bit_s = _breaks(widths, levels)
    return float(np.median(bit_s)) if bit_s.size else 0.0


def _breaks(widths: Floats, levels: NDArray[np.bool_]) -> tuple[NDArray[np.intp], Floats]:
    """Return the places of the breaks that a sync field follows, and the bit time of each sync field."""
    count = widths.size - SYNC_PULSES - 2
    if count < 1:
        return np.empty(0, np.intp), np.empty(0)
    fields = np.lib.stride_tricks.sliding_window_view(widths[2:-1], SYNC_PULSES)[:count]
    bit_s = fields.mean(axis=1)
    even = (fields.max(axis=1) < (1 + SYNC_SPREAD) * bit_s) & (fields.min(axis=1) > (1 - SYNC_SPREAD) * bit_s)
    rated = (bit_s > 1 / RATES[1]) & (bit_s < 1 / RATES[0])
    found = np.flatnonzero(even & rated & levels[:count] & (widths[:count] >= BREAK_BITS * bit_s))
    # Two edges of one direction, eight bits apart, say the bit time without the slope of the edges.
    return found, fields[found, :8].sum(axis=1) / 8


def _without_sync(
    widths: Floats, levels: NDArray[np.bool_], good: NDArray[np.intp], bit_s: float
) -> NDArray[np.intp]:
    if not bit_s:
        return np.empty(0, np.intp)
    inside = np.arange(widths.size) < widths.size - 1
    long = np.flatnonzero(levels & inside & (widths >= BREAK_BITS * bit_s))
    return np.setdiff1d(long, good)


def _frame(
    activity: Activity, starts: Floats, place: int, bit_s: float, end_s: float, *, has_sync: bool
) -> Frame:
    start_s = float(starts[place])
    if not has_sync:
        last_s = float(starts[place + 1])
        late = end_s >= activity.end_s and end_s - last_s < 2 * BITS * bit_s
        return Frame(start_s, last_s, "break", faults=("cut",) if late else ("baud",))
    sync_s = float(starts[place + 2])
    edges = activity.edges_s
    part = edges[np.searchsorted(edges, sync_s) : np.searchsorted(edges, end_s)]
    found = characters(Activity(sync_s, end_s, False, part), bit_s)
    found = found.between(1, _end_of_frame(found))
    last_s = found.end_s if len(found) else sync_s + BITS * bit_s
    faults, note = _faults(found)
    if faults and end_s >= activity.end_s and end_s - last_s < BITS * bit_s:
        faults = ("cut",)
    return Frame(
        start_s=start_s,
        end_s=min(last_s, end_s),
        kind="header" if len(found) < 2 else "data",
        identifier=int(found.values[0]) & 0x3F if len(found) else None,
        bytes=found.values[1:-1].tobytes(),
        faults=faults,
        note=note,
    )


def _end_of_frame(found: Characters) -> int:
    silent = np.flatnonzero(found.gaps_s > SILENCE_BITS * found.bit_s)
    return int(silent[0]) + 1 if silent.size else len(found)


def _faults(found: Characters) -> tuple[tuple[str, ...], str]:
    values = found.values.tolist()
    if not values:
        return ("length",), ""
    faults = [] if lin_protected(values[0] & 0x3F) == values[0] else ["parity"]
    if not found.stopped.all():
        faults.append("framing")
    data = values[1:-1]
    if len(values) == 1:
        faults.append("response")
    elif not 1 <= len(data) <= MOST_DATA:
        faults.append("length")
    elif values[-1] == lin_checksum(data, values[0]):
        return tuple(faults), _model(values[0])
    elif values[-1] == lin_checksum(data):
        return tuple(faults), "classic checksum"
    else:
        faults.append("checksum")
    return tuple(faults), ""


def _model(protected: int) -> str:
    return "classic checksum" if protected & 0x3F in (0x3C, 0x3D) else "enhanced checksum"
