"""How much a test tells a minute: bits about the groups over minutes, access and doors included."""

from __future__ import annotations

import numpy as np

from diagnostics.isolation.problem import Bools, Floats, Ints, Problem, times
from diagnostics.isolation.states import States, legal, prices

DIGITS = 12


def bits(shares: Floats) -> Floats:
    """-x log2 x, and 0 for 0."""
    found: Floats = np.zeros_like(shares)
    np.log2(shares, out=found, where=shares > 0)
    return -shares * found


def gains(problem: Problem, weights: Floats) -> Floats:
    """(s, m): bits about the groups that one test is expected to bring."""
    k, m, _ = problem.likelihood.shape
    chances = times(weights, problem.flat)
    found: Floats = bits(chances).reshape(-1, k, m).sum(axis=1)
    alone = problem.membership.sum(axis=0)[problem.group] == 1
    if alone.any():
        noise = bits(problem.likelihood[:, :, alone]).sum(axis=0)
        found -= times(weights[:, alone], noise.T)
    for group in np.flatnonzero(problem.membership.sum(axis=0) > 1):
        inside = problem.group == group
        joint = times(weights[:, inside], problem.flat[inside])
        share = weights[:, inside].sum(axis=1)
        found -= bits(joint).reshape(-1, k, m).sum(axis=1) - bits(share)[:, None]
    return found


def scored(problem: Problem, states: States) -> tuple[Floats, Ints]:
    """(s, m) bits a minute of each test, and (s, m) the test to do now for it: itself, or a door."""
    gain = gains(problem, states.weights)
    able = legal(problem, states)
    now = np.broadcast_to(np.arange(len(problem.tests)), able.shape)
    cost = prices(problem, states)
    if problem.has_doors:
        cost, now = _through_doors(problem, states, able)
    score = np.where((states.left > 0) & (gain > CLOSE_BITS), gain / cost, 0.0)
    return score.round(DIGITS), now


CLOSE_BITS = 1e-9


def _through_doors(problem: Problem, states: States, able: Bools) -> tuple[Floats, Ints]:
    """The price of each test with all that must be done before it, and the first of these."""
    missing = ~states.done
    zones = problem.needs | (problem.after.astype(float) @ problem.needs > 0)
    cost = problem.minutes + missing.astype(float) @ (problem.after * problem.minutes).T
    cost = cost + (~states.opened).astype(float) @ (zones * problem.zone_minutes).T
    now = np.tile(np.arange(len(problem.tests)), (len(able), 1))
    for test in np.flatnonzero(problem.after.any(axis=1)):
        doors = problem.after[test] & able & missing
        waits = ~able[:, test] & doors.any(axis=1)
        now[waits, test] = doors[waits].argmax(axis=1)
    return cost, now
