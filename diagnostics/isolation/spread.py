"""How the minutes of a plan are spread: the chance to have found the fault by a time."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

import numpy as np

from diagnostics.isolation.plan import STOP, Plan
from diagnostics.isolation.problem import Floats

_NEVER_MIND = 1e-9  # Ways through the plan less likely than this are not followed; they count as not found.
_DIGITS = 6  # Minutes that agree so far are one time.


@dataclass(frozen=True, eq=False)
class Spread:
    """Times at which the plan ends, in rising order, and the chance to have named the right group by each."""

    minutes: Floats
    found: Floats

    def within(self, minutes: float) -> float:
        """Chance that the plan has ended with the right group by then."""
        at = int(np.searchsorted(self.minutes, minutes + 10.0**-_DIGITS, side="right"))
        return float(self.found[at - 1]) if at else 0.0

    def minutes_by(self, share: float) -> float:
        """Minutes by which that share of such faults is found; inf where it never is."""
        at = int(np.searchsorted(self.found, share - 1e-12))
        return float(self.minutes[at]) if at < len(self.minutes) else float("inf")


def spread(plan: Plan, start: int, first: int | None = None) -> Spread:
    """Walk the plan from one of its states and collect when it ends and how often rightly.

    `first`: the test to begin with, by its place; by default the one the plan chooses.
    """
    ends: dict[float, float] = defaultdict(float)
    front: dict[tuple[int, float], float] = {(start, 0.0): 1.0}
    right = plan.problem.group_chances(plan.states.belief).max(axis=1)
    while front:
        ahead: dict[tuple[int, float], float] = defaultdict(float)
        for (state, spent), chance in front.items():
            test = int(plan.choice[state]) if first is None else first
            if test == STOP:
                ends[spent] += chance * float(right[state])
                continue
            then = round(spent + float(plan.price[state, test]), _DIGITS)
            _, chances, children = plan.edges_of(state, test)
            for share, child in zip(chances.tolist(), children.tolist(), strict=True):
                if chance * share > _NEVER_MIND:
                    ahead[child, then] += chance * share
        front, first = ahead, None
    minutes = np.array(sorted(ends))
    return Spread(minutes, np.cumsum([ends[each] for each in minutes.tolist()]))
