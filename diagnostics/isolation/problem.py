"""A fault-isolation problem as arrays (fault-isolation.md, sections 2 and 3).

Candidates, tests and zones stand in the order of their ids: nothing depends on the order in the document.
"""

from __future__ import annotations

import threading
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
Ints = npt.NDArray[np.int64]

# Multiplications in a piece of a product: OpenBLAS stays on one thread below 65536 x 4 (from memory).
PIECE, MOST_ROWS = 200_000, 64
ROW_STEPS = 1e12  # rows closer than one step of this many are alike
ODD = np.int64(6_364_136_223_846_793_005)


@dataclass(frozen=True, eq=False)
class Problem:
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
    lock: threading.RLock = field(default_factory=threading.RLock, repr=False)  # held while plans grow

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


def times(left: Floats, right: Floats) -> Floats:
    """Return the matrix product, in pieces that are computed on one thread.

    The usual libraries wake further threads for larger products. For ours, waking costs more than it saves,
    and many times more on a busy machine.
    """
    if len(left) * right.size <= PIECE:
        found: Floats = left @ right
        return found
    found = np.empty((len(left), right.shape[1]))
    rows = min(len(left), max(MOST_ROWS, PIECE // right.size))
    columns = max(1, PIECE // (rows * len(right)))
    for first in range(0, right.shape[1], columns):
        piece = np.ascontiguousarray(right[:, first : first + columns])
        for at in range(0, len(left), rows):
            found[at : at + rows, first : first + columns] = left[at : at + rows] @ piece
    return found
