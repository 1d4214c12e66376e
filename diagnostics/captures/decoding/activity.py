"""A recorded bus as two levels: when it is driven and when it is let go."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

SHORTEST_BIT_S = 1e-8  # Ten times faster than any bus that is decoded.
MOST_EDGES = (
    8_000_000  # 64 MB; more edges than a minute of the busiest bus has. The rest is left out, and said.
)


@dataclass(frozen=True, slots=True)
class Thresholds:
    """Voltages between which a level is kept: at `high_v` or more it is high, at `low_v` or less low."""

    low_v: float
    high_v: float

    def __post_init__(self) -> None:
        if not self.low_v < self.high_v:
            raise ValueError(f"The lower threshold of {self.low_v} V must lie below {self.high_v} V.")


@dataclass(frozen=True, slots=True)
class Activity:
    """A bus as two levels over a recording.

    Parameters
    ----------
    start_s, end_s : float
        First and last instant recorded. [s]
    active : bool
        Whether the bus is driven (active, dominant) at the start.
    edges_s : n floats
        Instants at which the level changes, rising, within the recording. [s]
    whole : bool
        False where edges were left out because there were more than `MOST_EDGES`.
    gaps_s : m by 2 floats
        From when to when samples are missing, rising. [s]
    """

    start_s: float
    end_s: float
    active: bool
    edges_s: Floats
    whole: bool = True
    gaps_s: Floats = field(default_factory=lambda: np.empty((0, 2)))

    @property
    def length_s(self) -> float:
        """How long the recording is. [s]"""
        return self.end_s - self.start_s

    def inverted(self) -> Activity:
        """Return the same with driven and let go exchanged, for a wire of the other polarity."""
        return replace(self, active=not self.active)

    def excerpts(self, edges_each: int, count: int = 5) -> list[Activity]:
        """Return stretches of so many edges, spread evenly over the recording, or all of a short one."""
        if self.edges_s.size <= edges_each * count:
            return [self]
        places = np.linspace(0, self.edges_s.size - edges_each - 1, count).astype(int).tolist()
        return [self._from_edge(place, edges_each) for place in places]

    def _from_edge(self, place: int, count: int) -> Activity:
        edges = self.edges_s[place + 1 : place + count]
        active = self.active if place % 2 else not self.active
        return Activity(float(self.edges_s[place]), float(edges[-1]), active, edges)

    def pulses(self) -> tuple[Floats, Floats, NDArray[np.bool_]]:
        """Return start, width and level of each pulse, the first and last cut by the recording. [s, s, -]"""
        starts = np.concatenate(([self.start_s], self.edges_s))
        widths = np.diff(starts, append=self.end_s)
        levels = (np.arange(starts.size) % 2 == 0) == self.active
        return starts, widths, levels

    def without_glitches(self, shortest_s: float) -> Activity:
        """Return the same without pulses shorter than that, as a receiver's input filter has it.

        Of a row of short pulses every other one goes with both its edges, until none is left.
        """
        edges = self.edges_s
        while edges.size > 1:
            short = np.flatnonzero(np.diff(edges) < shortest_s)
            if not short.size:
                break
            alone = _every_other_of_each_row(short)
            edges = np.delete(edges, np.concatenate((alone, alone + 1)))
        return replace(self, edges_s=edges)


class Receiver:
    """Takes the two levels of a voltage that arrives in blocks, as a receiver with hysteresis does.

    An edge lies where the straight line between two samples meets the threshold that was passed.
    """

    def __init__(self, thresholds: Thresholds) -> None:
        self._low, self._high = thresholds.low_v, thresholds.high_v
        self._level: bool | None = None
        self._last: tuple[float, float] | None = None
        self.starts_high = False

    def feed(self, times_s: Floats, volts: Floats) -> Floats:
        """Return the edges within one more block of samples. Samples that are no number count as held. [s]"""
        if not times_s.size:
            return np.empty(0)
        if self._last is not None:
            times_s = np.concatenate(([self._last[0]], times_s))
            volts = np.concatenate(([self._last[1]], volts))
        self._last = (float(times_s[-1]), float(volts[-1]))
        sure = np.flatnonzero((volts >= self._high) | (volts <= self._low))
        if not sure.size:
            return np.empty(0)
        high = volts[sure] >= self._high
        if self._level is None:
            self.starts_high = self._level = bool(high[0])
        changed = np.flatnonzero(np.diff(high, prepend=self._level))
        self._level = bool(high[-1])
        return self._instants(times_s, volts, sure[changed])

    def _instants(self, times_s: Floats, volts: Floats, at: NDArray[np.intp]) -> Floats:
        at = at[at > 0]
        before, after = volts[at - 1], volts[at]
        passed = np.where(after >= self._high, self._high, self._low)
        with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
            part = (passed - before) / (after - before)
        part = np.where(np.isfinite(part), np.clip(part, 0.0, 1.0), 1.0)
        found: Floats = times_s[at - 1] + part * (times_s[at] - times_s[at - 1])
        return found


def from_volts(
    blocks: Iterable[tuple[Floats, Floats]], thresholds: Thresholds, *, active_high: bool = True
) -> Activity:
    """Return the two levels of a voltage.

    Parameters
    ----------
    blocks : pairs of n floats and n floats
        Times, rising, and voltages; only one block is held at a time. [s], [V]
    thresholds : Thresholds
    active_high : bool
        Whether the bus is driven at the high level.

    Returns
    -------
    Activity
        Edge instants are within one sample interval of the true ones; for ramps much longer than a sample
        they are exact but for noise, and both edges are late by the same part of equal ramps.
    """
    receiver = Receiver(thresholds)
    span: list[float] = []
    found = from_edges(_fed(receiver, blocks, span), active=False)
    if not span:
        return Activity(0.0, 0.0, False, np.empty(0))
    return Activity(span[0], span[-1], receiver.starts_high == active_high, found.edges_s, found.whole)


def from_edges(
    blocks: Iterable[Floats], *, active: bool, start_s: float | None = None, end_s: float | None = None
) -> Activity:
    """Return the two levels from blocks of edge instants, rising; `active` is the level before them. [s]"""
    kept: list[Floats] = []
    room = MOST_EDGES
    whole = True
    for block in blocks:
        kept.append(block[:room])
        whole = whole and block.size <= room
        room -= kept[-1].size
    edges = np.concatenate(kept) if kept else np.empty(0)
    first = float(edges[0]) if edges.size else 0.0
    last = float(edges[-1]) if edges.size else first
    return Activity(
        first if start_s is None else start_s, last if end_s is None else end_s, active, edges, whole
    )


def bursts(activity: Activity, quiet_s: float, most_edges: int = 4096) -> Iterator[Floats]:
    """Yield the activity between two quiet times, as edge instants that begin with an edge into active.

    Parameters
    ----------
    activity : Activity
    quiet_s : float
        How long the bus is let go between two bursts, at least. [s]
    most_edges : int
        A longer burst is cut there, so that noise cannot grow without bound; the rest of it is yielded in
        pieces too.

    Yields
    ------
    n floats
        Edge instants, into active and out of it in turn. [s]
    """
    edges = activity.edges_s[1:] if activity.active else activity.edges_s
    quiet = np.flatnonzero(np.diff(edges)[1::2] >= quiet_s) * 2 + 2
    for begin, end in pairwise((0, *quiet.tolist(), edges.size)):
        for piece in range(begin, end, most_edges):
            yield edges[piece : min(piece + most_edges, end)]


def rates_by_pulses(excerpts: Sequence[Activity], percents: Sequence[float]) -> list[float]:
    """Return bit rates that the short pulses suggest: the mean of those near each percentile. [bit/s]"""
    widths = np.concatenate([np.diff(excerpt.edges_s) for excerpt in excerpts])
    widths = widths[widths > SHORTEST_BIT_S]
    if not widths.size:
        return []
    typical = np.percentile(widths, percents, method="lower").tolist()
    return [float(1 / widths[np.abs(widths - each) <= 0.3 * each].mean()) for each in typical]


def _fed(receiver: Receiver, blocks: Iterable[tuple[Floats, Floats]], span: list[float]) -> Iterator[Floats]:
    for times_s, volts in blocks:
        if times_s.size:
            span[:] = [span[0] if span else float(times_s[0]), float(times_s[-1])]
            yield receiver.feed(np.asarray(times_s, dtype=np.float64), np.asarray(volts, dtype=np.float64))


def _every_other_of_each_row(places: NDArray[np.intp]) -> NDArray[np.intp]:
    begins = np.concatenate(([True], np.diff(places) > 1))
    first = places[np.flatnonzero(begins)[np.cumsum(begins) - 1]]
    chosen: NDArray[np.intp] = places[(places - first) % 2 == 0]
    return chosen
