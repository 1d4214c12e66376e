"""How many jobs it takes to see a change, and what may be said of one that is looked at again and again.

References
----------
.. [1] J. L. Fleiss, B. Levin, M. C. Paik, Statistical Methods for Rates and Proportions, 3rd ed., Wiley,
   2003, section 4.2 (sample size without continuity correction). From memory. The variance-stabilised formula
   of other tables differs by a few in 100.
.. [2] P. C. O'Brien, T. R. Fleming, Biometrics 35 (1979) 549-556 (looking several times), with the bound for
   looking all the time: a Brownian path passes c before time 1 with the chance 2 (1 - Phi(c)), and c t after
   it with the same. From memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from diagnostics.statistics.proportions import Difference, Proportion, newcombe, proportion
from diagnostics.statistics.quantiles import normal_quantile

Verdict = Literal["helped", "worse", "no_difference", "cannot_tell"]
ALPHA = 0.05
POWER = 0.8


def jobs_a_side(p1: float, p2: float, alpha: float = ALPHA, power: float = POWER) -> int:
    """Return how many jobs it takes on each side to see p1 become p2, two-sided [1].

    Raises
    ------
    ValueError
        If the shares are equal, or one is not between 0 and 1.
    """
    if p1 == p2 or not (0 <= p1 <= 1 and 0 <= p2 <= 1):
        raise ValueError(f"A change from {p1} to {p2} cannot be seen. Use two different shares from 0 to 1.")
    z_alpha, z_power = normal_quantile(1 - alpha / 2), normal_quantile(power)
    mean = (p1 + p2) / 2
    pooled = z_alpha * math.sqrt(2 * mean * (1 - mean))
    apart = z_power * math.sqrt(p1 * (1 - p1) + p2 * (1 - p2))
    return math.ceil((pooled + apart) ** 2 / (p1 - p2) ** 2)


@dataclass(frozen=True, slots=True)
class BeforeAfter:
    """What two periods say of a change.

    difference : after minus before, with its plain 95 % interval (Newcombe).
    p_better, p_worse : one-sided chances of a difference as large if nothing had changed.
    level : how small such a chance must be at this look.
    needed : jobs on each side to see the change that was hoped for.
    more : jobs after the change still missing; None where the jobs before are too few ever to see it.
    """

    before: Proportion
    after: Proportion
    difference: Difference
    p_better: float
    p_worse: float
    level: float
    needed: int
    more: int | None
    verdict: Verdict


def before_after(
    before: tuple[int, int],
    after: tuple[int, int],
    *,
    hoped: tuple[float, float],
    lower_is_better: bool = True,
) -> BeforeAfter:
    """Return what counts before and after a change say of it.

    A change that did nothing is called "helped" at most 5 times in 100, and "worse" as seldom, however often
    and however long one looks [2]: looks early on need overwhelming evidence, and the bound rises again after
    the planned number. The side before must be fixed when the change is made, and not be picked for being
    bad: the stretch after a bad one is better though nothing changed, and no level here allows for that.

    Parameters
    ----------
    before, after : (events, jobs)
        At least one job on each side.
    hoped : (share before, share after)
        What the change was to bring; sets how many jobs are planned.
    lower_is_better : bool
        Whether fewer events are the improvement (comebacks), or more (a step that is done).
    """
    (x0, n0), (x1, n1) = before, after
    needed = jobs_a_side(*hoped)
    below = _p_below(x0, n0, x1, n1)
    above = _p_below(n0 - x0, n0, n1 - x1, n1)
    p_better, p_worse = (below, above) if lower_is_better else (above, below)
    level = _level(2 / needed / (1 / n0 + 1 / n1))
    more = _more(n0, n1, needed)
    return BeforeAfter(
        before=proportion(x0, n0),
        after=proportion(x1, n1),
        difference=newcombe(x1, n1, x0, n0),
        p_better=p_better,
        p_worse=p_worse,
        level=level,
        needed=needed,
        more=more,
        verdict=_verdict(p_better, p_worse, level, more),
    )


def _verdict(p_better: float, p_worse: float, level: float, more: int | None) -> Verdict:
    if p_better <= level:
        return "helped"
    if p_worse <= level:
        return "worse"
    return "no_difference" if more == 0 else "cannot_tell"


def _level(seen: float) -> float:
    """Return the one-sided level of a look; `seen` is the information so far, 1 at the planned number."""
    # Passing before the planned number and passing after it share the 5 % evenly.
    bound = normal_quantile(1 - ALPHA / 4)
    root = math.sqrt(seen)
    return math.erfc(bound * max(root, 1 / root) / math.sqrt(2)) / 2


def _more(n0: int, n1: int, needed: int) -> int | None:
    """Return how many jobs after the change are missing until there is as much to see as was planned."""
    rest = 2 / needed - 1 / n0
    if rest <= 0:
        return None
    return max(0, math.ceil(1 / rest) - n1)


def _p_below(x0: int, n0: int, x1: int, n1: int) -> float:
    """Return the one-sided p of fewer events after than before: Fisher's, with half of the point itself."""
    total, events = n0 + n1, x0 + x1
    logs = [
        _log_choose(n1, k) + _log_choose(n0, events - k)
        for k in range(max(0, events - n0), min(events, n1) + 1)
    ]
    whole = _log_choose(total, events)
    first = max(0, events - n0)
    chances = [math.exp(log - whole) for log in logs]
    at = x1 - first
    return math.fsum(chances[:at]) + chances[at] / 2


def _log_choose(n: int, k: int) -> float:
    return math.lgamma(n + 1) - math.lgamma(k + 1) - math.lgamma(n - k + 1)
