"""A plan: every state that the tests allowed can reach, found once, and valued from the end backwards.

Dynamic programming on the recursion of fault-isolation.md section 3, all states of a layer at once. Each
test lowers the number of uses left, so that states can be valued in the order of that number. With every
legal test allowed in every state the plan is exact; with fewer allowed it is a plan that can be followed,
and its minutes are exactly what following it costs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from diagnostics.isolation.problem import ALMOST_NEVER, TIE, Flags, Floats, Ints, Problem
from diagnostics.isolation.states import (
    Choices,
    States,
    after_outcomes,
    chances,
    keys,
    settled,
    together,
)

STOP = -1  # In place of a test: name the likeliest group.
_ROWS_AT_ONCE = 100_000
_EDGES_A_STATE = 60


# Which of the legal tests are allowed: of (depth, states, choices, reach), as (s, t) flags. `reach` (s,) is
# the chance to come to a state, as far as known when it is met.
Narrow = Callable[[int, States, Choices, Floats], Flags]


@dataclass(frozen=True, eq=False)
class Edges:
    """Everything that can happen, (e,) each: state, test, outcome, its chance, and where it leads.

    They stand in the order of (state, test, outcome).
    """

    state: Ints
    test: Ints
    outcome: Ints
    chance: Floats
    child: Ints


@dataclass(frozen=True, eq=False)
class Plan:
    """Every state that was looked at, with its value.

    value (s,) expected minutes from there; choice (s,) the best test or STOP; q (s, t) expected minutes
    when starting with a test, inf where it is not legal; price (s, t); ids (s,) their keys.
    """

    problem: Problem
    states: States
    ids: NDArray[np.uint64]
    value: Floats
    choice: Ints
    q: Floats
    price: Floats
    edges: Edges

    @cached_property
    def _place_of(self) -> dict[int, int]:
        return {key: place for place, key in enumerate(self.ids.tolist())}

    def find(self, states: States) -> int | None:
        """Return the place of one state; None where it was not reached."""
        canonical, _ = settled(self.problem, states)
        return self._place_of.get(int(keys(canonical)[0]))

    def edges_of(self, state: int, test: int) -> tuple[Ints, Floats, Ints]:
        """Return outcomes, chances and children of one test in one state."""
        start, stop = np.searchsorted(self.edges.state, [state, state + 1])
        at = start + np.nonzero(self.edges.test[start:stop] == test)[0]
        return self.edges.outcome[at], self.edges.chance[at], self.edges.child[at]


@dataclass(frozen=True, eq=False)
class _Layer:
    """States met for the first time, settled, with what can be done in them and the chance to come there."""

    states: States
    can: Choices
    reach: Floats

    def take(self, places: Ints) -> _Layer:
        can = Choices(self.can.telling[places], self.can.legal[places], self.can.price[places])
        return _Layer(self.states.take(places), can, self.reach[places])


@dataclass
class _Found:
    """States found so far, layer by layer."""

    parts: list[States] = field(default_factory=list)
    legal: list[Flags] = field(default_factory=list)
    price: list[Floats] = field(default_factory=list)
    edges: list[tuple[Ints, Ints, Ints, Floats, NDArray[np.uint64]]] = field(default_factory=list)
    known: NDArray[np.uint64] = field(default_factory=lambda: np.empty(0, dtype=np.uint64))
    count: int = 0
    edge_count: int = 0
    ends: list[Flags] = field(default_factory=list)  # States that were not looked behind.


def explore(
    problem: Problem,
    roots: States,
    *,
    most: int,
    narrow: Narrow | None = None,
    floor: bool = False,
) -> Plan | None:
    """Return the plan over all states that can be reached from the roots by the tests allowed.

    None where there are more than `most` of them, or where their edges would not fit into memory. With
    `floor` there is always an answer: states beyond `most` are valued at what no plan can undercut there,
    the price of naming the group or of the cheapest test, so that all values become lower bounds.
    """
    found = _Found()
    states, can = settled(problem, roots)
    layer = _new_ones(found, _Layer(states, can, np.full(len(roots), 1.0 / len(roots))))
    depth = 0
    while layer is not None:
        if floor and found.count + 2 * int(layer.can.legal.sum()) > most:
            _end_there(found, layer)
            break
        layer = _expand(problem, found, layer, most, narrow, depth)
        depth += 1
        if not floor and (found.count > most or found.edge_count > _EDGES_A_STATE * most):
            return None
    return _valued(problem, found)


def _new_ones(found: _Found, layer: _Layer) -> _Layer | None:
    """Register the states not met before and return them; None where there are none."""
    unique, first, place = np.unique(keys(layer.states), return_index=True, return_inverse=True)
    reach = np.bincount(place.reshape(-1), weights=layer.reach, minlength=len(unique))
    if len(found.known):
        at = np.minimum(np.searchsorted(found.known, unique), len(found.known) - 1)
        is_new = found.known[at] != unique
        unique, first, reach = unique[is_new], first[is_new], reach[is_new]
    if not len(unique):
        return None
    found.known = np.union1d(found.known, unique)
    found.count += len(unique)
    fresh = layer.take(first)
    return _Layer(fresh.states, fresh.can, np.asarray(reach, dtype=np.float64))


def _expand(
    problem: Problem, found: _Found, layer: _Layer, most: int, narrow: Narrow | None, depth: int
) -> _Layer | None:
    # Of the roots every test is valued, also where stopping is best.
    legal = _worth_a_test(problem, layer) if depth else layer.can.legal
    if narrow is not None:
        legal &= narrow(depth, layer.states, Choices(layer.can.telling, legal, layer.can.price), layer.reach)
    offset = found.count - len(layer.states)
    found.parts.append(layer.states)
    found.legal.append(legal)
    found.price.append(layer.can.price)
    found.ends.append(np.zeros(len(layer.states), dtype=bool))
    state, test, outcome, chance = _branches(problem, layer.states, legal)
    found.edge_count += len(state)
    fresh = []
    for start in range(0, len(state), _ROWS_AT_ONCE):
        part = slice(start, start + _ROWS_AT_ONCE)
        children, can = settled(
            problem,
            after_outcomes(problem, layer.states, state[part], test[part], outcome[part], chance[part]),
        )
        found.edges.append((state[part] + offset, test[part], outcome[part], chance[part], keys(children)))
        new = _new_ones(found, _Layer(children, can, layer.reach[state[part]] * chance[part]))
        if new is not None:
            fresh.append(new)
        if found.count > most:
            return None
    return _joined(fresh) if fresh else None


def _end_there(found: _Found, layer: _Layer) -> None:
    found.parts.append(layer.states)
    found.legal.append(layer.can.legal)
    found.price.append(layer.can.price)
    found.ends.append(np.ones(len(layer.states), dtype=bool))


def _worth_a_test(problem: Problem, layer: _Layer) -> Flags:
    """Legal tests, but none where naming the group now costs no more than the cheapest of them."""
    cheapest = np.where(layer.can.legal, layer.can.price, np.inf).min(axis=1)
    worth = problem.stop_minutes(layer.states.belief) > cheapest + TIE
    return np.asarray(layer.can.legal & worth[:, None])


def _branches(problem: Problem, states: States, legal: Flags) -> tuple[Ints, Ints, Ints, Floats]:
    """State, test, outcome and chance of everything that can happen next."""
    at_state, at_test = np.nonzero(legal)
    if len(at_state) * 4 < legal.size:  # Few are allowed: the chances of these alone.
        rows = problem.likelihood[at_test]
        chance = np.einsum("kon,kn->ko", rows, states.belief[at_state])
    else:
        chance = chances(problem, states.belief)[at_state, at_test]
    place, outcome = np.nonzero(chance > ALMOST_NEVER)
    return at_state[place], at_test[place], outcome, chance[place, outcome]


def _joined(layers: list[_Layer]) -> _Layer:
    can = Choices(
        np.concatenate([layer.can.telling for layer in layers]),
        np.concatenate([layer.can.legal for layer in layers]),
        np.concatenate([layer.can.price for layer in layers]),
    )
    return _Layer(
        together([layer.states for layer in layers]), can, np.concatenate([layer.reach for layer in layers])
    )


def _valued(problem: Problem, found: _Found) -> Plan:
    states = together(found.parts)
    legal, price = np.concatenate(found.legal), np.concatenate(found.price)
    ids = keys(states)
    edges = _edges(found, ids)
    stop = problem.stop_minutes(states.belief)
    q = np.where(legal, price, np.inf)
    ends = np.concatenate(found.ends)
    value, choice = stop.copy(), np.full(len(states), STOP, dtype=np.int64)
    value[ends] = np.minimum(stop[ends], q[ends].min(axis=1, initial=np.inf))
    for here, leaving in _from_the_end(states, edges):
        share = edges.chance[leaving] * value[edges.child[leaving]]
        np.add.at(q, (edges.state[leaving], edges.test[leaving]), share)
        choice[here], value[here] = best_of(q[here], price[here], stop[here])
    return Plan(problem, states, ids, value, choice, q, price, edges)


def _edges(found: _Found, ids: NDArray[np.uint64]) -> Edges:
    if not found.edges:
        none = np.empty(0, dtype=np.int64)
        return Edges(none, none, none, np.empty(0), none)
    state, test, outcome, chance, key = (np.concatenate(column) for column in zip(*found.edges, strict=True))
    order = np.argsort(ids)
    child = order[np.searchsorted(ids[order], key)]
    return Edges(state, test, outcome, np.asarray(chance, dtype=np.float64), child)


def _from_the_end(states: States, edges: Edges) -> Iterator[tuple[Ints, Ints]]:
    """States with the same number of uses left, the fewest first, and the edges that leave them."""
    rank = states.left.astype(np.int64).sum(axis=1)
    edge_rank = rank[edges.state]
    in_order = np.argsort(edge_rank, kind="stable")
    bounds = np.searchsorted(edge_rank[in_order], np.arange(int(rank.max()) + 2))
    for level in range(int(rank.max()) + 1):
        if bounds[level] < bounds[level + 1]:
            yield np.nonzero(rank == level)[0], in_order[bounds[level] : bounds[level + 1]]


def best_of(q: Floats, price: Floats, stop: Floats) -> tuple[Ints, Floats]:
    """Return the best test or STOP of each state and its minutes; ties: stopping, the cheaper, the id."""
    least = q.min(axis=1)
    among = np.where(q <= least[:, None] + TIE, price, np.inf)
    test = np.argmin(np.where(np.isfinite(among), np.rint(among / TIE), np.inf), axis=1)
    stops = stop <= least + TIE
    return np.where(stops, STOP, test), np.where(stops, stop, least)
