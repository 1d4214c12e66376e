"""Tell a signal that comes and goes from one that is meant to move, and list when it changed.

Even signals (a duty cycle, a speed sensor) repeat; data on a bus keeps to multiples of one bit time; a bad
contact does neither. Project rules: no source defines them, so each verdict carries its own in words.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from diagnostics.captures.edges import Transitions
from diagnostics.captures.measured import Measured
from diagnostics.captures.phases import Phase
from diagnostics.captures.samples import Floats
from diagnostics.captures.summary import WINDOWS

MOST_CHANGES = 1000  # listed
LEAST_PERIODS = 3
EVEN_WITHIN = 0.25  # A period this near those around it, as a share of them, is even.
EVEN_SHARE = 0.80
MISSING_PULSE = 1.5  # A period this many times those around it has lost a pulse.
NEIGHBOURS = 7  # Periods over which "around it" is taken
BIT_WITHIN = 0.25  # A pulse this near a whole number of bit times is data.
BIT_SHARE = 0.85
LONGEST_IN_BITS = 12
LEAST_DATA_PULSES = 8
RARE_SHARE = 0.20  # A state that takes less of the time than this is an excursion, if it comes a few times.
LEAST_PHASE_WINDOWS = 2
SLOW_EDGE = 5.0  # A rest between the levels is longer than this many edges.
HELD_S = {"vpw": 0.01, "can": 0.01, "lin": 0.5, "kline": 0.5}  # Held active longer than any frame or wake-up


@dataclass(frozen=True, slots=True)
class Change:
    """What happened, from when to when [s]; `end` is None for a change that has no duration."""

    start: float
    end: float | None
    words: str

    def as_dict(self) -> dict[str, Any]:
        """Return the change as JSON has it."""
        return {"start": self.start, "end": self.end, "words": self.words}


@dataclass(frozen=True, slots=True)
class Changes:
    """The changes of an intermittent signal, none for one that is meant to move."""

    changes: tuple[Change, ...] = ()
    words: str = ""
    rule: str = ""


def changes_of(measured: Measured, *, bus: str = "none") -> Changes:
    """Return what an intermittent signal did; nothing where it is even, or data.

    Parameters
    ----------
    measured : Measured
    bus : {'none', 'vpw', 'can', 'lin', 'kline'}
        On a bus silence is normal, so that only rests outside the levels and at the active level count.

    Returns
    -------
    Changes
        At most 1,000 changes, the first ones.
    """
    left = _left_levels(measured)
    if left.changes:
        return left
    if bus != "none":
        return _held(measured, bus)
    edges = measured.timing.edges
    if measured.timing.periods.count < LEAST_PERIODS:
        return _few(measured, edges)
    periods = np.diff(edges.middle[edges.rising])
    ratio = periods / _around(periods)
    if np.mean(np.abs(ratio - 1) <= EVEN_WITHIN) >= EVEN_SHARE:
        return _lost_pulses(measured, edges, ratio)
    if _is_data(np.diff(edges.middle)):
        return Changes()
    return _each_edge(measured, edges, f"{len(edges):,} edges that neither repeat nor keep to a bit time")


def _left_levels(measured: Measured) -> Changes:
    """Rests between the two levels, longer than edges take."""
    if measured.is_logic:
        return Changes()
    # The quickest, because an edge that rests half-way is among them, and would hide itself.
    edge = max((part.least for part in _edge_times(measured) if part.count), default=0.0)
    least = max(LEAST_PHASE_WINDOWS * (measured.end - measured.start) / WINDOWS, SLOW_EDGE * edge)
    found = [p for p in measured.phases if p.behaviour == "between" and p.end - p.start >= least]
    return Changes(
        tuple(_rest(phase, measured) for phase in found[:MOST_CHANGES]),
        "Intermittent: part of the time the signal rests between its levels.",
        f"rests away from {measured.levels.low:.3g} and {measured.levels.high:.3g}{measured.unit_words} "
        f"for {least:.3g} s or more",
    )


def _edge_times(measured: Measured) -> tuple[Any, Any]:
    return measured.timing.rises, measured.timing.falls


def _rest(phase: Phase, measured: Measured) -> Change:
    return Change(phase.start, phase.end, f"rests at {phase.level:.3g}{measured.unit_words}")


def _held(measured: Measured, bus: str) -> Changes:
    """A bus that is held in its active state for longer than any frame."""
    active = "high" if bus == "vpw" else "low"
    if bus == "can":
        return Changes()  # Which way a wire is active is judged for the pair.
    found = [p for p in measured.phases if p.behaviour == active and p.end - p.start > HELD_S[bus]]
    return Changes(
        tuple(_rest(phase, measured) for phase in found[:MOST_CHANGES]),
        f"Intermittent: part of the time something holds the bus {active}.",
        f"held {active} for more than {HELD_S[bus]:g} s, which no frame does",
    )


def _few(measured: Measured, edges: Transitions) -> Changes:
    """Too few edges to see whether they repeat: a rare state is an excursion."""
    seconds = measured.in_states.seconds
    rare = min(seconds["low"], seconds["high"]) / max(sum(seconds.values()), 1e-30)
    if len(edges) > 1 and rare >= RARE_SHARE:
        return Changes()
    return _each_edge(measured, edges, f"{len(edges)} edges; the rarer state takes {rare:.2%} of the time")


def _each_edge(measured: Measured, edges: Transitions, rule: str) -> Changes:
    listed = zip(edges.rising.tolist(), edges.middle.tolist(), strict=True)
    changes = [
        Change(time, None, f"goes {'high' if rising else 'low'}")
        for _, (rising, time) in zip(range(MOST_CHANGES), listed, strict=False)
    ]
    count = measured.timing.transitions
    words = "Intermittent: it changes once." if count == 1 else f"Intermittent: it changes {count:,} times."
    return Changes(tuple(changes), words, rule)


def _around(periods: Floats) -> Floats:
    """Return the median of the periods around each one."""
    reach = min(NEIGHBOURS, len(periods) if len(periods) % 2 else len(periods) - 1) // 2
    padded = np.pad(periods, reach, mode="reflect") if reach else periods
    windows = np.lib.stride_tricks.sliding_window_view(padded, 2 * reach + 1)
    around: Floats = np.median(windows, axis=1)
    return around


def _lost_pulses(measured: Measured, edges: Transitions, ratio: Floats) -> Changes:
    """Pulses missing from an even signal, unless they are missing evenly, as on a toothed wheel."""
    rises = edges.middle[edges.rising]
    lost = np.flatnonzero(ratio > MISSING_PULSE)
    if len(lost) >= LEAST_PERIODS and np.ptp(np.diff(lost)) == 0:
        lost = lost[:0]
    period = measured.timing.periods.mean
    changes = [
        Change(float(rises[at]), float(rises[at + 1]), _missing(max(1, round(ratio[at]) - 1)))
        for at in lost[:MOST_CHANGES].tolist()
    ]
    changes += _silences(measured, edges, float(np.median(np.diff(rises))))
    changes.sort(key=lambda change: change.start)
    return Changes(
        tuple(changes),
        f"Intermittent: an even signal with {len(changes)} interruption{'s' if len(changes) > 1 else ''}.",
        f"periods of about {period:.4g} s; "
        f"one of more than {MISSING_PULSE:g} times those around it has lost a pulse",
    )


def _missing(pulses: int) -> str:
    return f"{pulses} {'pulse' if pulses == 1 else 'pulses'} missing"


def _silences(measured: Measured, edges: Transitions, period: float) -> list[Change]:
    """Rests before the first and after the last edge that are longer than two periods."""
    first, last = float(edges.middle[0]), float(edges.middle[-1])
    found = []
    if first - measured.start > 2 * period + _window(measured):
        found.append(Change(measured.start, first, "no pulses yet"))
    if len(edges) == measured.timing.transitions and measured.end - last > 2 * period + _window(measured):
        found.append(Change(last, measured.end, "no more pulses"))
    return found


def _window(measured: Measured) -> float:
    return (measured.end - measured.start) / WINDOWS


def _is_data(widths: Floats) -> bool:
    """Whether pulses keep to multiples of one bit time, which is taken from the shortest ones."""
    if len(widths) < LEAST_DATA_PULSES:
        return False
    bit = float(np.percentile(widths, 5))
    bit = float(np.mean(widths[widths <= 1.4 * bit])) if bit > 0 else 0.0
    if bit <= 0:
        return False
    short = widths[widths <= (LONGEST_IN_BITS + 0.5) * bit]
    return bool(np.mean(_off_bits(short / bit) <= BIT_WITHIN) >= BIT_SHARE) and len(short) >= len(widths) / 2


def _off_bits(bits: Floats) -> NDArray[np.float64]:
    return np.abs(bits - np.maximum(np.rint(bits), 1))
