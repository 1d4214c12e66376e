"""State levels of a signal by the histogram of its samples, and what they are made from.

Terms and definitions are those of IEEE Std 181-2011 and IEC 60469:2013 (state level, reference level,
waveform amplitude). The method was read in public documentation of it; the standards are from memory.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagnostics.captures.samples import Floats, Recording

BINS = 100  # IEEE Std 181-2011 section 5.2 leaves the number open; trade-values.md section 6 says 100.
FINE = 100  # Parts of a bin, in which its median is found
LEAST_WIDTH = 1e-30  # of a part of a bin; less is no movement at all
STANDS_OUT = 2.0  # times the mean of its half; the outer bin of a sine has 6 times. Project rule.
LOW_SHARE, MIDDLE_SHARE, HIGH_SHARE = 0.10, 0.50, 0.90
GAP_STEPS = 1.5  # A step of time this many sample intervals long has lost a sample.


@dataclass(frozen=True, slots=True)
class Levels:
    """Low and high state level of a channel, in its unit. Equal where the signal never moves."""

    low: float
    high: float

    @property
    def amplitude(self) -> float:
        """High less low."""
        return self.high - self.low

    def at(self, share: float) -> float:
        """Return the reference level at a share of the amplitude above low."""
        return self.low + share * self.amplitude


@dataclass(frozen=True, slots=True)
class Spread:
    """Least and greatest sample of a channel; NaN where every sample is missing."""

    least: float
    greatest: float


@dataclass(frozen=True, slots=True, eq=False)
class Good:
    """Samples of one channel that are there: their times, values and the count of gaps before each."""

    times: Floats
    values: Floats
    gaps: NDArray[np.int64]
    first: int  # 1 where the first sample is the last one of the stretch before, carried over.


class GoodSamples:
    """Leaves out what is missing, and carries the last sample over so that no interval is lost."""

    def __init__(self, dt: float | None) -> None:
        self.dt = dt
        self._time, self._value, self._gaps = np.empty(0), np.empty(0), 0
        self._missing_since = False

    def of(self, times: Floats, values: Floats) -> Good | None:
        """Return the next stretch with the sample before it in front, None where all is missing."""
        there = ~np.isnan(values)
        if there.all():
            kept, parted = values, np.zeros(len(values), bool)
            parted[0] = self._missing_since
            self._missing_since = False
        else:
            before = np.concatenate(([self._missing_since], ~there[:-1]))
            self._missing_since = bool(not there[-1])
            if not there.any():
                return None
            # A sample comes after a gap when any sample since the last good one is missing.
            kept, times, parted = values[there], times[there], before[there]
        return self._joined(times, kept, parted)

    def _joined(self, times: Floats, values: Floats, parted: NDArray[np.bool_]) -> Good:
        first = len(self._time)
        times = np.concatenate((self._time, times))
        values = np.concatenate((self._value, values))
        if self.dt is not None:
            parted[1 - first :] |= np.diff(times) > GAP_STEPS * self.dt
        if not first:
            parted[0] = False
        gaps = self._gaps + np.cumsum(np.concatenate((np.zeros(first, bool), parted)))
        self._time, self._value, self._gaps = times[-1:].copy(), values[-1:].copy(), int(gaps[-1])
        return Good(times, values, gaps, first)


def spread(recording: Recording) -> tuple[Spread, ...]:
    """Return the least and greatest sample of each channel; one pass over the recording."""
    least = np.full(len(recording.channels), np.inf)
    greatest = -least
    for chunk in recording.chunks():
        least = np.fmin(least, np.fmin.reduce(chunk.values, axis=1))
        greatest = np.fmax(greatest, np.fmax.reduce(chunk.values, axis=1))
    return tuple(
        Spread(low, high) if low <= high else Spread(float("nan"), float("nan"))
        for low, high in zip(least.tolist(), greatest.tolist(), strict=True)
    )


class Histogram:
    """Counts of one channel's samples in 100 bins from least to greatest.

    Samples that come evenly count 1 each; others count by the time they stand for, half of the interval
    on either side of them.
    """

    def __init__(self, spread: Spread, dt: float | None) -> None:
        self.spread = spread
        self._counts, self._sums = np.zeros(BINS * FINE), np.zeros(BINS * FINE)
        self._evenly = dt is not None
        self._good = GoodSamples(dt)

    def add(self, times: Floats, values: Floats) -> None:
        """Count the next samples."""
        if self._evenly:
            values = values if not np.isnan(values).any() else values[~np.isnan(values)]
            return self._count(values, None)
        good = self._good.of(times, values)
        if good is None or len(good.values) < 2:
            return None
        half = np.where(np.diff(good.gaps) > 0, 0.0, np.diff(good.times) / 2)
        self._count(good.values[:-1], half)
        return self._count(good.values[1:], half)

    def _count(self, values: Floats, weights: Floats | None) -> None:
        low, width = self.spread.least, (self.spread.greatest - self.spread.least) / (BINS * FINE)
        if width < LEAST_WIDTH or not len(values):
            return
        scale = 1 / width
        at = ((values - low) * scale).astype(np.intp)
        np.minimum(at, BINS * FINE - 1, out=at)
        weighted = values if weights is None else values * weights
        self._counts += np.bincount(at, weights, BINS * FINE)
        self._sums += np.bincount(at, weighted, BINS * FINE)

    @property
    def counts(self) -> Floats:
        """How full each of the 100 bins is."""
        counts: Floats = self._counts.reshape(BINS, FINE).sum(axis=1)
        return counts

    def levels(self) -> Levels:
        """Return the median of the samples in the fullest bin of the lower and of the upper half.

        The centre of that bin is what the method names; it is off by up to half a bin, which would make a
        10 to 90 % rise 1 % too short. Of bins that are equally full the outer one is taken. A half without a
        fullest bin, as a triangle has it, gives its outermost sample.
        """
        counts = self.counts
        if not counts.any():
            steady = self.spread.least
            return Levels(steady, steady)
        half = BINS // 2
        low = _fullest(counts[:half])
        high = _fullest(counts[half:][::-1])
        return Levels(
            self.spread.least if low is None else self._median(low),
            self.spread.greatest if high is None else self._median(BINS - 1 - high),
        )

    def _median(self, at: int) -> float:
        """Return the mean of the part of a bin in which the median lies: off by a ten-thousandth at most."""
        parts = slice(at * FINE, (at + 1) * FINE)
        so_far = np.cumsum(self._counts[parts])
        middle = parts.start + int(np.searchsorted(so_far, so_far[-1] / 2))
        return float(self._sums[middle] / self._counts[middle])


def _fullest(counts: Floats) -> int | None:
    """Return the first of the fullest bins, None where no bin stands out."""
    at = int(np.argmax(counts))
    return at if counts[at] >= STANDS_OUT * counts.mean() and counts[at] > 0 else None


def state_levels(recording: Recording, spreads: Iterable[Spread] | None = None) -> tuple[Levels, ...]:
    """Return low and high state level of each channel.

    Parameters
    ----------
    recording : Recording
    spreads : Spread of each channel, optional
        From an earlier pass; found by one more pass over the recording if not given.

    Returns
    -------
    Levels of each channel
        NaN where every sample is missing. With noise of standard deviation s the error is of the order of
        s plus a bin, a hundredth of the spread.

    References
    ----------
    .. [1] IEEE Std 181-2011, 5.2.1 (histogram methods). From memory.
    """
    histograms = [Histogram(each, recording.dt) for each in spreads or spread(recording)]
    for chunk in recording.chunks():
        for histogram, values in zip(histograms, chunk.values, strict=True):
            histogram.add(chunk.times, values)
    return tuple(histogram.levels() for histogram in histograms)


def stretches(recording: Recording, row: int) -> Iterator[Good]:
    """Yield the samples of one channel that are there, each stretch with the sample before it in front."""
    samples = GoodSamples(recording.dt)
    for chunk in recording.chunks():
        good = samples.of(chunk.times, chunk.values[row])
        if good is not None:
            yield good
