"""What a channel adds up to: bounds, mean, RMS, ripple, missing samples, time in each state.

Everything is summed up as samples come, so that memory does not grow with the recording, and where the
stretches are cut does not change the answer beyond rounding.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from diagnostics.captures.levels import GAP_STEPS, Good, GoodSamples, Levels, Spread
from diagnostics.captures.pulses import Figures
from diagnostics.captures.samples import Floats

MOST_GAPS_LISTED = 1000
WINDOWS = 256  # Parts of equal time in which a signal is watched for changes of behaviour


@dataclass(frozen=True, slots=True)
class Gap:
    """A stretch without samples, from the last one before it to the first one after it [s]."""

    start: float
    end: float


@dataclass(frozen=True, slots=True)
class Summary:
    """Figures of one channel in its unit; times in s. NaN where there is no sample.

    `ripple` is peak to peak, `ac_rms` the RMS of what is left when the mean is taken off.
    """

    count: int
    missing: int
    least: float
    greatest: float
    mean: float
    rms: float
    ac_rms: float
    gap_count: int
    gap_seconds: float
    gaps: tuple[Gap, ...]

    @property
    def ripple(self) -> float:
        """Greatest less least sample."""
        return self.greatest - self.least

    @property
    def spread(self) -> Spread:
        """Least and greatest sample."""
        return Spread(self.least, self.greatest)

    def as_dict(self) -> dict[str, Any]:
        """Return the figures as JSON has them."""
        return {
            "samples": self.count,
            "missing": self.missing,
            "min": self.least,
            "max": self.greatest,
            "mean": self.mean,
            "rms": self.rms,
            "ripple_peak_to_peak": self.ripple,
            "ripple_rms": self.ac_rms,
            "gaps": {
                "count": self.gap_count,
                "seconds": self.gap_seconds,
                "list": [{"start": gap.start, "end": gap.end} for gap in self.gaps],
            },
        }


class Summing:
    """Sums up one channel.

    Samples that come evenly count 1 each. Others are taken as corners of straight lines: the mean is the
    area under them over the time, the RMS that of the lines themselves.
    """

    def __init__(self, dt: float | None) -> None:
        self.dt = dt
        self._good = GoodSamples(dt)
        self._values = Figures()
        self._seconds, self._area, self._square_area = 0.0, 0.0, 0.0
        self._base: float | None = None
        self._last_time: float | None = None
        self._missing, self._gap_count, self._gap_seconds = 0, 0, 0.0
        self._gaps: list[Gap] = []

    def add(self, times: Floats, values: Floats) -> None:
        """Take the next samples in."""
        good = self._good.of(times, values)
        there = 0 if good is None else len(good.values) - good.first
        self._missing += len(values) - there + self._lost_lines(times)
        if good is None:
            return
        fresh = good.values[good.first :]
        self._values.add(fresh)
        if self.dt is None:
            self._add_area(good)
        self._add_gaps(good)

    def _add_area(self, good: Good) -> None:
        if self._base is None:
            self._base = float(good.values[0])  # Sums of squares about it lose fewer digits than about 0.
        seconds = np.where(np.diff(good.gaps) > 0, 0.0, np.diff(good.times))
        start, end = good.values[:-1] - self._base, good.values[1:] - self._base
        self._seconds += float(seconds.sum())
        self._area += float((seconds * (start + end)).sum()) / 2
        self._square_area += float((seconds * (start * start + start * end + end * end)).sum()) / 3

    def _add_gaps(self, good: Good) -> None:
        at = np.flatnonzero(np.diff(good.gaps))
        if not len(at):
            return
        starts, ends = good.times[at], good.times[at + 1]
        self._gap_count += len(at)
        self._gap_seconds += float((ends - starts).sum())
        room = MOST_GAPS_LISTED - len(self._gaps)
        self._gaps += [Gap(*pair) for pair in zip(starts[:room].tolist(), ends[:room].tolist(), strict=True)]

    def _lost_lines(self, times: Floats) -> int:
        """Return how many samples the times leap over: lines that the instrument never wrote."""
        if self.dt is None:
            return 0
        steps = np.diff(times, prepend=times[0] if self._last_time is None else self._last_time)
        self._last_time = float(times[-1])
        leaps = steps[steps > GAP_STEPS * self.dt]
        return int((np.rint(leaps / self.dt) - 1).sum())

    def summary(self) -> Summary:
        """Return the figures of all samples so far."""
        mean, ac_rms = self._values.mean, self._values.deviation
        if self._base is not None and self._seconds > 0:
            off = self._area / self._seconds
            mean = self._base + off
            ac_rms = math.sqrt(max(0.0, self._square_area / self._seconds - off * off))
        none = self._values.count == 0
        return Summary(
            self._values.count,
            self._missing,
            math.nan if none else self._values.least,
            math.nan if none else self._values.greatest,
            mean,
            math.hypot(mean, ac_rms),
            ac_rms,
            self._gap_count,
            self._gap_seconds,
            tuple(self._gaps),
        )


@dataclass(slots=True)
class InStates:
    """Seconds that a signal spends low (below 10 %), high (90 % or more) and between, and its noise there."""

    levels: Levels
    dt: float | None
    low: Figures = field(default_factory=Figures)
    high: Figures = field(default_factory=Figures)
    seconds: dict[str, float] = field(default_factory=lambda: dict.fromkeys(("low", "between", "high"), 0.0))

    def add(self, good: Good) -> None:
        """Take the next stretch in; each interval counts for the state at its beginning."""
        bottom, top = self.levels.at(0.1), self.levels.at(0.9)
        is_low, is_high = good.values < bottom, good.values >= top
        fresh = slice(good.first, None)
        self.low.add(good.values[fresh][is_low[fresh]])
        self.high.add(good.values[fresh][is_high[fresh]])
        seconds = np.where(np.diff(good.gaps) > 0, 0.0, np.diff(good.times))
        low, high = float(seconds[is_low[:-1]].sum()), float(seconds[is_high[:-1]].sum())
        self.seconds["low"] += low
        self.seconds["high"] += high
        self.seconds["between"] += float(seconds.sum()) - low - high
