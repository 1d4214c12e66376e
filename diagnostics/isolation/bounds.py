"""How few minutes any plan needs at least: blocks of suspects, each solved exactly.

This is the block bound of fault-isolation.md section 5.

An oracle that tells free of charge in which block the fault is can only help, so the mean of the blocks'
exact minutes is no more than the optimum. That holds with noise, zones and early stopping.
"""

from __future__ import annotations

import numpy as np

from diagnostics.isolation.plan import explore
from diagnostics.isolation.problem import ALMOST_NEVER, Floats, Ints, Problem
from diagnostics.isolation.states import States, prices, together


def block_bound(problem: Problem, state: States, *, size: int, most: int) -> float | None:
    """Return minutes that no plan can undercut from this state; None where the blocks are too much work.

    `size`: suspects a block; `most`: states looked at for all blocks together.
    """
    belief = state.belief[0]
    blocks = _blocks(belief, _hard_to_tell(problem, state), size)
    shares = np.array([belief[block].sum() for block in blocks])
    roots = []
    for block, share in zip(blocks, shares, strict=True):
        within = np.zeros_like(belief)
        within[block] = belief[block] / share
        roots.append(States(within[None, :], state.is_open, state.left, state.done))
    plan = explore(problem, together(roots), most=most)
    if plan is None:
        return None
    places = [plan.find(root) for root in roots]
    return float(sum(s * plan.value[at] for s, at in zip(shares, places, strict=True) if at is not None))


def _hard_to_tell(problem: Problem, state: States) -> Floats:
    """(n, n) minutes of the cheapest test that tells two suspects apart; at most a wrong call's price."""
    price = prices(problem, state.is_open)[0]
    suspects = len(problem.candidates)
    least = np.full((suspects, suspects), problem.wrong_minutes)
    np.fill_diagonal(least, 0.0)
    same_group = problem.group_of[:, None] == problem.group_of[None, :]
    for test in np.argsort(-price, kind="stable"):  # The cheapest last, so that it stands.
        if state.left[0, test] > 0:
            table = problem.likelihood[test]
            differ = (np.abs(table[:, :, None] - table[:, None, :]) > ALMOST_NEVER).any(axis=0)
            least[differ] = np.minimum(problem.wrong_minutes, price[test])
    least[same_group] = 0.0
    return least


def _blocks(belief: Floats, hard: Floats, size: int) -> list[Ints]:
    """Blocks of suspects that are likely and expensive to tell apart, the likeliest first in each."""
    left = [int(at) for at in np.argsort(-belief, kind="stable") if belief[at] > 0.0]
    blocks = []
    while left:
        block = [left.pop(0)]
        while left and len(block) < size:
            worth = (np.minimum.outer(belief[left], belief[block]) * hard[np.ix_(left, block)]).sum(axis=1)
            block.append(left.pop(int(np.argmax(worth))))
        blocks.append(np.array(block))
    return blocks
