"""Which tests a look ahead tries in a state: all of them, or the few that tell most a minute."""

from __future__ import annotations

import numpy as np

from diagnostics.isolation.graph import Chooser
from diagnostics.isolation.problem import Bools, Problem
from diagnostics.isolation.scoring import scored
from diagnostics.isolation.states import States


def most_telling(width: int) -> Chooser:
    """Try the so many tests with most bits a minute, or the doors that stand before them."""

    def choose(problem: Problem, states: States) -> Bools:
        score, now = scored(problem, states)
        order = np.argsort(-score, axis=1, kind="stable")[:, :width]
        is_telling = np.take_along_axis(score, order, axis=1) > 0
        state = np.broadcast_to(np.arange(len(score))[:, None], order.shape)[is_telling]
        tried = np.zeros(score.shape, dtype=bool)
        tried[state, np.take_along_axis(now, order, axis=1)[is_telling]] = True
        return tried

    return choose
