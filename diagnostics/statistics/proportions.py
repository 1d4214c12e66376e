"""Shares of a count, how sure a share is, and how far two shares lie apart.

References
----------
.. [1] E. B. Wilson, J. Amer. Statist. Assoc. 22 (1927) 209-212. From memory.
.. [2] R. G. Newcombe, Statistics in Medicine 17 (1998) 857-872, methods 3 and 5. From memory.
.. [3] R. G. Newcombe, Statistics in Medicine 17 (1998) 873-890, method 10. From memory.
.. [4] L. D. Brown, T. T. Cai and A. DasGupta, Statistical Science 16 (2001) 101-133. From memory.
.. [5] A. Agresti and B. A. Coull, The American Statistician 52 (1998) 119-126. From memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from diagnostics.statistics.quantiles import beta_quantile, two_sided
from diagnostics.statistics.tails import normal_above

Interval = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Proportion:
    """`count` of `of`, with the ends of its interval. [1]"""

    count: int
    of: int
    low: float
    high: float

    @property
    def share(self) -> float:
        """The share itself. [1]"""
        return self.count / self.of


@dataclass(frozen=True, slots=True)
class Difference:
    """One share less another, -1 to 1, with the ends of its interval. [1]"""

    value: float
    low: float
    high: float


def wilson(count: int, of: int, conf: float = 0.95) -> Interval:
    """Return the two ends of the Wilson score interval of a proportion. [1, 2]

    Parameters
    ----------
    count : int
        How many of them showed it, 0 to `of`.
    of : int
        How many there were, at least 1; each counted alike and independent of the others.
    conf : float
        Nominal two-sided coverage, between 0 and 1. [1]

    Returns
    -------
    tuple of two floats
        Low and high end, 0 to 1; exactly 0 at none and exactly 1 at all. Coverage is nominal, not
        guaranteed: near 6 % and 10 to 200 orders it lies between 0.95 and 0.98.

    Raises
    ------
    ValueError
        If there were none at all, `count` is not among them, or `conf` is no share between 0 and 1.
    """
    _check(count, of)
    z = two_sided(conf)
    p = count / of
    whole = 1 + z * z / of
    high = (p + z * z / (2 * of) + z * sqrt(p * (1 - p) / of + z * z / (4 * of * of))) / whole
    # The ends multiply to p^2 / whole: nothing is taken from nearly the same.
    low = p * p / whole / high
    return low, 1.0 if count == of else min(1.0, high)


def proportion(count: int, of: int, conf: float = 0.95) -> Proportion:
    """Return `count` of `of` with its Wilson interval; refuses what `wilson` refuses."""
    low, high = wilson(count, of, conf)
    return Proportion(count, of, low, high)


def clopper_pearson(count: int, of: int, conf: float = 0.95) -> Interval:
    """Return the exact limits of a proportion, which hold it at least as often as `conf`; as `wilson`. [2]"""
    _check(count, of)
    side = _side(conf)
    low = beta_quantile(side, count, of - count + 1) if count else 0.0
    high = beta_quantile(side, count + 1, of - count, above=True) if count < of else 1.0
    return low, high


def jeffreys(count: int, of: int, conf: float = 0.95) -> Interval:
    """Return the middle of the posterior under Jeffreys' prior, Beta(1/2, 1/2); as `wilson`.

    At none the low end is 0 and at all the high end is 1. [4]
    """
    _check(count, of)
    side, a, b = _side(conf), count + 0.5, of - count + 0.5
    low = beta_quantile(side, a, b) if count else 0.0
    high = beta_quantile(side, a, b, above=True) if count < of else 1.0
    return low, high


def agresti_coull(count: int, of: int, conf: float = 0.95) -> Interval:
    """Return the interval about the share with z^2/2 added to both sides; it may leave 0 to 1. [5]"""
    _check(count, of)
    z = two_sided(conf)
    n = of + z * z
    p = (count + z * z / 2) / n
    half = z * sqrt(p * (1 - p) / n)
    return p - half, p + half


def wald(count: int, of: int, conf: float = 0.95) -> Interval:
    """Return the textbook interval, for comparison only: it covers too little and may leave 0 to 1. [4]"""
    _check(count, of)
    p = count / of
    half = two_sided(conf) * sqrt(p * (1 - p) / of)
    return p - half, p + half


def newcombe(x1: int, n1: int, x2: int, n2: int, conf: float = 0.95) -> Difference:
    """Return x1 of n1 less x2 of n2, with the hybrid score interval; refuses what `wilson` refuses. [3]"""
    (l1, u1), (l2, u2) = wilson(x1, n1, conf), wilson(x2, n2, conf)
    p1, p2 = x1 / n1, x2 / n2
    value = (x1 * n2 - x2 * n1) / (n1 * n2)
    low = value - sqrt((p1 - l1) ** 2 + (u2 - p2) ** 2)
    high = value + sqrt((u1 - p1) ** 2 + (p2 - l2) ** 2)
    return Difference(value, max(-1.0, low), min(1.0, high))


def against(count: int, of: int, share: float) -> tuple[float, float]:
    """Return z and the two-sided p-value of a proportion against a `share` set beforehand, 0 < share < 1."""
    _check(count, of)
    z = (count - of * share) / sqrt(of * share * (1 - share))
    return z, min(1.0, 2 * normal_above(abs(z)))


def _side(conf: float) -> float:
    two_sided(conf)  # Refuses what is no confidence.
    return (1 - conf) / 2


def _check(count: int, of: int) -> None:
    if of < 1:
        raise ValueError(f"A share of {of} has no interval. Count at least one.")
    if not 0 <= count <= of:
        raise ValueError(f"{count} of {of} is no share. Count between 0 and {of}.")
