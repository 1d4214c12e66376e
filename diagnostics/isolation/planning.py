"""One answer from a state: exact where that ends, else a look ahead as wide as its budget allows."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from diagnostics.isolation.choosing import most_telling
from diagnostics.isolation.graph import Graph, OutOfBudgetError
from diagnostics.isolation.problem import Bools, Floats, Ints, Problem
from diagnostics.isolation.states import States, keys, legal

Method = Literal["exact", "look-ahead"]

# Perfect tests: every order of tests leads to the same suspects, so a problem of this size ends.
MOST_EXACT_CANDIDATES, MOST_EXACT_TESTS = 20, 26
# Tests that err: so many different records of readings may be possible at the most.
MOST_RECORDS = 3e6
WIDEST = 6


@dataclass(frozen=True)
class Effort:
    """Budgets in states: of an exact solution, and of each look ahead."""

    exact: int
    ahead: int


EFFORTS = {
    "quick": Effort(exact=0, ahead=400),
    "normal": Effort(exact=150_000, ahead=2_000),
    "thorough": Effort(exact=600_000, ahead=60_000),
}


@dataclass(frozen=True, eq=False)
class Plan:
    """A valued graph with the state asked about."""

    graph: Graph
    root: int
    method: Method

    @property
    def expected_minutes(self) -> float:
        """Expected minutes from here, stopping included."""
        return float(self.graph.value[self.root])

    def first_tests(self) -> tuple[Ints, Floats, Floats]:
        """Numbers, expected minutes and prices of every first test."""
        edge = np.arange(self.graph.first_edge[self.root], self.graph.first_edge[self.root + 1])
        return self.graph.edges.test[edge], self.graph.minutes_of(edge), self.graph.edges.price[edge]


def plan_from(problem: Problem, root: States, effort: Effort) -> Plan:
    """Return the best plan that the budget allows; the same for the same problem, state and effort."""
    exact = exact_plan(problem, root, effort.exact)
    if exact is not None:
        return exact
    cache: dict[tuple[int, int], Plan] = problem.plans.setdefault("ahead", {})
    key = int(keys(problem, root)[0]), effort.ahead
    if key not in cache:
        if len(cache) >= 256:
            cache.pop(next(iter(cache)))
        cache[key] = ahead_plan(problem, root, effort.ahead)
    return cache[key]


def exact_plan(problem: Problem, root: States, most: int, until: float = math.inf) -> Plan | None:
    """Return the optimal plan, or None where the budget does not reach."""
    graph = problem.plans.get("exact")
    if graph is None:
        graph = problem.plans["exact"] = Graph(problem, legal, most=0)
    known = int(graph.find(root)[0])
    if known >= 0:
        return Plan(graph, known, "exact")
    if not _may_end(problem, root):
        return None
    hopeless: set[tuple[int, int]] = problem.plans.setdefault("hopeless", set())
    key = int(keys(problem, root)[0]), most
    if key in hopeless:
        return None
    # What is kept from other states does not count against this one.
    graph.most, graph.until = graph.size + most, until
    try:
        return Plan(graph, int(graph.grow(root)[0]), "exact")
    except OutOfBudgetError:
        hopeless.add(key)
        return None


def ahead_plan(problem: Problem, root: States, most: int, until: float = math.inf) -> Plan:
    """Return the widest look ahead within the budget; the narrowest one is always made."""
    best = None
    for width in range(1, WIDEST + 1):
        most_now, until_now = (most, until) if best else (10**9, math.inf)
        graph = Graph(problem, most_telling(width), most=most_now, until=until_now)
        try:
            plan = Plan(graph, int(graph.grow(root, every_test=True)[0]), "look-ahead")
        except OutOfBudgetError:
            break
        if best is None or plan.expected_minutes <= best.expected_minutes:
            best = plan
    assert best is not None
    return best


def _may_end(problem: Problem, root: States) -> bool:
    left = root.left[0].astype(int)
    live: Bools = left > 0
    if (root.weights[0] > 0).sum() > MOST_EXACT_CANDIDATES or live.sum() > MOST_EXACT_TESTS:
        return False
    records = 0.0
    for test in np.flatnonzero(live & ~problem.is_perfect):
        kinds = len(problem.outcomes[test])
        records += math.log(math.comb(left[test] + kinds, kinds))
    return records <= math.log(MOST_RECORDS)
