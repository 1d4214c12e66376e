"""The smallest number of clean tries whose chance is small enough, without a slip of rounding."""

from __future__ import annotations

import math
from fractions import Fraction

NEAR_WHOLE = 1e-9  # As a share of the number itself; the logarithms are good to about 1e-15.
MOST_DIGITS = 1_000_000  # Of the exact power; beyond that the logarithms decide.


def smallest_power(share: Fraction, limit: Fraction) -> int:
    """Return the smallest n, 1 or more, with share to the power of n at most `limit`.

    Parameters
    ----------
    share : Fraction
        Chance that one try stays clean, above 0 and below 1. [1]
    limit : Fraction
        Above 0, at most 1. [1]

    Returns
    -------
    int
        ceil(ln limit / ln share). Where the quotient is nearly whole the powers are compared exactly.

    Raises
    ------
    ValueError
        If `share` or `limit` is outside its range.
    """
    if not 0 < share < 1:
        raise ValueError("The chance of a clean try must lie between 0 and 1.")
    if not 0 < limit <= 1:
        raise ValueError("The chance to allow must be above 0, up to 1.")
    quotient = _log(limit) / _log(share)
    nearest = max(round(quotient), 1)
    is_near = abs(quotient - nearest) <= NEAR_WHOLE * max(nearest, 1)
    if is_near and nearest * share.denominator.bit_length() <= MOST_DIGITS:
        return nearest if share**nearest <= limit else nearest + 1
    return max(math.ceil(quotient), 1)


def as_written(number: float) -> Fraction:
    """Return a number as its digits say: 0.05 is one twentieth, which the float is not."""
    return Fraction(repr(float(number)))


def _log(share: Fraction) -> float:
    # Near 1 the logarithm of the float would lose digits.
    return math.log1p(float(share - 1)) if share > Fraction(1, 2) else math.log(share)
