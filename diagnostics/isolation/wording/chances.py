"""The chance to be done in time, and what a choice costs, in one sentence each."""

from __future__ import annotations

import math
from typing import Protocol

from diagnostics.isolation.wording.figures import SAME, is_tie, minutes, more, percent


class Timed(Protocol):
    """Whatever knows by when a fault is found: an advice, or a route."""

    def within(self, minutes: float) -> float:
        """Probability that it has ended at the right group by then."""

    def minutes_by(self, share: float) -> float:
        """Minutes by which that share of cases is found; infinite when never."""


def found_within(plan: Timed, more_minutes: float) -> str:
    """Return the chance for the customer's decision: "61 % to find it within 30 more minutes"."""
    return f"{percent(plan.within(more_minutes))} to find it within {more_minutes:g} more minutes"


def found_by(plan: Timed) -> str:
    """Return the spread: "Half of such faults are found by 25 min, nine in ten by 70"."""
    half, most = plan.minutes_by(0.5), plan.minutes_by(0.9)
    if math.isinf(half):
        return "Fewer than half of such faults are found with these tests."
    if math.isinf(most):
        told = "with these tests fewer than nine in ten are"
        return f"Half of such faults are found by {minutes(half)}; {told}."
    if minutes(half) == minutes(most):
        return f"Nine in ten of such faults are found by {minutes(most)}."
    return f"Half of such faults are found by {minutes(half)}, nine in ten by {minutes(most)}."


def cost_in_words(chosen: float, best: float) -> str:
    """Return what a choice costs against the best: "about 4 min more on average", or that it is the same."""
    return SAME if is_tie(chosen, best) else more(chosen - best)
