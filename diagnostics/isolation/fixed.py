"""Tests in a fixed order: what a route comes to that somebody has chosen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from diagnostics.isolation.belief import Done, standing
from diagnostics.isolation.graph import ranges
from diagnostics.isolation.problem import Bools, Floats, Ints, Problem
from diagnostics.isolation.states import CLOSE, States, belief_keys, keys, outcomes, stop_minutes, tells
from diagnostics.isolation.timed import RARE, Leaves, merged

MOST_STATES = 400


@dataclass(frozen=True, eq=False)
class Route:
    """A fixed order: expected minutes, a wrong call at its end included, and when it finds the fault."""

    expected_minutes: float
    leaves: Leaves = field(repr=False)

    def within(self, minutes: float) -> float:
        """Probability that the route has ended with the right group so many minutes from now."""
        return self.leaves.within(minutes)

    def minutes_by(self, share: float) -> float:
        """Minutes from now by which that share of cases is found; inf when never."""
        return self.leaves.minutes_by(share)


class _Step(NamedTuple):
    """One place of the order: which states did the test, its price, and where all of them went."""

    price: Floats
    did: Bools
    owner: Ints
    chance: Floats
    below: Ints
    stop: Floats
    right: Floats


def fixed_order(problem: Problem, order: Sequence[str], history: Sequence[Done] = ()) -> Route:
    """Return what tests in that order come to.

    A test that can tell nothing any more or is not legal is passed over. The route ends where stopping is
    best or the order is used up, and then pays the price of a wrong call. Branches less likely than one in a
    thousand million, and of very many the rarest, stop where they are.
    """
    stands = standing(problem, history)
    if not stands.weights.any():
        return Route(problem.wrong_minutes, Leaves(np.zeros(0), np.zeros(0)))
    left = np.maximum(problem.max_uses - stands.uses, 0).astype(np.int8)[None]
    states = States(stands.weights[None], stands.opened[None], left, (stands.uses > 0)[None])
    chance, steps = np.ones(1), []
    later = [problem.number_of_test.get(name, -1) for name in order]
    for at, name in enumerate(order):
        if name not in problem.number_of_test:
            raise ValueError(f"There is no test '{name}' in this problem.")
        step, states, chance = _taken(problem, states, chance, later[at], later[at + 1 :])
        steps.append(step)
    return _valued(problem, states, steps)


def _taken(
    problem: Problem, states: States, chance: Floats, test: int, later: Sequence[int]
) -> tuple[_Step, States, Floats]:
    stop = stop_minutes(problem, states.weights)
    # Where naming the group costs no more than the cheapest test to come, the route has ended.
    goes_on = stop > problem.minutes[[test, *(each for each in later if each >= 0)]].min() + CLOSE
    waits = (problem.after[test] & ~states.done).any(axis=1)
    can = np.flatnonzero(goes_on & ~waits & (states.left[:, test] > 0) & (chance > RARE))
    able = states.pick(can)
    did = np.zeros(len(chance), dtype=bool)
    did[can] = tells(problem, able.weights)[:, test] | _opens_a_door(problem, able, test, later)
    did = _likeliest(did, chance)
    doing = np.flatnonzero(did)
    price = np.zeros(len(did))
    closed = (~states.opened[doing]).astype(float)
    price[doing] = problem.minutes[test] + closed @ problem.access[:, test]
    children = outcomes(problem, states, doing, np.full(len(doing), test))
    at = doing[children.pair]
    after = States(
        children.weights, states.opened[at] | problem.needs[test], states.left[at], states.done[at].copy()
    )
    after.left[:, test] -= 1
    after.done[:, test] = True
    kept = np.flatnonzero(~did)
    below = _both(states.pick(kept), after)
    owner = np.concatenate([kept, at])
    share = np.concatenate([np.ones(len(kept)), children.chance])
    fresh, first, back = np.unique(_keys(problem, below), return_index=True, return_inverse=True)
    back = back.reshape(-1)
    onward: Floats = np.bincount(back, weights=chance[owner] * share, minlength=len(fresh)).astype(float)
    right = (states.weights @ problem.membership).max(axis=1)
    return _Step(price, did, owner, share, back, stop, right), below.pick(first), onward


def _likeliest(did: Bools, chance: Floats) -> Bools:
    """Of more states than are worth following, those that are come to most often; the rest rests its case."""
    if did.sum() <= MOST_STATES:
        return did
    least = np.partition(chance[did], -MOST_STATES)[-MOST_STATES]
    return np.asarray(did & (chance >= least))


def _both(one: States, two: States) -> States:
    return States(
        np.concatenate([one.weights, two.weights]),
        np.concatenate([one.opened, two.opened]),
        np.concatenate([one.left, two.left]),
        np.concatenate([one.done, two.done]),
    )


def _opens_a_door(problem: Problem, states: States, test: int, later: Sequence[int]) -> Bools:
    """A test that tells nothing by itself but stands before a later one that does."""
    waiting = [each for each in later if problem.after[each, test]]
    if not waiting:
        return np.zeros(len(states.weights), dtype=bool)
    found: Bools = np.asarray((tells(problem, states.weights) & (states.left > 0))[:, waiting].any(axis=1))
    return found & ~states.done[:, test]


def _keys(problem: Problem, states: States) -> Ints:
    return keys(problem, states) if problem.has_doors else keys(problem, states) + belief_keys(states.weights)


def _valued(problem: Problem, states: States, steps: list[_Step]) -> Route:
    """Values from the end, stopping wherever that is best; then the leaves from the start."""
    value = stop_minutes(problem, states.weights)
    goes_on: list[Bools] = []
    for step in reversed(steps):
        ahead = np.bincount(step.owner, weights=step.chance * value[step.below], minlength=len(step.stop))
        on = step.price + ahead
        goes_on.append(np.asarray(on < step.stop - CLOSE))
        value = np.minimum(on, step.stop)
    ends: list[tuple[Floats, Floats]] = []
    state: Ints = np.zeros(1, dtype=np.int64)
    chance, minutes = np.ones(1), np.zeros(1)
    for step, going in zip(steps, reversed(goes_on), strict=True):
        stops = ~going[state]
        ends.append((minutes[stops], chance[stops] * step.right[state[stops]]))
        state, chance, minutes = _onward(step, state[~stops], chance[~stops], minutes[~stops])
    right = (states.weights @ problem.membership).max(axis=1)
    ends.append((minutes, chance * right[state]))
    leaves = Leaves(*(np.concatenate(columns) for columns in zip(*ends, strict=True)))
    return Route(float(value[0]), leaves)


def _onward(step: _Step, state: Ints, chance: Floats, minutes: Floats) -> tuple[Ints, Floats, Floats]:
    order = np.argsort(step.owner, kind="stable")
    counts_all = np.bincount(step.owner, minlength=len(step.stop))
    first = np.concatenate([[0], np.cumsum(counts_all)])[:-1]
    counts = counts_all[state]
    row = order[ranges(first[state], counts)]
    return merged(
        step.below[row],
        np.repeat(chance, counts) * step.chance[row],
        np.repeat(minutes + step.price[state], counts),
    )
