"""Many states of a search at once: what is believed, what stands open, which tests are left.

A state is a belief over the suspects, the zones that stand open, and the uses left of each test. Order of
the tests done does not matter (fault-isolation.md section 3), so equal states are one state. A test whose
rows are the same for every suspect still standing can tell nothing any more, however often it is done; its
count and the zones that only it needs are forgotten, so that more states are equal.
"""

from __future__ import annotations

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
