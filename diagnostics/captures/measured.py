"""Measure the channels of a recording: three passes, each in bounded memory.

The first finds bounds and sums, the second the histogram and the levels, the third edges and behaviour.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from diagnostics.captures import bus_levels
from diagnostics.captures.edges import EdgeFinder
from diagnostics.captures.levels import GoodSamples, Histogram, Levels
from diagnostics.captures.phases import Phase, Watching
from diagnostics.captures.pulses import Timing
from diagnostics.captures.samples import Channel, Floats, Recording, UnreadableCapture
from diagnostics.captures.spool import Spool
from diagnostics.captures.summary import InStates, Summary, Summing

MOST_NOISE_SHARE = 0.35  # of the amplitude, within the states; pure noise has more than 0.7. Project rule.
MOST_BETWEEN = 0.65  # of the time; a sine is between 10 and 90 % for 0.59 of it: 2 / pi asin 0.8, computed.
PASSES = 3
Progress = Callable[[int, int], None]  # Which pass, and how many samples of it are done.


@dataclass(frozen=True, slots=True)
class Measured:
    """What was measured of one channel. `start` and `end` are the times of its recording [s]."""

    channel: Channel
    dt: float | None
    start: float
    end: float
    summary: Summary
    levels: Levels
    timing: Timing
    in_states: InStates
    phases: tuple[Phase, ...]

    @property
    def is_logic(self) -> bool:
        """Whether it is 0 and 1."""
        return self.channel.kind == "logic"

    @property
    def is_volts(self) -> bool:
        """Whether thresholds in volts hold for it; a channel that names no unit is taken for volts."""
        return self.channel.unit in ("V", "") and not self.is_logic

    @property
    def unit_words(self) -> str:
        """The unit with a blank before it, nothing for a logic channel."""
        return "" if self.is_logic else f" {self.channel.unit or 'V'}"

    @property
    def noise(self) -> float:
        """The larger standard deviation of the samples within the low and within the high state."""
        found = [part.deviation for part in (self.in_states.low, self.in_states.high) if part.count]
        return max(found, default=0.0)

    @property
    def toggles(self) -> bool:
        """Whether the signal goes from one state to another, as against resting with noise on it."""
        if self.timing.transitions == 0:
            return False
        if self.is_volts and self.levels.amplitude < bus_levels.LEAST_SWING_V:
            return False
        if self.noise > MOST_NOISE_SHARE * self.levels.amplitude:
            return False
        return self.between_share <= MOST_BETWEEN or self._is_even

    @property
    def between_share(self) -> float:
        """Share of the time that the signal is in neither state."""
        seconds = self.in_states.seconds
        return seconds["between"] / max(sum(seconds.values()), 1e-300)

    @property
    def _is_even(self) -> bool:
        """Whether it repeats itself, which noise does not: sines and ramps have no two states either."""
        periods = self.timing.periods
        return periods.count >= 3 and periods.deviation < 0.1 * periods.mean

    def as_dict(self) -> dict[str, Any]:
        """Return the measures as JSON has them: times in s, `duty` as a share of 1."""
        timing, amplitude = self.timing, self.levels.amplitude
        return {
            "name": self.channel.name,
            "unit": self.channel.unit,
            "kind": self.channel.kind,
            "summary": self.summary.as_dict(),
            "levels": {"low": self.levels.low, "high": self.levels.high, "amplitude": amplitude},
            "overshoot_percent": overshoot_percent(self.levels, self.summary.greatest),
            "undershoot_percent": overshoot_percent(
                Levels(-self.levels.high, -self.levels.low), -self.summary.least
            ),
            "edges": timing.transitions,
            "rise": timing.rises.as_dict(),
            "fall": timing.falls.as_dict(),
            "period": timing.periods.as_dict(),
            "frequency_hz": timing.frequency_hz,
            "duty": timing.duty,
            "positive_pulses": timing.widths.as_dict(),
            "negative_pulses": timing.pauses.as_dict(),
            "pulses": [pulse.as_dict() for pulse in timing.pulses],
            "seconds_in_state": dict(self.in_states.seconds),
            "noise_rms": self.noise,
        }


def overshoot_percent(levels: Levels, peak: float) -> float:
    """Return by how much a peak lies above the high state, in percent of the amplitude; NaN without one.

    References
    ----------
    .. [1] IEEE Std 181-2011, overshoot as a percentage of the waveform amplitude. From memory.
    """
    if not levels.amplitude > 0:
        return float("nan")
    return 100.0 * (peak - levels.high) / levels.amplitude


def measure(recording: Recording, progress: Progress | None = None) -> tuple[Measured, ...]:
    """Return what there is to measure of each channel.

    Parameters
    ----------
    recording : Recording
        Read three times; a text file is parsed once and then read from a file of plain numbers.
    progress : function of (pass, samples done), optional
        Called after each chunk.

    Raises
    ------
    UnreadableCapture
        If a part of the file cannot be read, or there is no sample at all.
    """
    tell = progress or (lambda *_: None)
    with Spool(recording) as spooled:
        return _Measuring(spooled, tell).measured()


class _Measuring:
    def __init__(self, recording: Recording, tell: Progress) -> None:
        self.recording, self.tell = recording, tell
        self.start, self.end = float("nan"), float("nan")

    def measured(self) -> tuple[Measured, ...]:
        summaries = self._summaries()
        histograms = self._histograms(summaries)
        return tuple(self._edges(summaries, histograms))

    def _summaries(self) -> list[Summary]:
        sums = [Summing(self.recording.dt) for _ in self.recording.channels]
        done = 0
        for chunk in self.recording.chunks():
            self.start = self.start if done else float(chunk.times[0])
            self.end, done = float(chunk.times[-1]), done + len(chunk)
            for each, values in zip(sums, chunk.values, strict=True):
                each.add(chunk.times, values)
            self.tell(1, done)
        if not done:
            raise UnreadableCapture("file", "There is no sample in it.", "at least one line of numbers")
        return [each.summary() for each in sums]

    def _histograms(self, summaries: list[Summary]) -> list[Histogram]:
        histograms = [Histogram(each.spread, self.recording.dt) for each in summaries]
        done = 0
        for chunk in self.recording.chunks():
            for each, values in zip(histograms, chunk.values, strict=True):
                each.add(chunk.times, values)
            done += len(chunk)
            self.tell(2, done)
        return histograms

    def _edges(self, summaries: list[Summary], histograms: list[Histogram]) -> list[Measured]:
        levels = [histogram.levels() for histogram in histograms]
        rows = [_Row(self.start, self.end, each, self.recording.dt) for each in levels]
        done = 0
        for chunk in self.recording.chunks():
            for row, values in zip(rows, chunk.values, strict=True):
                row.add(chunk.times, values)
            done += len(chunk)
            self.tell(3, done)
        return [
            Measured(
                channel,
                self.recording.dt,
                self.start,
                self.end,
                summary,
                row.levels,
                row.timing,
                row.in_states,
                row.watching.phases(),
            )
            for channel, summary, row in zip(self.recording.channels, summaries, rows, strict=True)
        ]


class _Row:
    """The third pass over one channel."""

    def __init__(self, start: float, end: float, levels: Levels, dt: float | None) -> None:
        self.levels = levels
        self.good = GoodSamples(dt)
        self.finder = EdgeFinder(levels) if levels.amplitude > 0 else None
        self.timing, self.in_states = Timing(), InStates(levels, dt)
        self.watching = Watching(start, end, levels)

    def add(self, times: Floats, values: Floats) -> None:
        good = self.good.of(times, values)
        if good is None:
            return
        found = self.finder.find(good) if self.finder else None
        if found is not None:
            self.timing.add(found)
        self.in_states.add(good)
        self.watching.add(good, found)
