"""How far from the best can a plan be: a lower bound that is valid with noise, access and stopping.

An oracle names, free of charge, the block of a partition that holds the fault: the minutes that are then
still needed, weighed over the blocks, are no more than the minutes without the oracle (section 5).
"""

from __future__ import annotations

import math

import numpy as np

from diagnostics.isolation.choosing import likely_enough
from diagnostics.isolation.graph import Graph, OutOfBudgetError
from diagnostics.isolation.problem import Floats, Ints, Problem
from diagnostics.isolation.states import States, in_short, legal, prices, stop_minutes

BLOCK_SIZES = (6, 4, 1_000_000, 3)
# Likelihoods below which a state is not looked into any more: it costs a test or a wrong call at the least.
CUTS = (2, 0.5, 0.1, 0.03, 0.01, 1e-3, 1e-4, 1e-6)
GROWS = 4
MOST_COMPARED = 1_000_000  # pairs of candidates times tests
SHARE = 0.5  # of what is left of the budget, for one partition


def lower_bound(problem: Problem, root: States, most: int, until: float = math.inf) -> float:
    """Return minutes that no plan can undercut, the best of several partitions within a budget of states."""
    best, left = float(cheapest_or_stop(problem, root)[0]), most
    for size in BLOCK_SIZES:
        for blocks in partitions(problem, root, size):
            found, used = _within(problem, root, blocks, left, until)
            best, left = max(best, found), left - used
            if left < len(blocks):
                return best
    return best


def _within(problem: Problem, root: States, blocks: list[Ints], most: int, until: float) -> tuple[float, int]:
    """The bound of one partition, looking as far as the budget allows, and the states used."""
    best, last, used = 0.0, 0, 0
    for cut in CUTS:
        if used + GROWS * last > most * SHARE:
            break
        graph = Graph(problem, likely_enough(cut), most=most - used, until=until, ends=cheapest_or_stop)
        try:
            best = max(best, _oracle(problem, root, blocks, graph))
        except OutOfBudgetError:
            return best, used + most // 8
        last, used = graph.size, used + graph.size
    return best, used


def cheapest_or_stop(problem: Problem, states: States) -> Floats:
    """(s,): whoever does not stop now pays for one test at least."""
    able = legal(problem, states)
    least = np.where(able, prices(problem, states), np.inf).min(axis=1)
    found: Floats = np.minimum(stop_minutes(problem, states.weights), least)
    return found


def partitions(problem: Problem, root: States, size: int) -> list[list[Ints]]:
    """Blocks of so many candidates, cut in several ways from those that are left."""
    weights = root.weights[0]
    left = np.flatnonzero(weights > 0)
    ranked = left[np.argsort(-weights[left], kind="stable")]
    count = -(-len(ranked) // size)
    if count <= 1:
        return [[ranked]]
    found = [
        [ranked[at * size : (at + 1) * size] for at in range(count)],
        [ranked[at::count] for at in range(count)],
    ]
    if len(ranked) ** 2 * len(problem.tests) > MOST_COMPARED:
        return found
    dear = _dear(problem, root, ranked)
    found += [_gathered(dear, weights, ranked, size), _gathered(dear, weights, ranked[::-1], size)]
    return found


def _dear(problem: Problem, root: States, left: Ints) -> Floats:
    """(n, n): minutes of the cheapest test that tells two candidates apart, or of a wrong call."""
    price = prices(problem, root)[0]
    useful = root.left[0] > 0
    apart = np.abs(problem.likelihood[:, :, :, None] - problem.likelihood[:, :, None, :]).max(axis=0) / 2
    minutes = price[:, None, None] / np.maximum(apart, 1e-9)
    minutes[~useful] = problem.wrong_minutes
    found: Floats = np.minimum(minutes.min(axis=0), problem.wrong_minutes)
    same = problem.group[:, None] == problem.group[None, :]
    return np.where(same, 0.0, found)


def _gathered(dear: Floats, weights: Floats, order: Ints, size: int) -> list[Ints]:
    """Blocks grown around the first of what is left, each time by the candidate dearest to tell from it."""
    blocks = []
    while len(order):
        block = [int(order[0])]
        order = order[1:]
        worth = np.zeros(len(weights))
        while len(order) and len(block) < size:
            worth += dear[:, block[-1]] * np.minimum(weights, weights[block[-1]])
            at = int(np.argmax(np.round(worth[order], 9)))
            block.append(int(order[at]))
            order = np.delete(order, at)
        blocks.append(np.array(sorted(block)))
    return blocks


def _oracle(problem: Problem, root: States, blocks: list[Ints], graph: Graph) -> float:
    weights = np.zeros((len(blocks), len(problem.candidates)))
    for place, block in enumerate(blocks):
        weights[place, block] = root.weights[0][block]
    share = weights.sum(axis=1)
    weights /= share[:, None]
    repeated = np.zeros(len(blocks), dtype=np.int64)
    states = in_short(problem, root.pick(repeated)._replace(weights=weights))
    numbers = graph.grow(states)
    return float(share @ graph.value[numbers])
