"""The graph of states that a choice of tests leads to, grown level by level and valued from its ends.

All states of a level are treated at once. States are valued in the order of the uses they have left, which
fall with every test, so a value is never asked for before it is known.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from diagnostics.isolation.problem import Bools, Floats, Ints, Problem, times
from diagnostics.isolation.states import (
    CLOSE,
    Children,
    States,
    after_test,
    keys,
    legal,
    outcomes,
    prices,
    stop_minutes,
)

END = -1  # No state: the search stops there.

Chooser = Callable[[Problem, States, Floats], Bools]
Ends = Callable[[Problem, States], Floats]


def every(problem: Problem, states: States, reach: Floats) -> Bools:
    """Try every test that is of use."""
    return legal(problem, states)


def stopping(problem: Problem, states: States) -> Floats:
    """A state in which no test is tried costs what stopping costs."""
    return stop_minutes(problem, states.weights)


class OutOfBudgetError(Exception):
    """The graph would grow beyond the states it may have."""


class Edges(NamedTuple):
    """Tests tried in states, and where their outcomes lead; sorted by state, children by edge."""

    state: Ints
    test: Ints
    price: Floats
    edge: Ints  # of each child, as the place of its edge
    outcome: Ints
    chance: Floats
    child: Ints  # the state, or END
    stop: Floats  # minutes of stopping there
    right: Floats  # probability of then naming the right group


# Tests tried a state, on average over the budget.
TRIES = 12

Level = tuple[States, Edges, Floats]


class Graph:
    """Grows by roots; keeps the value and the best test of each state. A state once valued is kept."""

    def __init__(
        self,
        problem: Problem,
        choose: Chooser,
        *,
        most: int,
        until: float = math.inf,
        ends: Ends = stopping,
        prunes: bool = False,
    ) -> None:
        self.problem, self.choose, self.most, self.ends = problem, choose, most, ends
        self.until = until  # on the clock; only where answers may depend on it
        self.known: Ints = np.empty(0, dtype=np.int64)
        self.place: Ints = np.empty(0, dtype=np.int64)
        self.prunes = prunes  # whether tests are left out that cannot be best; values stay the same
        self.size = 0
        self.tries = 0
        self.value: Floats = np.empty(0)
        self.best: Ints = np.empty(0, dtype=np.int64)  # edge, or END where stopping is best
        self.right: Floats = np.empty(0)  # probability of naming the right group by stopping
        self.first_edge: Ints = np.zeros(1, dtype=np.int64)
        self.first_child: Ints = np.zeros(1, dtype=np.int64)
        none, nil = np.empty(0, dtype=np.int64), np.empty(0)
        self.edges = Edges(none, none, nil, none, none, nil, none, nil, nil)
        self.cheapest = float(problem.minutes.min())

    def grow(self, roots: States, *, at_roots: Chooser | None = None) -> Ints:
        """Value the roots and all that they lead to; return their numbers.

        `at_roots` chooses the tests that are tried at the roots, otherwise the choice further on.

        Raises
        ------
        OutOfBudgetError
            Nothing is kept of the roots then.
        """
        before = (self.known, self.place, self.size)
        try:
            numbers, levels = self._levels(roots, at_roots or self.choose)
        except OutOfBudgetError:
            self.known, self.place, self.size = before
            raise
        if levels:
            self._join(levels)
        return numbers

    def find(self, roots: States) -> Ints:
        """Return the numbers of states, END for one that is not here."""
        return self._found(keys(self.problem, roots))

    def _levels(self, roots: States, at_roots: Chooser) -> tuple[Ints, list[Level]]:
        reach = np.ones(len(roots.left))
        numbers, states, reach = self._enter(roots, reach)
        levels: list[Level] = []
        while len(states.left):
            first = self.size - len(states.left)
            choose = self.choose if levels else at_roots
            tried = choose(self.problem, states, reach) & legal(self.problem, states)
            edges, below, reach = self._expand(states, first, tried, reach)
            levels.append((states, edges, self._ended(states, tried)))
            states = below
        return numbers, levels

    def _enter(self, states: States, reach: Floats) -> tuple[Ints, States, Floats]:
        """Number the states; return all numbers, the states that are new, and how likely they are."""
        found = keys(self.problem, states)
        fresh, first, back = np.unique(found, return_index=True, return_inverse=True)
        number = self._found(fresh)
        new = np.flatnonzero(number == END)
        number[new] = self.size + np.arange(len(new))
        self.size += len(new)
        self._check_budget()
        merged = np.concatenate([self.known, fresh[new]])
        order = np.argsort(merged, kind="stable")
        self.known = merged[order]
        self.place = np.concatenate([self.place, number[new]])[order]
        back = back.reshape(-1)
        likeliest = np.zeros(len(fresh))
        np.maximum.at(likeliest, back, reach)
        return number[back], states.pick(first[new]), likeliest[new]

    def _check_budget(self) -> None:
        is_late = self.until < math.inf and time.monotonic() > self.until
        if is_late or self.size > self.most or self.tries > TRIES * self.most:
            raise OutOfBudgetError

    def _found(self, wanted: Ints) -> Ints:
        if not len(self.known):
            return np.full(len(wanted), END)
        at = np.minimum(np.searchsorted(self.known, wanted), len(self.known) - 1)
        return np.where(self.known[at] == wanted, self.place[at], END)

    def _expand(
        self, states: States, first: int, tried: Bools, reach: Floats
    ) -> tuple[Edges, States, Floats]:
        problem = self.problem
        state, test = np.nonzero(tried)
        self.tries += len(state)
        self._check_budget()
        price = prices(problem, states)[state, test]
        children = outcomes(problem, states, state, test)
        if self.prunes:
            kept = self._worth_keeping(states, state, price, children)
            state, test, price = state[kept], test[kept], price[kept]
            number = np.cumsum(kept) - 1
            children = children.pick(np.flatnonzero(kept[children.pair]))
            children = children._replace(pair=number[children.pair])
        right = times(children.weights, problem.membership).max(axis=1) if len(state) else np.empty(0)
        stop = problem.wrong_minutes * np.maximum(0.0, 1.0 - right)
        # Where stopping costs no more than the cheapest test, nothing else can be better.
        goes_on = np.flatnonzero(stop > self.cheapest)
        onward = children.pick(goes_on)
        child = np.full(len(stop), END)
        onward_reach = reach[state[onward.pair]] * onward.chance
        after = after_test(problem, states, state, test, onward)
        number, below, reach = self._enter(after, onward_reach)
        child[goes_on] = number
        edges = Edges(
            state + first, test, price, children.pair, children.outcome, children.chance, child, stop, right
        )
        return edges, below, reach

    def _ended(self, states: States, tried: Bools) -> Floats:
        """Minutes of ending in each state."""
        ended = stop_minutes(self.problem, states.weights)
        left_off = np.flatnonzero(~tried.any(axis=1))
        if len(left_off):
            ended[left_off] = self.ends(self.problem, states.pick(left_off))
        return ended

    def _worth_keeping(self, states: States, state: Ints, price: Floats, children: Children) -> Bools:
        """Leave out tests that cost more at the least than something else costs at the most.

        At the most: stopping now, or after one test. At the least: a test, and then stopping or another one.
        """
        stop = stop_minutes(self.problem, children.weights)
        then = np.bincount(children.pair, weights=children.chance * stop, minlength=len(price))
        least = np.bincount(
            children.pair,
            weights=children.chance * np.minimum(stop, self.cheapest),
            minlength=len(price),
        )
        most = stop_minutes(self.problem, states.weights)
        np.minimum.at(most, state, price + then)
        worth: Bools = np.asarray(price + least <= most[state] + CLOSE)
        return worth

    def _join(self, levels: list[Level]) -> None:
        """Put the new levels behind what is here and value their states."""
        first = len(self.value)
        shift = np.cumsum([len(self.edges.state)] + [len(edges.state) for _, edges, _ in levels])
        parts = [
            edges._replace(edge=edges.edge + at) for (_, edges, _), at in zip(levels, shift[:-1], strict=True)
        ]
        self.edges = Edges(*(np.concatenate(columns) for columns in zip(self.edges, *parts, strict=True)))
        weights = np.concatenate([states.weights for states, _, _ in levels])
        rank = np.concatenate([states.left.sum(axis=1, dtype=np.int64) for states, _, _ in levels])
        stop = np.concatenate([ended for _, _, ended in levels])
        self.right = np.concatenate([self.right, times(weights, self.problem.membership).max(axis=1)])
        self.value = np.concatenate([self.value, stop])
        self.best = np.concatenate([self.best, np.full(len(stop), END)])
        self.first_edge = np.searchsorted(self.edges.state, np.arange(self.size + 1))
        self.first_child = np.searchsorted(self.edges.edge, np.arange(len(self.edges.state) + 1))
        for group in _by_rank(rank):
            self._value(first + group)

    def _value(self, states: Ints) -> None:
        """Value states whose children are all valued."""
        counts = self.first_edge[states + 1] - self.first_edge[states]
        states, counts = states[counts > 0], counts[counts > 0]
        if not len(states):
            return
        edge = ranges(self.first_edge[states], counts)
        minutes = self.minutes_of(edge)
        starts = np.concatenate([[0], np.cumsum(counts)[:-1]])
        least = np.minimum.reduceat(minutes, starts)
        stop = self.value[states]
        self.value[states] = np.minimum(stop, least)
        near = np.flatnonzero(minutes <= np.repeat(least, counts) + CLOSE)
        owner = np.repeat(np.arange(len(states)), counts)[near]
        order = np.lexsort((self.edges.test[edge[near]], self.edges.price[edge[near]], owner))
        _, leading = np.unique(owner[order], return_index=True)
        chosen = edge[near[order[leading]]]
        self.best[states] = np.where(least < stop - CLOSE, chosen, END)

    def minutes_of(self, edge: Ints) -> Floats:
        """Expected minutes of starting with each of these edges: Q of section 3."""
        counts = self.first_child[edge + 1] - self.first_child[edge]
        child = ranges(self.first_child[edge], counts)
        below = self.edges.child[child]
        value = np.where(below == END, self.edges.stop[child], self.value[np.maximum(below, 0)])
        owner = np.repeat(np.arange(len(edge)), counts)
        ahead = np.bincount(owner, weights=self.edges.chance[child] * value, minlength=len(edge))
        found: Floats = self.edges.price[edge] + ahead
        return found


def _by_rank(rank: Ints) -> list[Ints]:
    order = np.argsort(rank, kind="stable")
    cuts = np.flatnonzero(np.diff(rank[order])) + 1
    return np.split(order, cuts)


def ranges(starts: Ints, counts: Ints) -> Ints:
    """All whole numbers from each start on, as many as it counts, one range after the other."""
    ends = np.cumsum(counts)
    total = int(ends[-1]) if len(ends) else 0
    return np.arange(total) - np.repeat(ends - counts, counts) + np.repeat(starts, counts)
