"""Chances of counts: clean runs, Poisson tails, two-by-two tables. Plain formulas, no tables, no library.

References
----------
.. [1] W. H. Press et al., Numerical Recipes, 3rd ed., 2007, section 6.2 (incomplete gamma). From memory.
.. [2] statistics.md section 3.10, after the beta-binomial predictive distribution. Read.
.. [3] R. A. Fisher, The Design of Experiments, 1935, chapter 2. From memory.
.. [4] F. Garwood, Biometrika 28 (1936) 437-442, exact limits of a Poisson count. From memory.
.. [5] J. Przyborowski and H. Wilenski, Biometrika 31 (1940) 313-323, two Poisson counts compared by the
   binomial. From memory.
"""

from __future__ import annotations

import math
from typing import Literal

Alternative = Literal["two-sided", "greater", "less"]

SMALL = 1e-300
CLOSE = 1e-16
MOST_TERMS = 1_000_000
MOST_FACTORS = 1000
MOST_TRIALS = 10_000_000
TIE = 1e-7  # Two tables of equal chance may differ by rounding; the same slack as in R's fisher.test.


def gamma_share(shape: float, at: float) -> float:
    """Return the lower regularised incomplete gamma function P(shape, at), 0 to 1. [1]

    Parameters
    ----------
    shape : float
        Above 0.
    at : float
        0 or more.

    Returns
    -------
    float
        Good to about 1e-14 times the root of `shape`.
    """
    if at <= 0:
        return 0.0
    scale = math.exp(shape * math.log(at) - at - math.lgamma(shape))
    if at < shape + 1:
        return min(1.0, scale * _series(shape, at))
    return max(0.0, 1.0 - scale * _fraction(shape, at))


def _series(shape: float, at: float) -> float:
    term = total = 1 / shape
    for step in range(1, MOST_TERMS):
        term *= at / (shape + step)
        total += term
        if term < total * CLOSE:
            break
    return total


def _fraction(shape: float, at: float) -> float:
    """Lentz's method for the continued fraction of the upper part."""
    b = at + 1 - shape
    c, d = 1 / SMALL, 1 / b
    product = d
    for step in range(1, MOST_TERMS):
        a = -step * (step - shape)
        b += 2
        d = 1 / _away_from_zero(a * d + b)
        c = _away_from_zero(b + a / c)
        product *= d * c
        if abs(d * c - 1) < CLOSE * 10:
            break
    return product


def _away_from_zero(value: float) -> float:
    return value if abs(value) > SMALL else SMALL


def poisson_tail(mean: float, at_least: int) -> float:
    """Return the chance of `at_least` or more events where `mean` are expected. [1]"""
    return 1.0 if at_least <= 0 else gamma_share(at_least, mean)


def poisson_limits(count: int, confidence: float = 0.95) -> tuple[float, float]:
    """Return the exact two-sided limits of the mean behind a Poisson count. [4]

    Parameters
    ----------
    count : int
        0 or more.
    confidence : float
        Between 0 and 1; at least this often the limits hold the mean. [1]
    """
    side = (1 - confidence) / 2
    low = 0.0 if count == 0 else _mean_with_tail(count, side)
    return low, _mean_with_tail(count + 1, 1 - side)


def _mean_with_tail(at_least: int, chance: float) -> float:
    """The mean at which this many or more events have this chance; by halving."""
    low, high = 0.0, max(1.0, 2.0 * at_least)
    while gamma_share(at_least, high) < chance:
        high *= 2
    for _ in range(200):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        low, high = (middle, high) if gamma_share(at_least, middle) < chance else (low, middle)
    return (low + high) / 2


def clean_run(shown: int, tries: int, clean: int, *, prior: float = 1.0) -> float:
    """Return the chance of a clean run if nothing was changed, where the rate is only known from a count. [2]

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
    """Return the chance that all of `faults` fell before a repair that changed nothing. [5]

    Given `faults` in all, each falls into the time before with the share of that time:
    (over / (over + clean_for)) to the power of `faults`. Both times in one unit.
    """
    return math.exp(-faults * math.log1p(clean_for / over))


def fisher(table: tuple[tuple[int, int], tuple[int, int]], alternative: Alternative = "two-sided") -> float:
    """Return the p-value of Fisher's exact test of a two-by-two table. [3]

    Parameters
    ----------
    table : two rows of two counts
        Each 0 or more.
    alternative : str
        `greater`: as many or more in the first cell, given all margins; `less`: as many or fewer;
        `two-sided`: all tables that are no more probable than this one.

    Returns
    -------
    float
        0 to 1; 1 where a margin is empty.
    """
    (a, b), (c, d) = table
    first, column, total = a + b, a + c, a + b + c + d
    lowest, highest = max(0, column - (total - first)), min(first, column)
    every = math.lgamma(total + 1) - math.lgamma(column + 1) - math.lgamma(total - column + 1)
    chances = {
        x: math.exp(_log_choose(first, x) + _log_choose(total - first, column - x) - every)
        for x in range(lowest, highest + 1)
    }
    if alternative == "two-sided":
        most = chances[a] * (1 + TIE)
        return min(1.0, math.fsum(chance for chance in chances.values() if chance <= most))
    ends = range(a, highest + 1) if alternative == "greater" else range(lowest, a + 1)
    return min(1.0, math.fsum(chances[x] for x in ends))


def _log_choose(of: int, taken: int) -> float:
    return math.lgamma(of + 1) - math.lgamma(taken + 1) - math.lgamma(of - taken + 1)
