"""How a signal behaves as time goes on: active, resting low, resting high, or resting between.

The recording is watched in windows of equal time. A window with an edge in it is active; one without rests
where its mean is. Project rule: no source defines this; the windows are shown with the verdict.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from diagnostics.captures.edges import Transitions
from diagnostics.captures.levels import Good, Levels
from diagnostics.captures.summary import WINDOWS

REST_SHARE = 0.25  # A rest this near a state level, as a share of the amplitude, is at that level.
Behaviour = Literal["active", "low", "high", "between"]


@dataclass(frozen=True, slots=True)
class Phase:
    """A stretch of one behaviour, to within a window; `level` is the mean of its samples."""

    behaviour: Behaviour
    start: float
    end: float
    level: float


class Watching:
    """Collects what each window holds, of one channel."""

    def __init__(self, start: float, end: float, levels: Levels) -> None:
        self.start, self.end, self.levels = start, end, levels
        self.sums, self.counts = np.zeros(WINDOWS), np.zeros(WINDOWS)
        self.edges = np.zeros(WINDOWS, np.int64)

    def add(self, good: Good, found: Transitions | None) -> None:
        """Take a stretch and the transitions in it."""
        at = self._windows(good.times[good.first :])
        fresh = good.values[good.first :]
        if len(at):
            # Times rise, so a window is one slice.
            cuts = np.flatnonzero(np.diff(at, prepend=-1))
            self.sums[at[cuts]] += np.add.reduceat(fresh, cuts)
            self.counts[at[cuts]] += np.diff(np.append(cuts, len(at)))
        if found is not None and len(found):
            self.edges += np.bincount(self._windows(found.middle), minlength=WINDOWS)

    def _windows(self, times: NDArray[np.float64]) -> NDArray[np.intp]:
        length = max(self.end - self.start, 1e-30)
        at = ((times - self.start) * (WINDOWS / length)).astype(np.intp)
        return np.clip(at, 0, WINDOWS - 1)

    def phases(self) -> tuple[Phase, ...]:
        """Return the behaviours in turn; windows without samples are left out."""
        step = (self.end - self.start) / WINDOWS
        seen = [(self._behaviour(at), at) for at in range(WINDOWS) if self.counts[at]]
        phases = []
        for behaviour, group in groupby(seen, key=lambda each: each[0]):
            at = [window for _, window in group]
            level = float(self.sums[at].sum() / self.counts[at].sum())
            phases.append(
                Phase(behaviour, self.start + at[0] * step, self.start + (at[-1] + 1) * step, level)
            )
        return tuple(phases)

    def _behaviour(self, at: int) -> Behaviour:
        if self.edges[at]:
            return "active"
        mean = self.sums[at] / self.counts[at]
        if mean < self.levels.at(REST_SHARE):
            return "low"
        return "high" if mean > self.levels.at(1 - REST_SHARE) else "between"
