"""Many states of a search at once: what is believed, what is open, what can still be done.

A state keeps only what can still matter, so that different ways to the same place are one state: uses left of
tests that can still tell something or open the door to one that can, the zones of those tests, the doors.
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from diagnostics.isolation.belief import Standing
from diagnostics.isolation.problem import Bools, Floats, Ints, Problem, times

NOTHING = 1e-12  # Outcomes and shares below this are dropped (section 6).
CLOSE = 1e-9
BELIEF_STEPS = 1e10  # Beliefs closer than one step of this many are the same state.
SEED = 20261128

Bytes = npt.NDArray[np.int8]


class States(NamedTuple):
    """s states. `left`: uses left, 0 for a test that is of no use any more; `done` is True where it no longer
    matters whether a test was done; `opened` likewise for zones."""

    weights: Floats  # (s, n)
    opened: Bools  # (s, z)
    left: Bytes  # (s, m)
    done: Bools  # (s, m)

    def pick(self, which: Ints | Bools) -> States:
        """Return some of the states."""
        return States(self.weights[which], self.opened[which], self.left[which], self.done[which])


class Children(NamedTuple):
    """Outcomes of (state, test) pairs: which pair, which outcome, how likely, and the belief after it."""

    pair: Ints
    outcome: Ints
    chance: Floats
    weights: Floats

    def pick(self, which: Ints) -> Children:
        """Return some of the children."""
        return Children(self.pair[which], self.outcome[which], self.chance[which], self.weights[which])


def state_of(problem: Problem, stands: Standing) -> States:
    """Return one history as one state."""
    left = np.maximum(problem.max_uses - stands.uses, 0).astype(np.int8)[None]
    states = States(stands.weights[None], stands.opened[None], left, (stands.uses > 0)[None])
    return in_short(problem, states)


def in_short(problem: Problem, states: States) -> States:
    """Return the states without what no longer matters."""
    telling = tells(problem, states.weights) & (states.left > 0)
    useful = telling
    done = states.done
    if problem.has_doors:
        waits = (times(telling.astype(float), problem.after_sums)) > 0
        useful = telling | (waits & ~done)
        needed = (times(useful.astype(float), problem.after_sums)) > 0
        done = done | ~needed
    else:
        done = np.ones_like(done)
    zones = (times(useful.astype(float), problem.needs_sums)) > 0
    return States(states.weights, states.opened | ~zones, states.left * useful, done)


def tells(problem: Problem, weights: Floats) -> Bools:
    """(s, m): tests whose reading can still differ between candidates that are left."""
    is_left = (weights > 0).astype(float)
    sums = times(is_left, problem.classes)
    m = len(problem.tests)
    # Whole numbers that do not vary: n times the sum of squares is the square of the sum.
    counted: Bools = is_left.sum(axis=1)[:, None] * sums[:, m:] - sums[:, :m] ** 2 > 0.5
    return counted


def legal(problem: Problem, states: States) -> Bools:
    """(s, m): tests that may be done now and are of use."""
    able = states.left > 0
    if problem.has_doors:
        missing = times((~states.done).astype(float), problem.after_sums.T)
        able &= missing < 0.5
    return able


def prices(problem: Problem, states: States) -> Floats:
    """(s, m): minutes of each test now, access included."""
    found: Floats = problem.minutes + times((~states.opened).astype(float), problem.access)
    return found


def stop_minutes(problem: Problem, weights: Floats) -> Floats:
    """(s,): the price of naming the likeliest group now."""
    likeliest = times(weights, problem.membership).max(axis=1)
    found: Floats = problem.wrong_minutes * np.maximum(0.0, 1.0 - likeliest)
    return found


def outcomes(problem: Problem, states: States, state: Ints, test: Ints) -> Children:
    """Return what each pair of a state and a test can lead to, in the order of the pairs."""
    weights = states.weights[state][:, None, :] * problem.by_test[test]
    chance = weights.sum(axis=2)
    pair, outcome = np.nonzero(chance > NOTHING)
    weights = weights[pair, outcome] / chance[pair, outcome][:, None]
    weights[weights < NOTHING] = 0.0
    weights /= weights.sum(axis=1, keepdims=True)
    return Children(pair, outcome, chance[pair, outcome], weights)


def after_test(problem: Problem, states: States, state: Ints, test: Ints, children: Children) -> States:
    """Return the states behind the children, in short."""
    at, did = state[children.pair], test[children.pair]
    rows = np.arange(len(at))
    left, done = states.left[at], states.done[at]
    left[rows, did] -= 1
    done[rows, did] = True
    return in_short(problem, States(children.weights, states.opened[at] | problem.needs[did], left, done))


def keys(problem: Problem, states: States) -> Ints:
    """(s,): one number a state; equal states have equal numbers."""
    n, z, m = len(problem.candidates), len(problem.zones), len(problem.tests)
    _, of_zone, of_left, of_done = _mixers(n, z, m)
    found = belief_keys(states.weights)
    found = found + states.opened.astype(np.int64) @ of_zone
    found += states.left.astype(np.int64) @ of_left
    if problem.has_doors:
        found += states.done.astype(np.int64) @ of_done
    return found


def belief_keys(weights: Floats) -> Ints:
    """(s,): one number a belief."""
    mixer = _mixers(weights.shape[1], 0, 0)[0]
    found: Ints = np.rint(weights * BELIEF_STEPS).astype(np.int64) @ mixer
    return found


@lru_cache(maxsize=64)
def _mixers(n: int, z: int, m: int) -> tuple[Ints, Ints, Ints, Ints]:
    """Fixed odd factors; sums of 64 bits meet by chance about once in 10^19 pairs."""
    found = []
    for salt, size in enumerate((n, z, m, m)):
        rng = np.random.default_rng((SEED, salt))
        found.append(rng.integers(-(2**62), 2**62, size=size, dtype=np.int64) * 2 + 1)
    return found[0], found[1], found[2], found[3]
