"""One answer from a state: exact where that ends, else a look ahead as wide as its budget allows."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, NamedTuple

import numpy as np

from diagnostics.isolation.choosing import at_first, most_telling
from diagnostics.isolation.graph import Graph, OutOfBudgetError, every
from diagnostics.isolation.problem import Bools, Floats, Ints, Problem
from diagnostics.isolation.states import (
    States,
    after_test,
    keys,
    legal,
    outcomes,
    prices,
    stop_minutes,
)

Method = Literal["exact", "look-ahead"]

# Perfect tests: every order of tests leads to the same suspects, so a problem of this size ends.
MOST_EXACT_CANDIDATES, MOST_EXACT_TESTS = 20, 26
# Tests that err: about as many states as different records of readings are possible.


class Stage(NamedTuple):
    """How far a look ahead goes: tests tried first, and the likelihoods of states from which on more than one
    test is tried, and of those in which none is."""

    first: int
    rare: float
    cut: float


EVERY = 10_000
STAGES = (
    Stage(first=1, rare=2, cut=0.05),
    Stage(first=4, rare=2, cut=1e-2),
    Stage(first=12, rare=2, cut=2e-3),
    Stage(first=40, rare=2, cut=3e-4),
    Stage(first=EVERY, rare=2, cut=1e-5),
    Stage(first=EVERY, rare=0.3, cut=1e-6),
    *(Stage(first=EVERY, rare=0.1 / 3**step, cut=1e-6 / 3**step) for step in range(8)),
)
# The stage to begin with, by candidates times tests.
USUAL_BY_CELLS = ((2_000, 4), (20_000, 2), (10**12, 1))
GROWS = 2  # A further stage is begun only where so many times the states of the last one are allowed.
# Small problems are answered at once, larger ones may take longer; states of very large ones cost more.
# With few candidates a wide look ahead still ends soon.
FEW, AHEAD_OF_FEW = 14, 120_000
AHEAD_PER_CELL, LEAST_AHEAD, MOST_AHEAD, LARGE = 4, 1_500, 8_000, 40_000


# States kept of a problem; beyond them its exact plans are begun anew.
MOST_KEPT = 2_000_000


@dataclass(frozen=True)
class Effort:
    """Budgets: states of an exact solution, and of a look ahead as multiples of the usual one."""

    exact: int
    ahead: float


EFFORTS = {
    "glance": Effort(exact=0, ahead=0.005),
    "quick": Effort(exact=0, ahead=0.25),
    "normal": Effort(exact=200_000, ahead=1),
    "thorough": Effort(exact=1_000_000, ahead=30),
}


@dataclass(frozen=True, eq=False)
class Plan:
    """A valued graph with the state asked about."""

    graph: Graph
    root: int
    state: States
    method: Method

    @property
    def expected_minutes(self) -> float:
        """Expected minutes from here, stopping included."""
        return float(self.graph.value[self.root])

    def first_tests(self) -> tuple[Ints, Floats, Floats]:
        """Numbers, expected minutes and prices of every first test."""
        if self.graph.prunes:
            return self._all_tests()
        edge = np.arange(self.graph.first_edge[self.root], self.graph.first_edge[self.root + 1])
        tried = self.graph.edges.test[edge]
        rest = np.setdiff1d(np.flatnonzero(legal(self.graph.problem, self.state)[0]), tried)
        test = np.concatenate([tried, rest])
        price = prices(self.graph.problem, self.state)[0, test]
        # At most what a test costs and then this plan, whatever it has read: to plan anew after it can only
        # be quicker. Of those that were not tried no more is known.
        most = price + self.expected_minutes
        stated = np.concatenate([self.graph.minutes_of(edge), np.full(len(rest), np.inf)])
        return test, np.minimum(stated, most), price

    def _all_tests(self) -> tuple[Ints, Floats, Floats]:
        """Tests that cannot be best were left out on the way; here they have their minutes stated too."""
        problem, state = self.graph.problem, self.state
        test = np.flatnonzero(legal(problem, state)[0])
        root = np.zeros(len(test), dtype=np.int64)
        children = outcomes(problem, state, root, test)
        value = stop_minutes(problem, children.weights)
        onward = np.flatnonzero(value > self.graph.cheapest)
        below = after_test(problem, state, root, test, children.pick(onward))
        number = self.graph.grow(below)
        value[onward] = self.graph.value[number]
        price = prices(problem, state)[0, test]
        ahead = np.bincount(children.pair, weights=children.chance * value, minlength=len(test))
        return test, price + ahead, price


def plan_from(problem: Problem, root: States, effort: Effort) -> Plan:
    """Return the best plan that the budget allows; the same for the same problem, state and effort."""
    exact = exact_plan(problem, root, effort.exact)
    if exact is not None:
        return exact
    cache: dict[tuple[int, float], Plan] = problem.plans.setdefault("ahead", {})
    key = int(keys(problem, root)[0]), effort.ahead
    if key not in cache:
        if len(cache) >= 256:
            cache.pop(next(iter(cache)))
        cache[key] = ahead_plan(problem, root, effort.ahead)
    return cache[key]


def exact_plan(problem: Problem, root: States, most: int, until: float = math.inf) -> Plan | None:
    """Return the optimal plan, or None where the budget does not reach."""
    if not most:
        return None
    graph = problem.plans.get("exact")
    if graph is None or graph.size > MOST_KEPT:
        graph = problem.plans["exact"] = Graph(problem, every, most=0, prunes=True)
    known = int(graph.find(root)[0])
    if known >= 0:
        graph.most, graph.until, graph.tries = graph.size + most + 1000, math.inf, 0
        return Plan(graph, known, root, "exact")
    if not _may_end(problem, root, most):
        return None
    hopeless: set[tuple[int, int]] = problem.plans.setdefault("hopeless", set())
    key = int(keys(problem, root)[0]), most
    if key in hopeless:
        return None
    # What is kept from other states does not count against this one.
    graph.most, graph.until, graph.tries = graph.size + most, until, 0
    try:
        plan = Plan(graph, int(graph.grow(root)[0]), root, "exact")
        plan.first_tests()
        return plan
    except OutOfBudgetError:
        if until == math.inf:
            hopeless.add(key)
        return None


def ahead_plan(problem: Problem, root: States, ahead: float, until: float = math.inf) -> Plan:
    """Return the furthest look ahead within the budget; the nearest one is always made."""
    most = states_ahead(problem, ahead)
    cells = len(problem.candidates) * len(problem.tests)
    usual = next(stage for limit, stage in USUAL_BY_CELLS if cells <= limit)
    at, best = usual, None
    while best is None:
        best = _stage(problem, root, STAGES[at], most if at else 10**9, until if at else math.inf)
        at -= 1
    for stage in STAGES[usual + 1 :] if at == usual - 1 else ():
        if GROWS * best.graph.size > most:
            break
        plan = _stage(problem, root, stage, most, until)
        if plan is None:
            break
        if plan.expected_minutes <= best.expected_minutes:
            best = plan
    return best


def states_ahead(problem: Problem, ahead: float) -> int:
    """Return the states that a look ahead may have."""
    cells = len(problem.candidates) * len(problem.tests)
    usual = min(max(AHEAD_PER_CELL * cells, LEAST_AHEAD), MOST_AHEAD) / (1 + cells / LARGE)
    if len(problem.candidates) <= FEW:
        usual = max(usual, AHEAD_OF_FEW)
    return int(ahead * usual)


def _stage(problem: Problem, root: States, stage: Stage, most: int, until: float) -> Plan | None:
    graph = Graph(problem, most_telling(stage.rare, stage.cut), most=most, until=until)
    first = every if stage.first == EVERY else at_first(stage.first)
    try:
        return Plan(graph, int(graph.grow(root, at_roots=first)[0]), root, "look-ahead")
    except OutOfBudgetError:
        return None


def _may_end(problem: Problem, root: States, most: int) -> bool:
    left = root.left[0].astype(int)
    live: Bools = left > 0
    if (root.weights[0] > 0).sum() > MOST_EXACT_CANDIDATES or live.sum() > MOST_EXACT_TESTS:
        return False
    records = 0.0
    for test in np.flatnonzero(live & ~problem.is_perfect):
        kinds = len(problem.outcomes[test])
        records += math.log(math.comb(left[test] + kinds, kinds))
    return records <= math.log(2 * most)
