"""How many clean trials prove a complaint gone, and what clean trials do not exclude."""

from __future__ import annotations

import math
from collections.abc import Iterable
from fractions import Fraction

from diagnostics.evidence.policy import POLICY, Policy
from diagnostics.judging import is_blank
from diagnostics.snapshot import Attempt, Complaint, TrialPlan
from diagnostics.trials.powers import as_written, smallest_power

RISK = 0.05  # Chance that an unrepaired fault shows in none of the trials; practice.md section 8.


def has_valid_plan(plan: TrialPlan | None) -> bool:
    """Return whether a plan counts: at least one trial, under written conditions."""
    return plan is not None and plan.n >= 1 and not is_blank(plan.conditions)


def shown_in_tries(attempts: Iterable[Attempt]) -> tuple[int, int]:
    """Return k and n summed over the attempts that give both; equipment connected or not."""
    known = [(a.k, a.n) for a in attempts if a.k is not None and a.n is not None]
    return sum(k for k, _ in known), sum(n for _, n in known)


def trials_for_rate(shown: int, tries: int, fewest: int = POLICY.fewest_trials, *, risk: float = RISK) -> int:
    """Return how many clean trials show, with 95 % confidence, that a fault of this rate is gone.

    Parameters
    ----------
    shown, tries : int
        The complaint showed `shown` times in `tries` tries before the repair. [1]
    fewest : int
        Never fewer than this. [1]
    risk : float
        Chance that an unrepaired fault of this rate shows in none of them: 1 less the confidence. [1]

    Returns
    -------
    int
        ceil(ln risk / ln(1 - shown/tries)), at least `fewest`. `fewest` itself if the complaint
        showed every time, never, or was not tried. shown/tries is itself uncertain: show it too.

    References
    ----------
    .. [1] practice.md section 8, after Hanley and Lippman-Hand 1983, JAMA 249:1743. From memory.
    """
    if shown <= 0 or tries <= 0 or shown >= tries:
        return fewest
    return max(smallest_power(Fraction(tries - shown, tries), as_written(risk)), fewest)


def trials_needed(
    complaint: Complaint, attempts: Iterable[Attempt] | None = None, *, policy: Policy = POLICY
) -> int:
    """Return the number of clean matching trials that prove this complaint gone.

    Parameters
    ----------
    complaint : Complaint
        A valid plan's n comes first; a constant complaint needs one trial; an intermittent one, or
        one whose pattern is not given, as many as its rate demands.
    attempts : attempts that count, optional
        Leave out those dated after hand-over; the complaint's own, if not given.

    References
    ----------
    practice.md section 8, "Trials needed".
    """
    if complaint.plan is not None and has_valid_plan(complaint.plan):
        return complaint.plan.n
    if complaint.pattern == "constant":
        return 1
    shown, tries = shown_in_tries(complaint.attempts if attempts is None else attempts)
    return trials_for_rate(shown, tries, policy.fewest_trials)


def zero_recurrence_upper(trials: int, *, risk: float = RISK) -> float:
    """Return the upper bound, at 95 %, of the recurrence rate after so many trials without a recurrence.

    Parameters
    ----------
    trials : int
        Clean trials, 0 or more. [1]
    risk : float
        1 less the confidence. [1]

    Returns
    -------
    float
        1 - risk^(1/n), about 3/n; 1 when nothing was tried. [1]

    Raises
    ------
    ValueError
        If `trials` is negative.

    References
    ----------
    .. [1] Hanley and Lippman-Hand 1983, JAMA 249:1743, the rule of three. From memory.
    """
    if trials < 0:
        raise ValueError(f"{trials} trials cannot be. Give 0 or more.")
    return 1.0 if trials == 0 else -math.expm1(math.log(risk) / trials)
