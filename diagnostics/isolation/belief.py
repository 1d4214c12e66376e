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

    test: str
    outcome: str


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
    return tuple(kept)
