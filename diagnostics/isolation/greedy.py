"""Information about the repair groups per minute: the rule that says which tests deserve a closer look.

Groups count, not suspects: telling two suspects of one repair apart is worth nothing (fault-isolation.md
section 4). The price is the price now, access included. A test that only opens the door to others is ranked
by what lies behind it.
"""

from __future__ import annotations

import numpy as np

from diagnostics.isolation.plan import Narrow
from diagnostics.isolation.problem import Flags, Floats, Problem
from diagnostics.isolation.states import Choices, States

_CHUNK = 2_000_000  # Numbers held at once.
_LITTLE = 1e-4  # Suspects that together hold less than this are left out of the comparison.
_MANY = 20_000  # Chances of one state above which each state is looked at alone, its suspects only.


def gains(problem: Problem, belief: Floats, asked: Flags) -> Floats:
    """(s, t) bits about the repair group that one use of a test is expected to give; 0 where not asked."""
    before = _entropy(problem.group_chances(belief))
    if problem.likelihood.size > _MANY:
        left = np.array([_left_alone(problem, belief[at], asked[at]) for at in range(len(belief))])
        found = before[:, None] - left.reshape(asked.shape)
    else:
        step = max(1, _CHUNK // problem.likelihood.size)
        parts = [_left(problem, belief[at : at + step]) for at in range(0, len(belief), step)]
        found = before[:, None] - np.concatenate(parts)
    return np.where(asked, np.maximum(found, 0.0), 0.0)


def _entropy(chances: Floats) -> Floats:
    return np.asarray(-_times_log(chances).sum(axis=-1))


def _times_log(values: Floats) -> Floats:
    """x log2 x, and 0 for 0."""
    return np.asarray(values * np.log2(np.where(values > 0.0, values, 1.0)))


def _left(problem: Problem, belief: Floats) -> Floats:
    """(s, t) entropy over groups that is expected to be left after each test."""
    joint = belief[:, None, None, :] * problem.likelihood
    if not problem.has_own_groups:
        joint = joint @ problem.membership
    return np.asarray(_times_log(joint.sum(axis=3)).sum(axis=2) - _times_log(joint).sum(axis=(2, 3)))


def _left_alone(problem: Problem, belief: Floats, asked: Flags) -> Floats:
    """(t,) the same of one state, over the suspects that matter in it and the tests asked about."""
    order = np.argsort(-belief, kind="stable")
    kept = np.sort(order[: int(np.searchsorted(np.cumsum(belief[order]), 1.0 - _LITTLE)) + 1])
    tests = np.nonzero(asked)[0]
    joint = problem.likelihood[np.ix_(tests, np.arange(problem.likelihood.shape[1]), kept)] * belief[kept]
    if not problem.has_own_groups:
        groups, place = np.unique(problem.group_of[kept], return_inverse=True)
        joint = joint @ np.eye(len(groups))[place.reshape(-1)]
    left = np.full(len(asked), np.inf)
    whole = _entropy(problem.group_chances(belief))
    seen = _entropy(joint[:1].sum(axis=1)) if len(tests) else np.zeros(1)
    # What the suspects left out would add is the same for all tests, so it is taken as not told.
    left[tests] = (
        _times_log(joint.sum(axis=2)).sum(axis=1) - _times_log(joint).sum(axis=(1, 2)) + whole - seen
    )
    return left


def scores(problem: Problem, states: States, can: Choices) -> Floats:
    """(s, t) bits per minute of the legal tests, 0 elsewhere."""
    gain = gains(problem, states.belief, can.telling)
    score = np.where(can.legal, gain / can.price, 0.0)
    if problem.opens.any():
        score = np.maximum(score, _behind_the_door(problem, states, can, gain))
    return score


def _behind_the_door(problem: Problem, states: States, can: Choices, gain: Floats) -> Floats:
    """(s, t) for tests that others wait for: the best bits per minute behind them, both prices paid."""
    best = np.zeros_like(gain)
    waits = _all_before(problem)
    for locked in np.nonzero(problem.after.any(axis=1))[0]:
        pending = waits[locked] & ~states.done
        is_behind = can.telling[:, locked] & pending.any(axis=1)
        whole = can.price[:, locked] + (pending * can.price).sum(axis=1)
        worth = np.where(is_behind, gain[:, locked] / whole, 0.0)
        best = np.maximum(best, np.where(pending & can.legal, worth[:, None], 0.0))
    return best


def _all_before(problem: Problem) -> Flags:
    """(t, t) row: everything that must be done before a test, directly or through others."""
    before = problem.after.copy()
    while True:
        more = before | ((before.astype(np.int64) @ before.astype(np.int64)) > 0)
        if (more == before).all():
            return np.asarray(before)
        before = more


def best_few(problem: Problem, widths: tuple[int, ...], *, cut: float = 0.0) -> Narrow:
    """Allow the best `widths[depth]` tests by score, the last width for all that lie deeper.

    States that are come to with a chance below `cut` end there: the likeliest group is named.
    """

    def narrow(depth: int, states: States, can: Choices, reach: Floats) -> Flags:
        width = widths[min(depth, len(widths) - 1)]
        worth = can.legal & (reach >= cut)[:, None]
        if width >= worth.shape[1]:
            return worth
        kept = np.zeros_like(worth)
        at = np.nonzero(worth.any(axis=1))[0]
        if len(at):
            part = Choices(can.telling[at], worth[at], can.price[at])
            kept[at] = _first_few(scores(problem, states.take(at), part), width) & worth[at]
        return kept

    return narrow


def _first_few(score: Floats, width: int) -> Flags:
    """The tests with the highest scores of each state; ties go to the id. A score of 0 is no reason."""
    # Rounded, so that float noise decides nothing.
    order = np.argsort(-np.round(score, 12), axis=1, kind="stable")[:, :width]
    kept = np.zeros(score.shape, dtype=bool)
    np.put_along_axis(kept, order, True, axis=1)
    return kept & (score > 0.0)
