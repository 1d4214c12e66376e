"""What is believed after the readings so far: Bayes' rule, and readings that cannot all be true."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

import numpy as np

from diagnostics.isolation.problem import Flags, Floats, Problem
from diagnostics.isolation.states import States

FEW = 12  # Up to this many readings every small combination is tried for the smallest conflict.


@dataclass(frozen=True)
class Done:
    """One entry of a history: a test and the outcome it had."""

    test: str
    outcome: str


class Contradiction(ValueError):
    """The readings cannot all be true of any suspect; `conflict` holds their places in the history."""

    def __init__(self, conflict: tuple[int, ...]) -> None:
        super().__init__("No suspect agrees with all these readings.")
        self.conflict = conflict


@dataclass(frozen=True, eq=False)
class Belief:
    """What is believed now.

    `conflict` holds the places in the history of a smallest set of readings that cannot all be true; it is
    empty where there is none. `posterior` is empty where the history is impossible: nothing is divided by 0.
    """

    problem: Problem
    chances: Floats
    is_impossible: bool
    conflict: tuple[int, ...]
    state: States
    minutes_spent: float

    @cached_property
    def posterior(self) -> dict[str, float]:
        """Chance of each candidate by id."""
        if self.is_impossible:
            return {}
        return dict(zip(self.problem.candidates, self.chances.tolist(), strict=True))

    @cached_property
    def groups(self) -> dict[str, float]:
        """Chance of each repair group by id."""
        if self.is_impossible:
            return {}
        chances = self.problem.group_chances(self.chances)
        return dict(zip(self.problem.groups, chances.tolist(), strict=True))

    @cached_property
    def open_zones(self) -> frozenset[str]:
        """Zones that stand open."""
        return frozenset(np.array(self.problem.zones, dtype=object)[self.state.is_open[0]].tolist())


def believe(problem: Problem, history: Sequence[Done] = ()) -> Belief:
    """Return what is believed after a history.

    Any reading of a known test counts, also one that was not planned or not legal then.

    Raises
    ------
    KeyError
        Where the history names a test or an outcome that the problem has not.
    """
    rows = [_row(problem, done) for done in history]
    weights = problem.prior * np.prod(rows, axis=0) if rows else problem.prior.copy()
    total = float(weights.sum())
    is_impossible = not total > 0.0
    if is_impossible and (scaled := _in_logs(problem, rows)) is not None:
        weights, total, is_impossible = scaled, float(scaled.sum()), False
    chances = problem.prior * 0.0 if is_impossible else weights / total
    is_open, left, done, minutes = _walked(problem, history)
    state = States(chances[None, :], is_open[None, :], left[None, :], done[None, :])
    conflict = _conflict(problem, rows) if is_impossible else ()
    return Belief(problem, chances, is_impossible, conflict, state, minutes)


def _row(problem: Problem, done: Done) -> Floats:
    test = problem.test_at.get(done.test)
    if test is None:
        raise KeyError(f"There is no test '{done.test}' in this problem.")
    outcome = problem.outcome_at[test].get(done.outcome)
    if outcome is None:
        raise KeyError(f"The test '{done.test}' has no outcome '{done.outcome}'.")
    return np.asarray(problem.likelihood[test, outcome])


def _in_logs(problem: Problem, rows: Sequence[Floats]) -> Floats | None:
    """Weights of a history so long that their plain product vanished; None where no suspect stands."""
    with np.errstate(divide="ignore"):
        logs = np.log(problem.prior) + np.sum([np.log(row) for row in rows], axis=0)
    best = logs.max()
    return None if np.isneginf(best) else np.asarray(np.exp(logs - best))


def _walked(problem: Problem, history: Sequence[Done]) -> tuple[Flags, np.ndarray, Flags, float]:
    is_open = problem.already_open.copy()
    left = problem.max_uses.astype(np.int8)
    done = np.zeros(len(problem.tests), dtype=bool)
    minutes = 0.0
    for entry in history:
        test = problem.test_at[entry.test]
        opened = problem.needs_zone[test] & ~is_open
        minutes += float(problem.minutes[test] + problem.zone_minutes[opened].sum())
        is_open |= problem.needs_zone[test]
        left[test] = max(0, left[test] - 1)
        done[test] = True
    return is_open, left, done, minutes


def _conflict(problem: Problem, rows: Sequence[Floats]) -> tuple[int, ...]:
    """A smallest set of readings that leaves no suspect; of long histories one that no reading can leave."""
    allows = np.array([row > 0.0 for row in rows]) & (problem.prior > 0.0)
    places = range(len(rows))
    if len(rows) <= FEW:
        for size in range(1, len(rows) + 1):
            for chosen in combinations(places, size):
                if not allows[list(chosen)].all(axis=0).any():
                    return chosen
    kept = list(places)
    for place in places:
        without = [each for each in kept if each != place]
        if without and not allows[without].all(axis=0).any():
            kept = without
    return tuple(kept)
