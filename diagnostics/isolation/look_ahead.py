"""Looking ahead where a problem is too large to be solved exactly: a plan that is widened step by step.

The first plan follows the rule of thumb (information per minute) alone. Then every first test is tried,
followed by that rule: a rollout. Then the best few tests at each of the next steps. Each plan can be
followed as it stands and its minutes are exactly what that costs, so the least over all steps is a true
upper bound.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from diagnostics.isolation.bounds import block_bound
from diagnostics.isolation.greedy import best_few
from diagnostics.isolation.plan import Plan, explore
from diagnostics.isolation.problem import Floats, Problem
from diagnostics.isolation.states import States

ALL = 10_000
_MIDDLE, _LARGE = 3_000, 30_000  # Chances of one state (tests x outcomes x suspects).
_STATES = 60_000
_BOUND_STATES = 1_500
_WIDE_BOUND_STATES = 60_000
_CUT = 1e-4  # What is come to less often ends there, with the likeliest group named.


@dataclass(frozen=True, eq=False)
class Sketch:
    """What is known so far: q (t,) minutes by first test, inf where not looked at; the best plan; a bound."""

    q: Floats
    plan: Plan
    place: int
    bound: float
    is_exact: bool = False

    @property
    def value(self) -> float:
        """Expected minutes of the best plan so far."""
        return float(min(self.q.min(initial=np.inf), self.plan_stop))

    @property
    def plan_stop(self) -> float:
        """Price of naming the likeliest group now."""
        return float(self.plan.problem.stop_minutes(self.plan.states.belief[[self.place]])[0])

    def joined(self, other: Sketch) -> Sketch:
        """Return the least minutes of both, with the plan that reaches them."""
        best = self if self.value <= other.value else other
        return replace(best, q=np.minimum(self.q, other.q), bound=max(self.bound, other.bound))


def exact(problem: Problem, state: States, *, most: int) -> Sketch | None:
    """Return the exact answer; None where there are more states than `most`."""
    plan = explore(problem, state, most=most)
    return None if plan is None else sketch_of(plan, state, is_exact=True)


def sketch_of(plan: Plan, state: States, *, is_exact: bool = False) -> Sketch | None:
    """Return what a plan says of one state; None where the plan does not hold it."""
    place = plan.find(state)
    if place is None:
        return None
    bound = float(plan.value[place]) if is_exact else 0.0
    return Sketch(plan.q[place], plan, place, bound, is_exact)


def looks(problem: Problem, state: States) -> Iterator[Sketch]:
    """Give better and better sketches of one state, each with no more minutes than the one before."""
    best = _ahead(problem, state, (1,))
    assert best is not None  # The rule of thumb alone has few states.
    yield best
    for widths, size in _steps(problem):
        if widths and (wider := _ahead(problem, state, widths)) is not None:
            best = best.joined(wider)
        if size:
            most = _BOUND_STATES if size <= 3 else _WIDE_BOUND_STATES
            bound = block_bound(problem, state, size=size, most=most) or 0.0
            best = replace(best, bound=max(best.bound, min(bound, best.value)))
        yield best


def _steps(problem: Problem) -> list[tuple[tuple[int, ...], int]]:
    """Widths of each step, and the size of the blocks bounded with it (0: none)."""
    size = problem.likelihood.size
    if size <= _MIDDLE:
        first = [((ALL, 1), 3)]
    elif size <= _LARGE:
        first = [((16, 1), 2), ((32, 1), 3), ((ALL, 1), 0)]
    else:
        first = [((4, 1), 0), ((8, 1), 2), ((16, 1), 0), ((32, 1), 3), ((ALL, 1), 0)]
    return [*first, ((ALL, 3, 2, 1), 4), ((ALL, 4, 4, 4, 1), 6), ((ALL, 6, 5, 4, 4, 3, 2, 1), 0)]


def _ahead(problem: Problem, state: States, widths: tuple[int, ...]) -> Sketch | None:
    plan = explore(problem, state, most=_STATES, narrow=best_few(problem, widths, cut=_CUT))
    return None if plan is None else sketch_of(plan, state)
