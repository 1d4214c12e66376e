"""Minutes learned from what was really taken: for the work of a test at an open place, for opening a zone.

Minutes are learned on the log scale, because a job goes wrong by a factor and not by a number of minutes:
a panel of ten minutes takes twenty with a rusted screw, a panel of one takes two. What is learned is the
typical time (geometric mean); it lies a little below the arithmetic mean, which costs the plan next to
nothing: minutes off by 30 % cost 1.4 % of the time to the fault [1].

References
----------
.. [1] fault-isolation.md section 12, item 3. Read.
.. [2] P. J. Huber, Robust Statistics, Wiley, 1981: far values are drawn in to a fixed distance, not left out.
   From memory.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import median

from shared.wording import count_text

LEAST_MINUTES = 0.5  # Nothing at a vehicle takes less, the walk to it included. Common practice.
GENERAL_COUNTS_AS = 3.0  # Observations that the general value is worth. Our choice, no source found.
FAR_FACTOR = 3.0  # A time further than this from the middle one was interrupted or mistyped. Our choice.
GENERAL_SPREAD = 1.4  # Factor that holds two in three times, while too few are known. Common practice.


@dataclass(frozen=True, slots=True)
class Learned:
    """Minutes for planning, and what they rest on.

    `value` in minutes; `count` observations; `spread` the factor (1 or more) such that about two in three
    times lie between `value / spread` and `value * spread`.
    """

    value: float
    count: int
    spread: float
    general: float

    @property
    def words(self) -> str:
        """What a person reads beside the minutes: "from 4 jobs, most of them 3 to 6 min"."""
        if not self.count:
            return "general value, not yet timed here"
        low, high = round(self.value / self.spread), round(self.value * self.spread)
        return f"from {count_text(self.count, 'job')}, most of them {max(low, 1)} to {max(high, 1)} min"


def learned(general: float, observed: Sequence[float]) -> Learned:
    """Return the minutes to plan with, from a general value and those really taken.

    Parameters
    ----------
    general : float
        What is taken where nothing was timed. [min], above 0
    observed : floats
        What was really taken, in any order. [min], each above 0

    Returns
    -------
    Learned
        `value` is at least `LEAST_MINUTES`, lies between the least and the greatest of all values given,
        rises with each of them, and tends to what is observed as observations grow in number. One wild
        value cannot move it further than a value of `FAR_FACTOR` times the middle one would. [2]

    Raises
    ------
    ValueError
        If a value is not a finite number above 0.
    """
    logs = [_log(value) for value in observed]
    start = _log(general)
    drawn_in = _drawn_in(start, logs)
    weight = GENERAL_COUNTS_AS + len(logs)
    mean = (GENERAL_COUNTS_AS * start + math.fsum(drawn_in)) / weight
    variance = GENERAL_COUNTS_AS * math.log(GENERAL_SPREAD) ** 2
    variance += math.fsum((value - mean) ** 2 for value in drawn_in)
    return Learned(
        value=max(LEAST_MINUTES, math.exp(mean)),
        count=len(logs),
        spread=math.exp(math.sqrt(variance / weight)),
        general=general,
    )


def shared_out(taken: float, expected: Mapping[str, float]) -> dict[str, float]:
    """Return one stretch of time shared out over what was done in it, in proportion to what was expected.

    Somebody who opens a panel and measures behind it looks at the clock once, at the end.

    Parameters
    ----------
    taken : float
        Minutes for everything together, above 0.
    expected : mapping
        Expected minutes of each part; a part of no minutes is not learned from.

    Returns
    -------
    dict
        Minutes of each part that takes time; they add up to `taken`.
    """
    parts = {name: minutes for name, minutes in expected.items() if minutes > 0}
    whole = math.fsum(parts.values())
    return {name: taken * minutes / whole for name, minutes in parts.items()}


def _drawn_in(start: float, logs: Sequence[float]) -> list[float]:
    """The observations, those far from the middle drawn in. The general value is one of those that the middle
    is taken of: it keeps a single wild observation from being its own middle."""
    middle, far = median([start, *logs]), math.log(FAR_FACTOR)
    return [min(max(value, middle - far), middle + far) for value in logs]


def _log(minutes: float) -> float:
    if not (math.isfinite(minutes) and minutes > 0):
        raise ValueError(f"{minutes:g} is no stretch of time. Minutes must be above 0.")
    return math.log(minutes)
