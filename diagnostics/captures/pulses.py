"""Pulses, periods and rise times from the transitions of a signal, summed up as they come.

Pulse width and period run between half-amplitude crossings; the duty cycle is that of positive pulses.
What a gap of the recording lies in is left out. IEEE Std 181-2011, 5.3 to 5.5; from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from diagnostics.captures.edges import Transitions, joined
from diagnostics.captures.samples import Floats

MOST_LISTED = 10_000  # Pulses in the table; all of them are in the figures beside it.
MOST_KEPT = 200_000  # Transitions kept for the verdicts.


@dataclass(slots=True)
class Figures:
    """Count, mean, spread and bounds of many numbers, of which none is kept."""

    count: int = 0
    total: float = 0.0
    squares: float = 0.0  # Sum of squares about the mean
    least: float = math.inf
    greatest: float = -math.inf

    def add(self, numbers: Floats) -> None:
        """Take more numbers in, by the pairwise rule of Chan, Golub and LeVeque (1979). From memory."""
        if not len(numbers):
            return
        count, total = len(numbers), float(numbers.sum())
        squares = float(((numbers - total / count) ** 2).sum())
        if self.count:
            apart = total / count - self.mean
            squares += apart * apart * self.count * count / (self.count + count)
        self.count, self.total, self.squares = self.count + count, self.total + total, self.squares + squares
        self.least = min(self.least, float(numbers.min()))
        self.greatest = max(self.greatest, float(numbers.max()))

    @property
    def mean(self) -> float:
        """Their mean, NaN if there are none."""
        return self.total / self.count if self.count else math.nan

    @property
    def deviation(self) -> float:
        """Their standard deviation about the mean, NaN if there are none."""
        return math.sqrt(max(0.0, self.squares / self.count)) if self.count else math.nan

    def as_dict(self) -> dict[str, float | int] | None:
        """Return the figures as JSON has them, None if there are none."""
        if not self.count:
            return None
        return {
            "count": self.count,
            "mean": self.mean,
            "least": self.least,
            "greatest": self.greatest,
            "deviation": self.deviation,
        }


@dataclass(frozen=True, slots=True)
class Pulse:
    """One pulse: which way it goes, when it began, how long it was, all in s."""

    positive: bool
    start: float
    width: float
    lead: float  # Duration of the edge that begins it, 10 to 90 %
    trail: float

    def as_dict(self) -> dict[str, Any]:
        """Return the pulse as JSON has it."""
        return {
            "positive": self.positive,
            "start": self.start,
            "width": self.width,
            "lead": self.lead,
            "trail": self.trail,
        }


@dataclass(slots=True)
class Timing:
    """What the transitions of one channel add up to. Times in s; `duty` is a share of 1."""

    rises: Figures = field(default_factory=Figures)
    falls: Figures = field(default_factory=Figures)
    periods: Figures = field(default_factory=Figures)
    widths: Figures = field(default_factory=Figures)  # of positive pulses
    pauses: Figures = field(default_factory=Figures)  # of negative pulses
    in_cycles: Figures = field(default_factory=Figures)  # those widths
    transitions: int = 0
    pulses: list[Pulse] = field(default_factory=list)
    kept: list[Transitions] = field(default_factory=list)
    _carried: Transitions | None = None

    def add(self, found: Transitions) -> None:
        """Take the next transitions in."""
        self.transitions += len(found)
        if sum(len(part) for part in self.kept) < MOST_KEPT:
            self.kept.append(found)
        rising = found.rising & found.whole
        self.rises.add((found.reached - found.left)[rising])
        self.falls.add((found.reached - found.left)[~found.rising & found.whole])
        self._pulses(joined([self._carried, found]) if self._carried else found)

    def _pulses(self, all_: Transitions) -> None:
        """Pulses and periods; the last two transitions go before the next ones, as a period needs three."""
        new = 0 if self._carried is None else len(self._carried) - 1
        width, unbroken = np.diff(all_.middle), np.diff(all_.gaps) == 0
        fresh = np.arange(len(width)) >= new
        self.widths.add(width[fresh & unbroken & all_.rising[:-1]])
        self.pauses.add(width[fresh & unbroken & ~all_.rising[:-1]])
        self._list(all_, width, fresh & unbroken)
        period, whole = all_.middle[2:] - all_.middle[:-2], all_.gaps[2:] == all_.gaps[:-2]
        fresh = np.arange(len(period)) + 2 >= (0 if self._carried is None else len(self._carried))
        # Periods run from rise to rise; where a signal rises once only, there is no period.
        cycle = fresh & whole & all_.rising[:-2]
        self.periods.add(period[cycle])
        self.in_cycles.add(width[:-1][cycle])
        self._carried = Transitions(
            *(getattr(all_, name)[-2:] for name in ("rising", "left", "middle", "reached", "gaps", "whole"))
        )

    def _list(self, all_: Transitions, width: Floats, listed: NDArray[np.bool_]) -> None:
        duration = all_.reached - all_.left
        for at in np.flatnonzero(listed)[: MOST_LISTED - len(self.pulses)].tolist():
            self.pulses.append(
                Pulse(
                    bool(all_.rising[at]),
                    float(all_.middle[at]),
                    float(width[at]),
                    float(duration[at]),
                    float(duration[at + 1]),
                )
            )

    @property
    def edges(self) -> Transitions:
        """The first transitions, enough for a verdict."""
        return joined(self.kept)

    @property
    def frequency_hz(self) -> float:
        """One over the mean period, NaN without a whole period."""
        return 1.0 / self.periods.mean if self.periods.count else math.nan

    @property
    def duty(self) -> float:
        """Mean width of positive pulses over mean period, in whole periods only; NaN without one."""
        return self.in_cycles.total / self.periods.total if self.periods.count else math.nan
