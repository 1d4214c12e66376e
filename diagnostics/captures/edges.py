"""Transitions of a signal between its states, and the times made from them.

A transition leaves one state through its reference level (10 % when rising) and is done when it reaches the
other one (90 %). Signals that turn back in between have made none, so noise at half height makes no edges.
Crossings lie between two samples of which one is below the level and the next at or above it, or the
reverse, on the straight line between them. IEEE Std 181-2011, 5.3, and IEC 60469:2013; from memory.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagnostics.captures.levels import HIGH_SHARE, LOW_SHARE, MIDDLE_SHARE, Good, Levels, stretches
from diagnostics.captures.samples import Floats, Recording

NOT_YET = float("nan")


@dataclass(frozen=True, slots=True, eq=False)
class Transitions:
    """Edges in order of time, (n,) each.

    `rising` says which way; `left` is when the old state was left, `middle` when half of the amplitude was
    first crossed after that, `reached` when the new state was reached, all in s. `gaps` counts the gaps of
    the recording up to the edge; `whole` is false for an edge that a gap lies in.
    """

    rising: NDArray[np.bool_]
    left: Floats
    middle: Floats
    reached: Floats
    gaps: NDArray[np.int64]
    whole: NDArray[np.bool_]

    def __len__(self) -> int:
        return len(self.middle)


@dataclass(slots=True)
class _Pending:
    """What is known of an edge that may be under way at the end of a stretch."""

    state: int = 0  # -1 low, 1 high, 0 neither seen yet
    left: float = NOT_YET
    middle: float = NOT_YET
    gaps: int = 0


class EdgeFinder:
    """Finds the transitions of one channel, stretch by stretch; the cut between them leaves no trace."""

    def __init__(self, levels: Levels) -> None:
        self.low, self.middle, self.high = (
            levels.at(share) for share in (LOW_SHARE, MIDDLE_SHARE, HIGH_SHARE)
        )
        self._pending = _Pending()

    def find(self, good: Good) -> Transitions:
        """Return the transitions that are done in this stretch."""
        values = good.values
        extreme = (values >= self.high).astype(np.int8) - (values < self.low)
        if good.first:
            extreme[0] = self._pending.state if extreme[0] else 0
        seen = np.flatnonzero(extreme)
        states = extreme[seen]
        turns = np.flatnonzero(states[1:] != states[:-1])
        done, before = seen[turns + 1], seen[turns]
        rising = states[turns + 1] > 0
        left = self._left(good, before, rising)
        middle = self._middle(good, before, rising)
        begun = good.gaps[before]
        if len(seen) and self._pending.state and states[0] != self._pending.state:
            done = np.concatenate((seen[:1], done))
            rising = np.concatenate((states[:1] > 0, rising))
            left = np.concatenate(([self._pending.left], left))
            middle = np.concatenate(([self._carried_middle(good, bool(rising[0]))], middle))
            begun = np.concatenate(([self._pending.gaps], begun))
        reached = _crossing(good, done - 1, np.where(rising, self.high, self.low))
        self._keep(good, seen, states)
        return Transitions(rising, left, middle, reached, good.gaps[done], good.gaps[done] == begun)

    def _left(self, good: Good, before: NDArray[np.intp], rising: NDArray[np.bool_]) -> Floats:
        return _crossing(good, before, np.where(rising, self.low, self.high))

    def _middle(self, good: Good, before: NDArray[np.intp], rising: NDArray[np.bool_]) -> Floats:
        above = good.values >= self.middle
        change = above[1:].astype(np.int8) - above[:-1]
        ups, downs = np.flatnonzero(change > 0), np.flatnonzero(change < 0)
        at = np.zeros(len(before), np.intp)
        at[rising] = ups[np.searchsorted(ups, before[rising])]
        at[~rising] = downs[np.searchsorted(downs, before[~rising])]
        return _crossing(good, at, np.full(len(at), self.middle))

    def _carried_middle(self, good: Good, rising: bool) -> float:
        if not np.isnan(self._pending.middle):
            return self._pending.middle
        return self._first_middle(good, 0, rising)

    def _first_middle(self, good: Good, start: int, rising: bool) -> float:
        above = good.values[start:] >= self.middle
        crossed = np.flatnonzero(above[1:] > above[:-1]) if rising else np.flatnonzero(above[1:] < above[:-1])
        if not len(crossed):
            return NOT_YET
        return float(_crossing(good, crossed[:1] + start, np.array([self.middle]))[0])

    def _keep(self, good: Good, seen: NDArray[np.intp], states: NDArray[np.int8]) -> None:
        """Remember what the next stretch needs: the state, and how far out of it the signal has come."""
        if not len(seen):
            if self._pending.state and np.isnan(self._pending.middle):
                self._pending.middle = self._first_middle(good, 0, self._pending.state < 0)
            return
        last, state = int(seen[-1]), int(states[-1])
        rising = state < 0
        self._pending = _Pending(state, gaps=int(good.gaps[last]))
        if last < len(good.values) - 1:
            level = self.low if rising else self.high
            self._pending.left = float(_crossing(good, np.array([last]), np.array([level]))[0])
            self._pending.middle = self._first_middle(good, last, rising)


def transitions(recording: Recording, row: int, levels: Levels) -> Iterator[Transitions]:
    """Yield the transitions of one channel in the order of time; one pass over the recording.

    Parameters
    ----------
    recording : Recording
    row : int
        Which channel.
    levels : Levels
        Its state levels. A channel without amplitude has no transitions.

    Notes
    -----
    The error of a crossing is below a sample interval; for a ramp of several samples it is that of the
    values, divided by the slope.
    """
    if not levels.amplitude > 0:
        return
    finder = EdgeFinder(levels)
    for good in stretches(recording, row):
        found = finder.find(good)
        if len(found):
            yield found


def joined(parts: Iterable[Transitions]) -> Transitions:
    """Return transitions of several stretches as one."""
    listed = list(parts) or [_NONE]
    return Transitions(
        *(
            np.concatenate([getattr(part, name) for part in listed])
            for name in ("rising", "left", "middle", "reached", "gaps", "whole")
        )
    )


def _crossing(good: Good, before: NDArray[np.intp], level: Floats) -> Floats:
    """Return where the line from each sample `before` to the next one has the level, as a time."""
    after = np.minimum(before + 1, len(good.values) - 1)
    start, step = good.values[before], good.values[after] - good.values[before]
    share = np.divide(level - start, step, out=np.zeros(len(step)), where=step != 0)
    return good.times[before] + np.clip(share, 0.0, 1.0) * (good.times[after] - good.times[before])


_NONE = Transitions(
    np.empty(0, bool), np.empty(0), np.empty(0), np.empty(0), np.empty(0, np.int64), np.empty(0, bool)
)
