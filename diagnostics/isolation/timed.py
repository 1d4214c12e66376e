"""When a plan finds the fault: probability by minutes, from the leaves of what it does."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from diagnostics.isolation.graph import END, Graph, ranges
from diagnostics.isolation.problem import Floats, Ints

RARE = 1e-9  # Branches less likely are counted as not found.
MOST_ROWS = 400_000
CLOSE = 1e-9


@dataclass(frozen=True, eq=False)
class Leaves:
    """Where a plan ends: minutes from now, and the probability of ending so with the right group."""

    minutes: Floats
    found: Floats

    def within(self, minutes: float) -> float:
        """Probability that the plan has ended with the right group by then."""
        return float(min(1.0, self.found[self.minutes <= minutes + CLOSE].sum()))

    def minutes_by(self, share: float) -> float:
        """Minutes by which that share of cases is found; inf when never."""
        order = np.argsort(self.minutes, kind="stable")
        at = np.flatnonzero(np.cumsum(self.found[order]) >= share - CLOSE)
        return float(self.minutes[order][at[0]]) if len(at) else math.inf


def leaves_of(graph: Graph, root: int) -> Leaves:
    """Walk the best tests of a graph from a state to all ends."""
    state, chance, minutes = np.array([root]), np.ones(1), np.zeros(1)
    ends: list[tuple[Floats, Floats]] = []
    while len(state):
        stops = graph.best[state] == END
        ends.append((minutes[stops], chance[stops] * graph.right[state[stops]]))
        edge, chance, minutes = graph.best[state[~stops]], chance[~stops], minutes[~stops]
        minutes = minutes + graph.edges.price[edge]
        counts = graph.first_child[edge + 1] - graph.first_child[edge]
        child = ranges(graph.first_child[edge], counts)
        chance = np.repeat(chance, counts) * graph.edges.chance[child]
        minutes = np.repeat(minutes, counts)
        state = graph.edges.child[child]
        over = state == END
        ends.append((minutes[over], chance[over] * graph.edges.right[child[over]]))
        state, chance, minutes = merged(state[~over], chance[~over], minutes[~over])
    return Leaves(*(np.concatenate(columns) for columns in zip(*ends, strict=True)))


def merged(state: Ints, chance: Floats, minutes: Floats) -> tuple[Ints, Floats, Floats]:
    """Put together what is in the same state after the same minutes; drop what is too rare."""
    likely = chance > RARE
    state, chance, minutes = state[likely], chance[likely], minutes[likely].round(6)
    if len(state) > MOST_ROWS:
        kept = np.sort(np.argsort(-chance, kind="stable")[:MOST_ROWS])
        state, chance, minutes = state[kept], chance[kept], minutes[kept]
    order = np.lexsort((minutes, state))
    state, chance, minutes = state[order], chance[order], minutes[order]
    if not len(state):
        return state, chance, minutes
    is_new = np.concatenate([[True], (np.diff(state) != 0) | (np.diff(minutes) != 0)])
    starts = np.flatnonzero(is_new)
    return state[starts], np.add.reduceat(chance, starts), minutes[starts]
