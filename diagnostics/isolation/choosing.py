"""Which tests a look ahead tries in a state: more where the state is likely to be met."""

from __future__ import annotations

import numpy as np

from diagnostics.isolation.graph import Chooser
from diagnostics.isolation.problem import Bools, Floats, Ints, Problem
from diagnostics.isolation.scoring import scored
from diagnostics.isolation.states import States

WIDEST = 8
# One more test is tried where a state is so many times as likely.
STEP = 3.0


def at_first(width: int) -> Chooser:
    """Try so many tests."""

    def choose(problem: Problem, states: States, reach: Floats) -> Bools:
        return _leading(problem, states, np.full(len(reach), width))

    return choose


def most_telling(rare: float, cut: float = 0.0) -> Chooser:
    """Try the tests with most bits a minute, or the doors that stand before them.

    States less likely than `rare` have one test tried, likelier ones more; those less likely than `cut` none.
    """

    def choose(problem: Problem, states: States, reach: Floats) -> Bools:
        width = 1 + np.clip(1 + np.log(np.maximum(reach, 1e-300) / rare) / np.log(STEP), 0, WIDEST - 1)
        tried = np.zeros(states.left.shape, dtype=bool)
        some = np.flatnonzero(reach >= cut)
        tried[some] = _leading(problem, states.pick(some), np.floor(width[some]).astype(np.int64))
        return tried

    return choose


def likely_enough(cut: float) -> Chooser:
    """Try every test of use, but none in states less likely than that."""

    def choose(problem: Problem, states: States, reach: Floats) -> Bools:
        tried: Bools = (states.left > 0) & (reach >= cut)[:, None]
        return tried

    return choose


def _leading(problem: Problem, states: States, width: Ints) -> Bools:
    score, now = scored(problem, states)
    order = np.argsort(-score, axis=1, kind="stable")[:, : int(width.max(initial=1))]
    is_tried = np.take_along_axis(score, order, axis=1) > 0
    is_tried &= np.arange(order.shape[1]) < width[:, None]
    state = np.broadcast_to(np.arange(len(score))[:, None], order.shape)[is_tried]
    tried = np.zeros(score.shape, dtype=bool)
    tried[state, np.take_along_axis(now, order, axis=1)[is_tried]] = True
    return tried
