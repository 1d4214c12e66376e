<<<<<<< HEAD
"""One fault-isolation problem as arrays: suspects, tests, zones, and the price of a wrong call."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
=======
"""A fault-isolation problem as arrays (fault-isolation.md, sections 2 and 3).

Candidates, tests and zones stand in the order of their ids: nothing depends on the order in the document.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
>>>>>>> iso-oracle-proof
from functools import cached_property
from typing import Any

import numpy as np
<<<<<<< HEAD
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
=======
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
Ints = npt.NDArray[np.int64]

ROW_STEPS = 1e12  # rows closer than one step of this many are alike
ODD = np.int64(6_364_136_223_846_793_005)
>>>>>>> iso-oracle-proof


@dataclass(frozen=True, eq=False)
class Problem:
<<<<<<< HEAD
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
=======
    """n candidates, m tests, z zones, at most k outcomes. Missing outcomes have likelihood 0."""

    document: Mapping[str, Any]
    candidates: tuple[str, ...]
    tests: tuple[str, ...]
    zones: tuple[str, ...]
    groups: tuple[str, ...]
    outcomes: tuple[tuple[str, ...], ...]
    prior: Floats  # (n,)
    group: Ints  # (n,) number of the group of each candidate
    likelihood: Floats  # (k, m, n)
    minutes: Floats  # (m,) hands-on
    max_uses: Ints  # (m,)
    needs: Bools  # (m, z) zones a test needs, those around them included
    zone_minutes: Floats  # (z,) open and refit; 0 for one that was open at the start
    already_open: Bools  # (z,)
    after: Bools  # (m, m) after[t, d]: d must have been done before t, directly or not
    wrong_minutes: float
    plans: dict[str, Any] = field(default_factory=dict, repr=False)

    @cached_property
    def number_of_test(self) -> dict[str, int]:
        """Where each test stands."""
        return {name: place for place, name in enumerate(self.tests)}

    @cached_property
    def membership(self) -> Floats:
        """(n, g): 1 where a candidate belongs to a group."""
        return np.eye(len(self.groups))[self.group]

    @cached_property
    def access(self) -> Floats:
        """(z, m): minutes a closed zone adds to a test."""
        return np.ascontiguousarray((self.needs * self.zone_minutes).T)

    @cached_property
    def flat(self) -> Floats:
        """(n, k * m): likelihoods for one matrix product."""
        k, m, n = self.likelihood.shape
        return np.ascontiguousarray(self.likelihood.reshape(k * m, n).T)

    @cached_property
    def classes(self) -> Floats:
        """(n, 2 m): a number for each kind of row under a test, and its square; equal rows, equal numbers."""
        columns = []
        for test in range(len(self.tests)):
            rows = np.rint(self.likelihood[:, test, :] * ROW_STEPS).astype(np.int64)
            # One number a row: the powers of a large odd number keep different rows apart.
            mixed = ODD ** np.arange(len(rows), dtype=np.int64) @ rows
            _, number = np.unique(mixed, return_inverse=True)
            columns.append(number.reshape(-1).astype(float))
        numbers = np.array(columns).T
        return np.ascontiguousarray(np.hstack([numbers, numbers**2]))

    @cached_property
    def by_test(self) -> Floats:
        """(m, k, n): likelihoods by test."""
        return np.ascontiguousarray(self.likelihood.transpose(1, 0, 2))

    @cached_property
    def after_sums(self) -> Floats:
        """`after` for matrix products."""
        return self.after.astype(float)

    @cached_property
    def needs_sums(self) -> Floats:
        """`needs` for matrix products."""
        return self.needs.astype(float)

    @cached_property
    def is_perfect(self) -> Bools:
        """(m,): tests whose likelihoods are all 0 or 1."""
        is_sure: Bools = np.all((self.likelihood == 0) | (self.likelihood == 1), axis=(0, 2))
        return is_sure

    @cached_property
    def has_doors(self) -> bool:
        """Whether any test must wait for another."""
        return bool(self.after.any())


def reach(names: Sequence[str], parents: Mapping[str, Sequence[str]]) -> Bools:
    """(x, x): for each name everything that its parents lead to, itself left out. There must be no circle."""
    place = {name: number for number, name in enumerate(names)}
    found = np.zeros((len(names), len(names)), dtype=bool)
    for name in names:
        todo = list(parents.get(name, ()))
        while todo:
            at = todo.pop()
            if not found[place[name], place[at]]:
                found[place[name], place[at]] = True
                todo.extend(parents.get(at, ()))
    return found
>>>>>>> iso-oracle-proof
