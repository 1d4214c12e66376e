"""Two recordings of one signal on one time base: before and after the repair, with and without equipment."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from diagnostics.captures.analyse import Analysis, analyse, plain
from diagnostics.captures.measured import Measured
from diagnostics.captures.samples import Floats, Recording, UnreadableCapture, even_times

Alignment = Literal["edge", "correlation", "start"]
GRID = 1 << 14  # Points on which two recordings are laid over each other
LEVEL_SHARE = 0.02  # of the larger amplitude; a level that moved by less has not changed. Project rule.
LEVEL_V = 0.05  # Nor has one that moved by less than levels are found to.
TIME_SHARE = 0.10  # Project rule.
EDGE_SHARE = 0.25  # Rise and fall times are seen less sharply. Project rule.
DUTY_POINTS = 1.0  # Percentage points. Project rule.


@dataclass(frozen=True, slots=True)
class Difference:
    """One measure of both recordings, and whether it changed. `unit` is that of the numbers."""

    what: str
    first: float
    second: float
    unit: str
    changed: bool

    @property
    def words(self) -> str:
        """The change in a line: "high level: 4.98 V, then 3.1 V"."""
        unit = f" {self.unit}" if self.unit else ""
        return f"{self.what}: {_shown(self.first, unit)}, then {_shown(self.second, unit)}"

    def as_dict(self) -> dict[str, Any]:
        """Return the difference as JSON has it."""
        return {
            "what": self.what,
            "first": self.first,
            "second": self.second,
            "unit": self.unit,
            "changed": self.changed,
        }


@dataclass(frozen=True, slots=True, eq=False)
class Comparison:
    """Two channels beside each other.

    `times` (n,) [s] is the time base of the first recording where both have samples; `first` and `second`
    (n,) are the two signals on it, NaN in gaps. `shift` [s] was added to the times of the second.
    """

    align: Alignment
    shift: float
    times: Floats
    first: Floats
    second: Floats
    differences: tuple[Difference, ...]
    state_words: str

    @property
    def rms_difference(self) -> float:
        """RMS of second less first on the common time base; NaN where they do not meet."""
        apart = (self.second - self.first)[~np.isnan(self.second - self.first)]
        return float(np.sqrt(np.mean(apart**2))) if len(apart) else math.nan

    @property
    def words(self) -> tuple[str, ...]:
        """What changed, a line each; one line that says so where nothing did."""
        changed = tuple(each.words for each in self.differences if each.changed)
        stated = (self.state_words,) if self.state_words else ()
        return stated + changed or ("No measure changed by more than it is found to.",)

    def as_dict(self) -> dict[str, Any]:
        """Return the comparison as JSON has it, without the two signals."""
        found: dict[str, Any] = plain(
            {
                "align": self.align,
                "shift": self.shift,
                "rms_difference": self.rms_difference,
                "differences": [each.as_dict() for each in self.differences],
                "words": list(self.words),
            }
        )
        return found


def compare(
    first: Recording,
    second: Recording,
    *,
    channels: tuple[int, int] = (0, 0),
    align: Alignment | None = None,
    battery_v: float | None = None,
    bus: str = "none",
) -> Comparison:
    """Compare one channel of two recordings.

    Parameters
    ----------
    first, second : Recording
        Such as before and after the repair. Both are read a few times, in bounded memory.
    channels : two ints
        Which channel of each.
    align : {'edge', 'correlation', 'start'}, optional
        By the first edge of the same direction, by the shift at which the two are most alike, or by the
        first samples. Without it: by edge if both have one, else by start.
    battery_v, bus
        As for `analyse`.

    Returns
    -------
    Comparison
        The shift is found to a sample interval by edge, to a step of the grid (the longer recording in
        16,384 parts) by correlation.

    Raises
    ------
    UnreadableCapture
        If a file cannot be read, or the two cannot be aligned in the way asked for.
    """
    pairs = [analyse(each, battery_v=battery_v, bus=bus) for each in (first, second)]
    one, two = (pair.channels[_row(pair, row)] for pair, row in zip(pairs, channels, strict=True))
    if one.channel.unit != two.channel.unit:
        raise UnreadableCapture(
            "unit", f"One is in '{one.channel.unit}', the other in '{two.channel.unit}'.", "one unit for both"
        )
    meeting = align or ("edge" if one.timing.transitions and two.timing.transitions else "start")
    shift = _shift(meeting, (first, second), channels, (one, two))
    times, signals = _laid_over((first, second), channels, (one, two), shift)
    states = [pair.verdicts[row] for pair, row in zip(pairs, channels, strict=True)]
    changed = states[0].state != states[1].state
    words = f"state: {states[0].words} Then: {states[1].words}" if changed else ""
    return Comparison(meeting, shift, times, signals[0], signals[1], differences(one, two), words)


def differences(one: Measured, two: Measured) -> tuple[Difference, ...]:
    """Return the measures of two channels side by side, each with whether it changed.

    Parameters
    ----------
    one, two : Measured
        In one unit.
    """
    unit = "" if one.is_logic else one.channel.unit or "V"
    amplitude = max(one.levels.amplitude, two.levels.amplitude)
    least = max(LEVEL_SHARE * amplitude, LEVEL_V if one.is_volts else 0.0)
    dt = max(one.dt or 0.0, two.dt or 0.0)
    rows = [
        ("low level", one.levels.low, two.levels.low, unit, least),
        ("high level", one.levels.high, two.levels.high, unit, least),
        ("mean", one.summary.mean, two.summary.mean, unit, least),
        ("ripple, RMS", one.summary.ac_rms, two.summary.ac_rms, unit, least),
    ]
    if one.toggles or two.toggles:
        rows += [
            _timed("rise time", one.timing.rises.mean, two.timing.rises.mean, EDGE_SHARE, dt),
            _timed("fall time", one.timing.falls.mean, two.timing.falls.mean, EDGE_SHARE, dt),
            _timed("period", one.timing.periods.mean, two.timing.periods.mean, TIME_SHARE, dt),
            ("duty cycle", 100 * one.timing.duty, 100 * two.timing.duty, "%", DUTY_POINTS),
        ]
    return tuple(
        Difference(what, before, after, its_unit, _differ(before, after, at_least))
        for what, before, after, its_unit, at_least in rows
    )


def _timed(
    what: str, before: float, after: float, share: float, dt: float
) -> tuple[str, float, float, str, float]:
    known = [abs(each) for each in (before, after) if not math.isnan(each)]
    return what, before, after, "s", max(share * max(known, default=0.0), dt)


def _differ(before: float, after: float, at_least: float) -> bool:
    if math.isnan(before) or math.isnan(after):
        return math.isnan(before) != math.isnan(after)
    return abs(after - before) > at_least


def _row(analysis: Analysis, row: int) -> int:
    if not 0 <= row < len(analysis.channels):
        raise UnreadableCapture(
            "channel", f"There is no channel {row + 1}.", f"1 to {len(analysis.channels)}"
        )
    return row


def _shift(
    align: str,
    recordings: tuple[Recording, Recording],
    rows: tuple[int, int],
    pair: tuple[Measured, Measured],
) -> float:
    if align == "start":
        return pair[0].start - pair[1].start
    if align == "correlation":
        return _most_alike(recordings, rows, pair)
    if align != "edge":
        raise UnreadableCapture("align", f"'{align}' is not known.", "edge, correlation, start")
    first, second = (each.timing.edges for each in pair)
    if not len(first) or not len(second):
        raise UnreadableCapture("align", "One of the two has no edge.", "correlation or start")
    same = np.flatnonzero(second.rising == first.rising[0])
    if not len(same):
        raise UnreadableCapture("align", "They have no edge of the same direction.", "correlation or start")
    return float(first.middle[0] - second.middle[same[0]])


def _most_alike(
    recordings: tuple[Recording, Recording], rows: tuple[int, int], pair: tuple[Measured, Measured]
) -> float:
    """Return the shift with the greatest cross-correlation, by FFT on a grid of even steps."""
    step = max(each.end - each.start for each in pair) / GRID
    if step <= 0:
        raise UnreadableCapture("align", "A recording of one sample has no shape.", "start")
    signals = []
    for recording, row, measured in zip(recordings, rows, pair, strict=True):
        count = math.floor((measured.end - measured.start) / step) + 1
        grid = even_times(count, step, start=measured.start)
        sampled = sample_at(recording, row, grid)
        signals.append(np.nan_to_num(sampled - measured.summary.mean))
    size = 2 * (GRID + 1)
    likeness = np.fft.irfft(np.fft.rfft(signals[0], size) * np.conj(np.fft.rfft(signals[1], size)), size)
    at = int(np.argmax(likeness))
    lag = at if at <= GRID else at - size
    return pair[0].start - pair[1].start + lag * step


def _laid_over(
    recordings: tuple[Recording, Recording],
    rows: tuple[int, int],
    pair: tuple[Measured, Measured],
    shift: float,
) -> tuple[Floats, list[Floats]]:
    start = max(pair[0].start, pair[1].start + shift)
    end = min(pair[0].end, pair[1].end + shift)
    if end < start:
        raise UnreadableCapture("align", "Aligned in this way the two do not meet.", "another alignment")
    times: Floats = np.linspace(start, end, GRID)
    first = sample_at(recordings[0], rows[0], times)
    return times, [first, sample_at(recordings[1], rows[1], times - shift)]


def sample_at(recording: Recording, row: int, times: Floats) -> Floats:
    """Return one channel at given times, on straight lines between its samples; one pass over it.

    Parameters
    ----------
    recording : Recording
    row : int
        Which channel.
    times : (n,) floats
        Rising [s].

    Returns
    -------
    (n,) floats
        NaN outside the recording and in gaps.
    """
    found = np.full(len(times), np.nan)
    before_time, before_value = np.empty(0), np.empty(0)
    for chunk in recording.chunks():
        known = np.concatenate((before_time, chunk.times))
        values = np.concatenate((before_value, chunk.values[row]))
        inside = slice(np.searchsorted(times, known[0]), np.searchsorted(times, known[-1], side="right"))
        found[inside] = np.interp(times[inside], known, values)
        before_time, before_value = known[-1:], values[-1:]
    return found


def _shown(number: float, unit: str) -> str:
    return "none" if math.isnan(number) else f"{number:.4g}{unit}"
