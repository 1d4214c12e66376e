"""A fixed order of tests: what it costs on average to work through it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diagnostics.isolation.belief import Contradiction, Done, believe
from diagnostics.isolation.plan import Narrow, explore
from diagnostics.isolation.problem import Flags, Floats, Ints, Problem
from diagnostics.isolation.spread import Spread, spread
from diagnostics.isolation.states import Choices, States

MOST_STATES = 200_000
_CUTS = (0.0, 1e-6, 1e-4, 1e-3, 1e-2)  # Ways through the order left unfollowed, where they are too many.


@dataclass(frozen=True, eq=False)
class Route:
    """A fixed order: expected minutes, a wrong call at its end included, and how they are spread."""

    expected_minutes: float
    spread: Spread

    def within(self, minutes: float) -> float:
        """Chance to have named the right group by then."""
        return self.spread.within(minutes)

    def minutes_by(self, share: float) -> float:
        """Minutes by which that share of such faults is found; inf where it never is."""
        return self.spread.minutes_by(share)


def fixed_order(problem: Problem, order: Sequence[str], history: Sequence[Done] = ()) -> Route:
    """Return what a fixed order costs: each test once, as it comes.

    A test that can tell nothing any more, or must wait for another, is passed over until it can be done. The
    order ends where naming the likeliest group is best, and at its end the likeliest group is named.

    Raises
    ------
    KeyError
        Where the order names a test that the problem has not.
    Contradiction
        Where no suspect agrees with the history.
    """
    belief = believe(problem, history)
    if belief.is_impossible:
        raise Contradiction(belief.conflict)
    places = [problem.test_at[test] for test in order]
    left = np.zeros_like(belief.state.left)
    left[0, places] = np.minimum(belief.state.left[0, places], 1)
    state = States(belief.state.belief, belief.state.is_open, left, belief.state.done)
    rank = np.full(len(problem.tests), len(places))
    rank[places] = np.arange(len(places))
    for cut in _CUTS:
        plan = explore(problem, state, most=MOST_STATES, narrow=_next_in(rank, cut))
        place = None if plan is None else plan.find(state)
        if plan is not None and place is not None:
            return Route(float(plan.value[place]), spread(plan, place))
    raise MemoryError("The order has more ways through it than can be followed. Name fewer tests.")


def _next_in(rank: Ints, cut: float) -> Narrow:
    def narrow(depth: int, states: States, can: Choices, reach: Floats) -> Flags:
        first = np.where(can.legal, rank, rank.max() + 1).argmin(axis=1)
        kept = np.zeros_like(can.legal)
        kept[np.arange(len(first)), first] = True
        return kept & can.legal & (reach >= cut)[:, None]

    return narrow
