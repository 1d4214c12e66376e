<<<<<<< HEAD
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
=======
"""What a history of readings leaves of the suspects, and which readings contradict the list."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from diagnostics.isolation.problem import Bools, Floats, Ints, Problem

# Branches looked at for the smallest contradiction; beyond it a set that cannot be made smaller is named.
MOST_BRANCHES = 20_000


class Done(NamedTuple):
    """One history entry: a test and the outcome it had, planned or not."""
>>>>>>> iso-oracle-proof

    test: str
    outcome: str


<<<<<<< HEAD
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
=======
@dataclass(frozen=True)
class Belief:
    """Probabilities after a history. Of an impossible history they are all 0, and `conflict` says which
    positions cannot all be true: a smallest set."""

    posterior: Mapping[str, float]
    groups: Mapping[str, float]
    is_impossible: bool
    conflict: tuple[int, ...]
    open_zones: frozenset[str]
    minutes_spent: float


class Standing(NamedTuple):
    """The same as arrays: weights (n,), zones open (z,), how often each test was done (m,), minutes spent."""

    weights: Floats
    opened: Bools
    uses: Ints
    minutes: float


def believe(problem: Problem, history: Sequence[Done] = ()) -> Belief:
    """Return what is believed after a history; an impossible one raises nothing."""
    stands = standing(problem, history)
    is_impossible = not stands.weights.any()
    by_group = stands.weights @ problem.membership
    return Belief(
        posterior=dict(zip(problem.candidates, stands.weights.tolist(), strict=True)),
        groups=dict(zip(problem.groups, by_group.tolist(), strict=True)),
        is_impossible=is_impossible,
        conflict=_conflict(problem, history) if is_impossible else (),
        open_zones=frozenset(np.array(problem.zones, dtype=object)[stands.opened].tolist()),
        minutes_spent=stands.minutes,
    )


def standing(problem: Problem, history: Sequence[Done]) -> Standing:
    """Return weights (all 0 where the history is impossible), zones, uses and minutes after a history."""
    weights, opened = problem.prior.copy(), problem.already_open.copy()
    uses = np.zeros(len(problem.tests), dtype=np.int64)
    minutes = 0.0
    for test, outcome in (_places(problem, entry) for entry in history):
        weights = weights * problem.likelihood[outcome, test]
        total = weights.sum()
        # Weights are kept normalised, so that a long history does not run into the smallest numbers.
        weights = weights / total if total > 0 else np.zeros_like(weights)
        minutes += float(problem.minutes[test] + (problem.zone_minutes * ~opened) @ problem.needs[test])
        opened |= problem.needs[test]
        uses[test] += 1
    return Standing(weights, opened, uses, minutes)


def _places(problem: Problem, entry: Done) -> tuple[int, int]:
    name, outcome = entry
    if name not in problem.number_of_test:
        raise ValueError(f"There is no test '{name}' in this problem.")
    test = problem.number_of_test[name]
    if outcome not in problem.outcomes[test]:
        raise ValueError(f"The test '{name}' has no outcome '{outcome}'.")
    return test, problem.outcomes[test].index(outcome)


def _conflict(problem: Problem, history: Sequence[Done]) -> tuple[int, ...]:
    """Return a smallest set of positions that together rule out every candidate."""
    possible = problem.prior > 0
    rules_out = np.array(
        [
            problem.likelihood[outcome, test][possible] <= 0
            for test, outcome in (_places(problem, entry) for entry in history)
        ]
    ).reshape(len(history), -1)
    if not rules_out.any(axis=0).all():
        # Nothing is ruled out by a zero: the product of many small chances has vanished.
        return tuple(range(len(history)))
    best = _irreducible(rules_out)
    branches = 0
    found: list[tuple[tuple[int, ...], Bools]] = [((), np.zeros(rules_out.shape[1], dtype=bool))]
    while found and branches < MOST_BRANCHES:
        branches += 1
        chosen, gone = found.pop()
        if gone.all():
            best = min(best, tuple(sorted(chosen)), key=lambda each: (len(each), each))
            continue
        most = int((rules_out & ~gone).sum(axis=1).max())
        if len(chosen) + -(-int((~gone).sum()) // most) > len(best):
            continue
        # Some position must rule out the candidate that the fewest positions rule out.
        hard = int(np.argmin(np.where(gone, len(history) + 1, rules_out.sum(axis=0))))
        for place in np.flatnonzero(rules_out[:, hard])[::-1]:
            found.append(((*chosen, int(place)), gone | rules_out[place]))
    return best


def _irreducible(rules_out: Bools) -> tuple[int, ...]:
    kept = list(range(len(rules_out)))
    for place in range(len(rules_out)):
        rest = [each for each in kept if each != place]
        if rest and rules_out[rest].any(axis=0).all():
            kept = rest
>>>>>>> iso-oracle-proof
    return tuple(kept)
