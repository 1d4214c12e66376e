"""Counts of rare events: their chance, and the limits of the mean behind one.

References
----------
.. [1] F. Garwood, Biometrika 28 (1936) 437-442, exact limits. From memory.
.. [2] K. Gu et al., Biometrical Journal 50 (2008) 283-298, the score test of two rates. Read in statsmodels.
"""

from __future__ import annotations

from math import sqrt

from diagnostics.statistics.quantiles import gamma_quantile
from diagnostics.statistics.tails import normal_above, poisson_tails


def poisson_tail(mean: float, at_least: int) -> float:
    """Return the chance of `at_least` or more events where `mean` are expected."""
    return poisson_tails(at_least - 1, mean)[1]


def poisson_limits(count: int, conf: float = 0.95) -> tuple[float, float]:
    """Return the exact two-sided limits of the mean behind a Poisson count. [1]

    Parameters
    ----------
    count : int
        0 or more.
    conf : float
        Between 0 and 1; at least this often the limits hold the mean. [1]
    """
    side = (1 - conf) / 2
    low = gamma_quantile(side, count) if count else 0.0
    return low, gamma_quantile(side, count + 1, above=True)


def compare_rates(
    count1: int, exposure1: float, count2: int, exposure2: float, alternative: str = "two-sided"
) -> tuple[float, float] | None:
    """Return z and the p-value of two rates compared by the score test [2]; none where nothing was counted.

    Parameters
    ----------
    count1, count2 : int
        Events, 0 or more.
    exposure1, exposure2 : float
        Above 0, in one unit.
    alternative : str
        `larger` or `smaller`: the first rate than the second; else both ways.
    """
    pooled = (count1 + count2) / (exposure1 + exposure2)
    if not pooled:
        return None
    apart = count1 / exposure1 - count2 / exposure2
    z = apart / sqrt(pooled * (1 / exposure1 + 1 / exposure2))
    if alternative == "larger":
        return z, normal_above(z)
    return z, normal_above(-z) if alternative == "smaller" else min(1.0, 2 * normal_above(abs(z)))
