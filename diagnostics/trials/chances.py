"""Chances of clean runs, where the rate of the fault is known from a count only. Plain formulas, no library.

References
----------
.. [1] statistics.md section 3.10, after the beta-binomial predictive distribution. Read.
.. [2] J. Przyborowski and H. Wilenski, Biometrika 31 (1940) 313-323, two Poisson counts compared by the
   binomial. From memory.
"""

from __future__ import annotations

import math

MOST_FACTORS = 1000
MOST_TRIALS = 10_000_000


def clean_run(shown: int, tries: int, clean: int, *, prior: float = 1.0) -> float:
    """Return the chance of a clean run if nothing was changed, where the rate is only known from a count. [1]

    Parameters
    ----------
    shown, tries : int
        It showed `shown` times in `tries` tries before; 0 to `tries`.
    clean : int
        Tries of the clean run, 0 or more.
    prior : float
        Both parameters of the beta prior of the rate: 1 uniform, 1/2 Jeffreys.

    Returns
    -------
    float
        B(shown + prior, tries - shown + prior + clean) / B(shown + prior, tries - shown + prior). [1]
    """
    a, b = shown + prior, tries - shown + prior
    if prior == 1.0 and a <= MOST_FACTORS:
        # The quotient of the betas as a product of a factors: no difference of large logarithms.
        return math.exp(math.fsum(math.log1p(-clean / (b + clean + step)) for step in range(int(a))))
    logs = (math.lgamma(b + clean), math.lgamma(a + b), -math.lgamma(a + b + clean), -math.lgamma(b))
    return math.exp(min(0.0, math.fsum(logs)))


def clean_run_needed(shown: int, tries: int, chance: float) -> int | None:
    """Return the smallest clean run with at most this chance if nothing was changed; none where it is out of
    reach (never shown, or more than ten million tries)."""
    if shown < 1 or clean_run(shown, tries, MOST_TRIALS) > chance:
        return None
    low, high = 0, MOST_TRIALS  # The chance falls with each try: low is not enough, high is.
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if clean_run(shown, tries, middle) <= chance else (middle, high)
    return high


def clean_time(faults: int, over: float, clean_for: float) -> float:
    """Return the chance that all of `faults` fell before a repair that changed nothing. [2]

    Given `faults` in all, each falls into the time before with the share of that time:
    (over / (over + clean_for)) to the power of `faults`. Both times in one unit.
    """
    return math.exp(-faults * math.log1p(clean_for / over))
