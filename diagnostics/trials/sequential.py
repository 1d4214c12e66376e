"""The sequential probability ratio test: stop as soon as the tries say enough.

For one intermittent fault the first recurrence ends the matter, so it says how long a clean run must be;
it helps more where many vehicles of one kind are tried.

References
----------
.. [1] A. Wald, Sequential Analysis, Wiley, 1947. From memory.
.. [2] NIST/SEMATECH e-Handbook of Statistical Methods, section 6.2.6. From memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

Decision = Literal["accept", "reject", "go on"]


@dataclass(frozen=True, slots=True)
class SequentialPlan:
    """Two parallel lines over the number of tries: accept below -h1 + slope n, reject above h2 + slope n."""

    h1: float
    h2: float
    slope: float

    def accept_at(self, tries: int) -> int | None:
        """The most faults at which to accept after so many tries; none where it is too early."""
        faults = math.floor(self.slope * tries - self.h1)
        return faults if faults >= 0 else None

    def reject_at(self, tries: int) -> int:
        """The fewest faults at which to reject after so many tries; more than the tries: too early."""
        return math.ceil(self.slope * tries + self.h2)

    @property
    def clean_needed(self) -> int:
        """How long a run without a fault must be to accept."""
        return math.ceil(self.h1 / self.slope)

    def decide(self, tries: int, faults: int) -> Decision:
        """What so many faults in so many tries say."""
        accept = self.accept_at(tries)
        if accept is not None and faults <= accept:
            return "accept"
        return "reject" if faults >= self.reject_at(tries) else "go on"


def plan(accepted: float, refused: float, alpha: float = 0.05, beta: float = 0.05) -> SequentialPlan:
    """Return the plan that tells an accepted rate from a refused one.

    Parameters
    ----------
    accepted, refused : float
        Rates of the fault in one try, 0 < accepted < refused < 1. [1]
    alpha, beta : float
        Risk of rejecting the accepted rate, and of accepting the refused one; nominal, by Wald's
        approximation; together below 1. [1]
    """
    k = math.log(refused * (1 - accepted) / (accepted * (1 - refused)))
    return SequentialPlan(
        math.log((1 - alpha) / beta) / k,
        math.log((1 - beta) / alpha) / k,
        math.log((1 - accepted) / (1 - refused)) / k,
    )
