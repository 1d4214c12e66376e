"""One fault-isolation problem as arrays: suspects, tests, zones, and the price of a wrong call."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Ints = NDArray[np.int64]

ALMOST_NEVER = 1e-12  # An outcome less likely than this does not happen.
TIE = 1e-9  # Minutes nearer than this are the same.


@dataclass(frozen=True)
class Fault:
    """One thing wrong with a document, and where it stands in it."""

    where: str
    message: str

    def __str__(self) -> str:
        return f"{self.where}: {self.message}"


class ProblemError(ValueError):
    """A document is no isolation problem. `faults` names everything that is wrong with it."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        super().__init__("; ".join(str(fault) for fault in faults))
        self.faults = faults


@dataclass(frozen=True)
class Test:
    """One test: hands-on minutes, outcomes, and how often it may be done."""

    __test__ = False  # Not a test class, whatever pytest thinks of the name.

    id: str
    minutes: float
    outcomes: tuple[str, ...]
    max_uses: int


@dataclass(frozen=True, eq=False)
class Problem:
    """Suspects and tests in the order of their ids, so that the order in a file changes no answer.

    n suspects, t tests, o outcomes at most, z zones, g repair groups.

    prior            (n,) sums to 1
    group_of         (n,) place of each suspect's group in `groups`
    likelihood       (t, o, n) chance of each outcome given each suspect; rows beyond a test's outcomes are 0
    minutes          (t,) hands-on
    max_uses         (t,)
    needs_zone       (t, z) the zones a test needs, those they lie inside included
    zone_minutes     (z,) to open and refit
    already_open     (z,)
    after            (t, t) row: the tests that must be done before
    """

    document: Mapping[str, Any]
    candidates: tuple[str, ...]
    groups: tuple[str, ...]
    group_of: Ints
    prior: Floats
    tests: tuple[Test, ...]
    likelihood: Floats
    minutes: Floats
    max_uses: Ints
    zones: tuple[str, ...]
    needs_zone: Flags
    zone_minutes: Floats
    already_open: Flags
    after: Flags
    wrong_minutes: float

    @cached_property
    def test_at(self) -> dict[str, int]:
        """Place of each test by its id."""
        return {test.id: place for place, test in enumerate(self.tests)}

    @cached_property
    def outcome_at(self) -> tuple[dict[str, int], ...]:
        """For each test, the place of each outcome by its id."""
        return tuple({name: at for at, name in enumerate(test.outcomes)} for test in self.tests)

    @cached_property
    def has_own_groups(self) -> bool:
        """Whether each suspect is a repair group of its own."""
        return len(self.groups) == len(self.candidates)

    @cached_property
    def membership(self) -> Floats:
        """(n, g) 1 where a suspect belongs to a group."""
        held = np.zeros((len(self.candidates), len(self.groups)))
        held[np.arange(len(self.candidates)), self.group_of] = 1.0
        return held

    @cached_property
    def rows(self) -> Floats:
        """(t * o, n) the likelihoods as one matrix."""
        return self.likelihood.reshape(-1, len(self.candidates))

    @cached_property
    def opens(self) -> Flags:
        """(t,) whether another test must wait for this one."""
        return np.asarray(self.after.any(axis=0))

    def group_chances(self, belief: Floats) -> Floats:
        """(..., g) the chance of each repair group under (..., n) chances of suspects."""
        if self.has_own_groups:
            order = np.argsort(self.group_of)
            return np.asarray(belief[..., order])
        return np.asarray(belief @ self.membership)

    def stop_minutes(self, belief: Floats) -> Floats:
        """Price of naming the likeliest group now (fault-isolation.md section 3)."""
        best = self.group_chances(belief).max(axis=-1)
        return np.asarray(self.wrong_minutes * np.maximum(0.0, 1.0 - best))
