<<<<<<< HEAD
"""Many states of a search at once: what is believed, what stands open, which tests are left.

A state is a belief over the suspects, the zones that stand open, and the uses left of each test. Order of
the tests done does not matter (fault-isolation.md section 3), so equal states are one state. A test whose
rows are the same for every suspect still standing can tell nothing any more, however often it is done; its
count and the zones that only it needs are forgotten, so that more states are equal.
=======
"""Many states of a search at once: what is believed, what is open, what can still be done.

A state keeps only what can still matter, so that different ways to the same place are one state: uses left of
tests that can still tell something or open the door to one that can, the zones of those tests, the doors.
>>>>>>> iso-oracle-proof
"""

from __future__ import annotations

<<<<<<< HEAD
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagnostics.isolation.problem import ALMOST_NEVER, Flags, Floats, Ints, Problem

SAME_BELIEF = 1e10  # Beliefs that agree to ten decimals are one.
_CHUNK = 4_000_000  # Numbers held at once while comparing rows.


@dataclass(frozen=True, eq=False)
class States:
    """s states: belief (s, n), is_open (s, z), left (s, t) uses left, done (s, t) done at least once."""

    belief: Floats
    is_open: Flags
    left: NDArray[np.int8]
    done: Flags

    def __len__(self) -> int:
        return len(self.belief)

    def take(self, places: Ints | Flags) -> States:
        """Return the states at these places."""
        return States(self.belief[places], self.is_open[places], self.left[places], self.done[places])


def together(parts: list[States]) -> States:
    """Return all states of the parts, one after the other."""
    return States(
        np.concatenate([part.belief for part in parts]),
        np.concatenate([part.is_open for part in parts]),
        np.concatenate([part.left for part in parts]),
        np.concatenate([part.done for part in parts]),
    )


def at_start(problem: Problem, beliefs: Floats | None = None) -> States:
    """Return states before the first test, one for each (s, n) belief; by default one, with the priors."""
    belief = problem.prior[None, :] if beliefs is None else beliefs
    many, tests = len(belief), len(problem.tests)
    return States(
        belief,
        np.tile(problem.already_open, (many, 1)),
        np.tile(problem.max_uses.astype(np.int8), (many, 1)),
        np.zeros((many, tests), dtype=bool),
    )


def tells(problem: Problem, belief: Floats) -> Flags:
    """(s, t) whether a test can tell anything: its rows differ among the suspects still standing."""
    stands = belief > 0.0
    packed = np.packbits(stands, axis=1)
    _, first, place = np.unique(packed, axis=0, return_index=True, return_inverse=True)
    return _differs(problem, stands[first])[place.reshape(-1)]


def _differs(problem: Problem, stands: Flags) -> Flags:
    tests, outcomes, suspects = problem.likelihood.shape
    found = np.empty((len(stands), tests), dtype=bool)
    step = max(1, _CHUNK // (tests * outcomes * suspects))
    for start in range(0, len(stands), step):
        part = stands[start : start + step][:, None, None, :]
        high = np.where(part, problem.likelihood, -1.0).max(axis=3)
        low = np.where(part, problem.likelihood, 2.0).min(axis=3)
        found[start : start + step] = (high - low > ALMOST_NEVER).any(axis=2)
    return found


def prices(problem: Problem, is_open: Flags) -> Floats:
    """(s, t) minutes of each test now: hands-on, and the zones it needs that do not stand open yet."""
    if not problem.zones:
        return np.broadcast_to(problem.minutes, (len(is_open), len(problem.tests)))
    to_pay = (~is_open) * problem.zone_minutes
    return np.asarray(problem.minutes + to_pay @ problem.needs_zone.T.astype(float))


@dataclass(frozen=True, eq=False)
class Choices:
    """What can be done in each state.

    telling (s, t): tests that can tell something and are or may become legal; legal (s, t): tests worth doing
    now, door-openers of telling ones included; price (s, t): minutes now.
    """

    telling: Flags
    legal: Flags
    price: Floats


def choices(problem: Problem, states: States) -> Choices:
    """Return what can be done in each state."""
    has_use = states.left > 0
    telling = tells(problem, states.belief) & has_use
    wanted = telling
    unlocked: Flags = np.ones_like(telling)
    if problem.opens.any():
        telling &= _can_be_reached(problem, states, has_use)
        wanted = telling | (_openers(problem, states, telling) & has_use)
        unlocked = ~((~states.done).astype(np.int64) @ problem.after.T.astype(np.int64) > 0)
    return Choices(telling, wanted & unlocked, prices(problem, states.is_open))


def _openers(problem: Problem, states: States, telling: Flags) -> Flags:
    """Tests not done yet for which a telling test waits, directly or through others."""
    needed = np.zeros_like(telling)
    front = telling
    while True:
        more = ((front.astype(np.int64) @ problem.after.astype(np.int64)) > 0) & ~states.done
        if not (more & ~needed).any():
            return np.asarray(needed)
        needed |= more
        front = more


def _can_be_reached(problem: Problem, states: States, has_use: Flags) -> Flags:
    """Whether everything a test waits for is done or can still be done."""
    reached = np.ones_like(has_use)
    while True:
        lost = ~(states.done | (has_use & reached))
        now = ~(lost.astype(np.int64) @ problem.after.T.astype(np.int64) > 0)
        if (now == reached).all():
            return np.asarray(reached)
        reached = now


def settled(problem: Problem, states: States) -> tuple[States, Choices]:
    """Return the states without what makes no difference any more, and what can be done in each."""
    found = choices(problem, states)
    wanted = found.telling.copy()
    if problem.opens.any():
        wanted |= _openers(problem, states, found.telling) & (states.left > 0)
    left = np.where(wanted, states.left, 0).astype(np.int8)
    done = states.done
    if problem.opens.any():
        waits = (found.telling.astype(np.int64) @ problem.after.astype(np.int64)) > 0
        waits |= (wanted.astype(np.int64) @ problem.after.astype(np.int64)) > 0
        done = done | ~waits
    is_open = states.is_open
    if problem.zones:
        matters = (wanted.astype(np.int64) @ problem.needs_zone.astype(np.int64)) > 0
        is_open = is_open | ~matters
    return States(states.belief, is_open, left, done), found


_MIX = np.random.default_rng(20_260_302).integers(1, 2**63, size=65_536, dtype=np.uint64) * np.uint64(
    2
) + np.uint64(1)


def keys(states: States) -> NDArray[np.uint64]:
    """(s,) one 64-bit key a state; equal states have equal keys."""
    belief = np.rint(states.belief * SAME_BELIEF).astype(np.uint64)
    rest = np.concatenate([states.is_open, states.left, states.done], axis=1).astype(np.uint64)
    whole = np.concatenate([belief, rest + np.uint64(1)], axis=1)
    with np.errstate(over="ignore"):
        mixed = whole * _MIX[: whole.shape[1]]
        mixed ^= mixed >> np.uint64(29)
        mixed *= np.uint64(0xBF58476D1CE4E5B9)
        mixed ^= mixed >> np.uint64(32)
        return np.asarray((mixed * _MIX[whole.shape[1] : 2 * whole.shape[1]]).sum(axis=1, dtype=np.uint64))


def chances(problem: Problem, belief: Floats) -> Floats:
    """(s, t, o) the chance of each outcome of each test."""
    tests, outcomes, _ = problem.likelihood.shape
    return np.asarray((belief @ problem.rows.T).reshape(len(belief), tests, outcomes))


def after_outcomes(
    problem: Problem, states: States, state: Ints, test: Ints, outcome: Ints, chance: Floats
) -> States:
    """Return the states that these outcomes lead to, one for each (state, test, outcome)."""
    belief = states.belief[state] * problem.likelihood[test, outcome]
    belief /= chance[:, None]
    belief[belief < ALMOST_NEVER] = 0.0
    belief /= belief.sum(axis=1, keepdims=True)
    left = states.left[state]
    row = np.arange(len(state))
    left[row, test] -= 1
    done = states.done[state]
    done[row, test] = True
    is_open = states.is_open[state]
    if problem.zones:
        is_open = is_open | problem.needs_zone[test]
    return States(belief, is_open, left, done)
=======
from functools import lru_cache
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from diagnostics.isolation.belief import Standing
from diagnostics.isolation.problem import Bools, Floats, Ints, Problem

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
        waits = (telling.astype(float) @ problem.after_sums) > 0
        useful = telling | (waits & ~done)
        needed = (useful.astype(float) @ problem.after_sums) > 0
        done = done | ~needed
    else:
        done = np.ones_like(done)
    zones = (useful.astype(float) @ problem.needs_sums) > 0
    return States(states.weights, states.opened | ~zones, states.left * useful, done)


def tells(problem: Problem, weights: Floats) -> Bools:
    """(s, m): tests whose reading can still differ between candidates that are left."""
    is_left = (weights > 0).astype(float)
    sums = is_left @ problem.classes
    m = len(problem.tests)
    # Whole numbers that do not vary: n times the sum of squares is the square of the sum.
    counted: Bools = is_left.sum(axis=1)[:, None] * sums[:, m:] - sums[:, :m] ** 2 > 0.5
    return counted


def legal(problem: Problem, states: States) -> Bools:
    """(s, m): tests that may be done now and are of use."""
    able = states.left > 0
    if problem.has_doors:
        missing = (~states.done).astype(float) @ problem.after_sums.T
        able &= missing < 0.5
    return able


def prices(problem: Problem, states: States) -> Floats:
    """(s, m): minutes of each test now, access included."""
    found: Floats = problem.minutes + (~states.opened).astype(float) @ problem.access
    return found


def stop_minutes(problem: Problem, weights: Floats) -> Floats:
    """(s,): the price of naming the likeliest group now."""
    likeliest = (weights @ problem.membership).max(axis=1)
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
>>>>>>> iso-oracle-proof
