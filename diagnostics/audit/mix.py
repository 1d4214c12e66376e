"""What a mix of jobs lets expect: the rate of such jobs in the shop, finer cells leaning on coarser ones.

A cell of few jobs says little by itself. Its rate is drawn towards that of the next coarser group as though
that group lent it some jobs, and so on up to the rate of all: system; system and symptom; and so forth.

References
----------
.. [1] statistics.md section 3.8, expected counts; own jobs left out above a quarter.
.. [2] A. Gelman et al., Bayesian Data Analysis, 3rd ed., 2013, section 5.1 (leaning on a group). From memory.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from diagnostics.audit.policy import CELL_JOBS, FEWEST_TO_COMPARE, OWN_SHARE_LEFT_OUT

Traits = tuple[Hashable, ...]


class Cell(NamedTuple):
    """Jobs of one unit alike in all traits, coarse ones first; how many of them came back."""

    unit: str
    traits: Traits
    jobs: int
    back: int


@dataclass(frozen=True, slots=True)
class Expected:
    """Comebacks that the shop's rates of such jobs let expect; None where nobody else does enough jobs.

    without_own : whether own jobs were left out of the rates, as there are too many of them among all.
    """

    value: float | None
    without_own: bool


def expected(cells: Sequence[Cell], *, strength: float = CELL_JOBS) -> dict[str, Expected]:
    """Return what is expected of each unit.

    The rates are scaled so that, of the jobs they were learnt from, as many are expected as came back.

    Parameters
    ----------
    cells : sequence of Cell
        Of all units, each with the same number of traits.
    strength : float
        Jobs that a coarser group lends a finer one.
    """
    own: dict[str, list[Cell]] = {}
    for cell in cells:
        own.setdefault(cell.unit, []).append(cell)
    jobs = sum(cell.jobs for cell in cells)
    whole = Rates(cells, strength)
    found = {}
    for unit, mine in own.items():
        is_large = sum(cell.jobs for cell in mine) > OWN_SHARE_LEFT_OUT * jobs
        rates = Rates((cell for cell in cells if cell.unit != unit), strength) if is_large else whole
        is_known = rates.jobs >= FEWEST_TO_COMPARE
        found[unit] = Expected(rates.of(mine) if is_known else None, is_large)
    return found


class Rates:
    """The rate of each group of jobs, from coarse to fine."""

    def __init__(self, cells: Iterable[Cell], strength: float) -> None:
        self._strength = strength
        self._jobs: Counter[Traits] = Counter()
        self._back: Counter[Traits] = Counter()
        self._known: dict[Traits, float] = {}
        finest: Counter[Traits] = Counter()
        for cell in cells:
            finest[cell.traits] += cell.jobs
            for depth in range(len(cell.traits) + 1):
                self._jobs[cell.traits[:depth]] += cell.jobs
                self._back[cell.traits[:depth]] += cell.back
        unscaled = math.fsum(jobs * self._rate(traits) for traits, jobs in finest.items())
        self._scale = self._back[()] / unscaled if unscaled else 1.0

    @property
    def jobs(self) -> int:
        """How many jobs the rates were learnt from."""
        return self._jobs[()]

    def of(self, cells: Iterable[Cell]) -> float:
        """Return how many of the jobs of these cells are expected to come back."""
        return self._scale * math.fsum(cell.jobs * self._rate(cell.traits) for cell in cells)

    def _rate(self, traits: Traits) -> float:
        known = self._known.get(traits)
        if known is None:
            known = self._known[traits] = self._drawn(traits)
        return known

    def _drawn(self, traits: Traits) -> float:
        jobs, back = self._jobs[traits], self._back[traits]
        if not traits:
            return back / jobs if jobs else 0.0
        lent = self._strength
        return (back + lent * self._rate(traits[:-1])) / (jobs + lent)
