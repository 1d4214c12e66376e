"""How few minutes any plan needs at least: blocks of suspects, each solved exactly.

This is the block bound of fault-isolation.md section 5.

An oracle that tells free of charge in which block the fault is can only help, so the mean of the blocks'
exact minutes is no more than the optimum. That holds with noise, zones and early stopping.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from diagnostics.isolation.plan import explore
from diagnostics.isolation.problem import ALMOST_NEVER, Floats, Ints, Problem
from diagnostics.isolation.states import States, prices

_MOST_USES = 9  # The most uses that a document allows a test.


def block_bound(problem: Problem, state: States, *, size: int, most: int) -> float:
    """Return minutes that no plan can undercut from this state.

    `size`: suspects a block; `most`: states looked at for each block. A block that needs more of them is
    valued by what no plan can undercut within it.
    """
    belief = state.belief[0]
    minutes = 0.0
    for block in _blocks(belief, _hard_to_tell(problem, state), size):
        share = float(belief[block].sum())
        if len(np.unique(problem.group_of[block])) > 1:
            minutes += share * _of_block(problem, state, block, share, most)
    return minutes


def _of_block(problem: Problem, state: States, block: Ints, share: float, most: int) -> float:
    uses = _that_matter(problem, state, block)
    alone, start = _alone(problem, state, block, share, uses)
    plan = explore(alone, start, most=most, floor=True) if uses else None
    place = None if plan is None else plan.find(start)
    if plan is None or place is None:
        return float(alone.stop_minutes(start.belief)[0])
    return float(plan.value[place])


def _alone(
    problem: Problem, state: States, block: Ints, share: float, uses: dict[int, int]
) -> tuple[Problem, States]:
    """Return the problem of one block alone, with the tests that can matter in it."""
    tests = np.array(list(uses), dtype=np.int64)
    left = np.array([list(uses.values())], dtype=np.int8)
    groups, place = np.unique(problem.group_of[block], return_inverse=True)
    alone = replace(
        problem,
        candidates=tuple(problem.candidates[at] for at in block),
        groups=tuple(problem.groups[at] for at in groups),
        group_of=place.reshape(-1),
        prior=state.belief[0, block] / share,
        tests=tuple(problem.tests[at] for at in tests),
        likelihood=problem.likelihood[tests][:, :, block],
        minutes=problem.minutes[tests],
        max_uses=left[0].astype(np.int64),
        needs_zone=problem.needs_zone[tests],
        # A test need not wait for others here: to ask less can only lower the bound.
        after=np.zeros((len(tests), len(tests)), dtype=bool),
    )
    return alone, States(alone.prior[None, :], state.is_open, left, state.done[:, tests])


def _that_matter(problem: Problem, state: States, block: Ints) -> dict[int, int]:
    """Tests that tell something in a block, with their uses.

    One that another reads alike for no more, behind no other panel, is left out, and its uses go to that one:
    cheaper looks can only lower the bound.
    """
    rows = problem.likelihood[:, :, block]
    tells = ((rows.max(axis=2) - rows.min(axis=2)) > ALMOST_NEVER).any(axis=1) & (state.left[0] > 0)
    needs = problem.needs_zone & ~state.is_open[0]
    order = sorted(np.nonzero(tells)[0].tolist(), key=lambda at: (problem.minutes[at], needs[at].sum(), at))
    kept: dict[int, int] = {}
    alike: dict[bytes, list[int]] = {}
    for test in order:
        others = alike.setdefault(np.round(rows[test], 12).tobytes(), [])
        better = next((other for other in others if not (needs[other] & ~needs[test]).any()), None)
        if better is None:
            others.append(test)
            kept[test] = int(state.left[0, test])
        else:
            kept[better] = min(kept[better] + int(state.left[0, test]), _MOST_USES)
    return dict(sorted(kept.items()))


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
