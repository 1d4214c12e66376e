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
# Work is counted in states times chances of one state (tests x outcomes x suspects), so that the same problem
# gets the same answer on every machine.
_MIDDLE, _LARGE = 3_000, 30_000
_MOST_WORK = 300_000_000


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


@dataclass(frozen=True)
class Look:
    """One step: how many tests are tried at each depth, below which chance a way is not followed, the blocks.

    blocks 0 is a step that bounds nothing.
    """

    widths: tuple[int, ...]
    cut: float
    blocks: int = 0
    bound_states: int = 400


def looks(problem: Problem, state: States) -> Iterator[tuple[Sketch, int]]:
    """Give better and better sketches of one state, each with no more minutes than the one before.

    With each comes the work done for it so far.
    """
    first, *steps = _steps(problem)
    best, work = _ahead(problem, state, first, 0)
    assert best is not None  # The rule of thumb alone has few states.
    yield best, work
    for step in steps:
        wider, work = _ahead(problem, state, step, work)
        best = best if wider is None else best.joined(wider)
        if step.blocks:
            bound = block_bound(problem, state, size=step.blocks, most=step.bound_states)
            best = replace(best, bound=max(best.bound, min(bound, best.value)))
        yield best, work


def _steps(problem: Problem) -> list[Look]:
    size = problem.likelihood.size
    if size <= _MIDDLE:
        first = [Look((1,), 1e-3), Look((8, 1), 1e-3, 2), Look((ALL, 1), 1e-4, 3)]
    elif size <= _LARGE:
        first = [Look((1,), 1e-2), Look((12, 1), 1e-2, 2), Look((32, 1), 5e-3, 3), Look((ALL, 1), 5e-3)]
    else:
        first = [Look((1,), 3e-3), Look((4, 1), 3e-3), Look((8, 1), 3e-3, 2), Look((16, 1), 3e-3, 3)]
        first += [Look((32, 1), 1e-3), Look((ALL, 1), 1e-3)]
    wide = [Look((ALL, 3, 2, 1), 1e-4, 4, 4_000), Look((ALL, 4, 4, 4, 1), 1e-4, 6, 30_000)]
    return [*first, *wide, Look((ALL, 6, 5, 4, 4, 3, 2, 1), 1e-4)]


def _ahead(problem: Problem, state: States, step: Look, work: int) -> tuple[Sketch | None, int]:
    most = _MOST_WORK // problem.likelihood.size
    narrow = best_few(problem, step.widths, cut=step.cut)
    plan = explore(problem, state, most=most, narrow=narrow)
    done = most if plan is None else len(plan.states)
    return None if plan is None else sketch_of(plan, state), work + done * problem.likelihood.size
