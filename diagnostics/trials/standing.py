"""Where the proof of one intermittent complaint stands: trials needed, done, and what they show.

References
----------
.. [1] practice.md section 8: the rule's number and the bound of zero recurrences.
.. [2] statistics.md section 3.10: the predictive chance of a clean run; words never to say.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from diagnostics.evidence.trials import RISK, trials_for_rate, zero_recurrence_upper
from diagnostics.statistics.proportions import wilson
from diagnostics.trials import chances
from diagnostics.trials.powers import as_written, smallest_power

FEWEST = 3  # Never fewer; practice.md section 8, policy.


@dataclass(frozen=True, slots=True)
class Standing:
    """Trials of one complaint after its repair, against what it showed before.

    `by_rule` counts for the chain (practice.md section 8); `fewest` to `most` is what the rule would ask over
    the interval of the rate (none where the rate has no such end), `predictive` what is needed when the
    uncertainty of the rate is counted in (none where it never showed: no number of trials can say).
    """

    shown: int
    tries: int
    clean: int
    recurrences: int
    risk: float
    by_rule: int
    rate: tuple[float, float] | None
    fewest: int | None
    most: int | None
    predictive: int | None

    @property
    def confidence(self) -> float:
        return 1 - self.risk

    @property
    def remaining(self) -> int:
        """Trials still to do by the rule, with credit for those done. [1]"""
        return max(0, self.by_rule - self.clean)

    @property
    def remaining_predictive(self) -> int | None:
        """Trials still to do by the predictive number. [1]"""
        return None if self.predictive is None else max(0, self.predictive - self.clean)

    @property
    def upper(self) -> float:
        """The rate that the clean trials do not exclude. [1]"""
        return zero_recurrence_upper(self.clean, risk=self.risk)

    @property
    def at_face_value(self) -> float | None:
        """Chance of so clean a run if nothing was fixed, were the rate exactly k of n. [1]"""
        return (1 - self.shown / self.tries) ** self.clean if self.shown else None

    @property
    def if_nothing_fixed(self) -> float | None:
        """The same with the rate as uncertain as its count leaves it. [1]"""
        return chances.clean_run(self.shown, self.tries, self.clean) if self.shown else None


def standing(
    shown: int,
    tries: int,
    clean: int = 0,
    *,
    recurrences: int = 0,
    risk: float = RISK,
    by_rule: int | None = None,
    floor: int = FEWEST,
) -> Standing:
    """Return where the proof stands.

    Parameters
    ----------
    shown, tries : int
        The complaint showed `shown` times in `tries` tries before the repair; 0 to `tries`. [1]
    clean : int
        Clean trials since the last recurrence, under the complaint's own conditions. [1]
    recurrences : int
        How often it came back in the last trials; any makes every number idle. [1]
    risk : float
        1 less the confidence, between 0 and 1. [1]
    by_rule : int, optional
        The number that counts, where a plan or a constant complaint sets another.
    floor : int
        Never fewer trials than this. [1]

    Raises
    ------
    ValueError
        If a count is negative, `shown` is more than `tries`, or `risk` is no share.
    """
    if min(shown, tries, clean, recurrences) < 0 or shown > tries:
        raise ValueError(f"It cannot show {shown} times in {tries} tries. Count each try once.")
    if not 0 < risk < 1:
        raise ValueError(f"{1 - risk:g} is no confidence. Use a share between 0 and 1, such as 0.95.")
    number = trials_for_rate(shown, tries, floor, risk=risk) if by_rule is None else by_rule
    rate = wilson(shown, tries, 1 - risk) if tries else None
    predictive = chances.clean_run_needed(shown, tries, risk)
    return Standing(
        shown,
        tries,
        clean,
        recurrences,
        risk,
        number,
        rate,
        _trials_at(rate[1], risk, floor) if rate and shown else None,
        _trials_at(rate[0], risk, floor) if rate and shown else None,
        None if predictive is None else max(predictive, floor),
    )


@dataclass(frozen=True, slots=True)
class TimeStanding:
    """A fault counted over time or distance: `faults` in `over`, then `clean_for` without one; one unit."""

    faults: int
    over: float
    clean_for: float
    risk: float

    @property
    def needed_at_face_value(self) -> float | None:
        """Clean time after which a fault of exactly this rate would have shown; exp(-rate t) = risk."""
        return self.over * -math.log(self.risk) / self.faults if self.faults else None

    @property
    def needed(self) -> float | None:
        """The same with the rate as uncertain as its count leaves it: 19 times `over` for one fault."""
        return self.over * math.expm1(-math.log(self.risk) / self.faults) if self.faults else None

    @property
    def remaining(self) -> float | None:
        """Clean time still to come, with credit for the time so far."""
        return None if self.needed is None else max(0.0, self.needed - self.clean_for)

    @property
    def at_face_value(self) -> float | None:
        """Chance of so long a clean time if nothing was fixed, were the rate exact. [1]"""
        return math.exp(-self.faults * self.clean_for / self.over) if self.faults else None

    @property
    def if_nothing_fixed(self) -> float | None:
        """The same with the rate as uncertain as its count leaves it. [1]"""
        return chances.clean_time(self.faults, self.over, self.clean_for) if self.faults else None

    @property
    def upper_rate(self) -> float | None:
        """Faults per unit that the clean time does not exclude: ln(1/risk) / time, the zero-failure bound."""
        return -math.log(self.risk) / self.clean_for if self.clean_for else None

    @property
    def between_at_least(self) -> float:
        """Mean distance between faults that the clean time shows, in the unit of `over`."""
        return self.clean_for / -math.log(self.risk)


def time_standing(faults: int, over: float, clean_for: float = 0.0, *, risk: float = RISK) -> TimeStanding:
    """Return where the proof of a fault in time or distance stands.

    Raises
    ------
    ValueError
        If `faults` or `clean_for` is negative, `over` is not above 0, or `risk` is no share.
    """
    if faults < 0 or clean_for < 0 or not over > 0:
        raise ValueError("Count faults over a time above 0, and clean time of 0 or more.")
    if not 0 < risk < 1:
        raise ValueError(f"{1 - risk:g} is no confidence. Use a share between 0 and 1, such as 0.95.")
    return TimeStanding(faults, over, clean_for, risk)


def _trials_at(rate: float, risk: float, floor: int) -> int | None:
    if rate <= 0:
        return None
    return floor if rate >= 1 else max(floor, smallest_power(1 - as_written(rate), as_written(risk)))
