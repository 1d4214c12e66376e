"""The smallest number of clean tries whose chance is small enough, without a slip of rounding."""

from __future__ import annotations

import math
from fractions import Fraction

from diagnostics.statistics.tails import beta_tails

NEAR_WHOLE = 1e-9  # As a share of the number itself; the logarithms are good to about 1e-15.
MOST_DIGITS = 1_000_000  # Of the exact power; beyond that the logarithms decide.
MOST_SUMMED = 500  # Tries whose chance is summed exactly where it is close.
DUST = 1e-12


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


def tries_to_show(share: Fraction, limit: Fraction, faults: int) -> int:
    """Return the smallest n, more than `faults`, of which up to `faults` have at most the chance `limit`.

    Parameters
    ----------
    share : Fraction
        Chance that one try stays clean, above 0 and below 1. [1]
    limit : Fraction
        Above 0, at most 1. [1]
    faults : int
        0 or more. Where the chance is nearly the limit and the numbers are small it is summed exactly.
    """
    if not faults:
        return smallest_power(share, limit)
    low, high = faults, 2 * faults + 1
    while not _is_rare(share, limit, faults, high):
        low, high = high, 2 * high
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if _is_rare(share, limit, faults, middle) else (middle, high)
    return high


def pieces_to_show(share: Fraction, limit: Fraction, lifetimes: float) -> int:
    """Return the smallest n with share to the power of n `lifetimes` at most `limit`."""
    if lifetimes == int(lifetimes):
        return math.ceil(Fraction(smallest_power(share, limit), int(lifetimes)))
    quotient = _log(limit) / _log(share) / lifetimes
    return max(math.ceil(quotient * (1 - DUST)), 1)


def as_written(number: float) -> Fraction:
    """Return a number as its digits say: 0.05 is one twentieth, which the float is not."""
    return Fraction(repr(float(number)))


def _is_rare(share: Fraction, limit: Fraction, faults: int, tries: int) -> bool:
    # P(faults or fewer of tries), by the share of a beta distribution below the chance of a clean try.
    chance = beta_tails(float(share), tries - faults, faults + 1, float(1 - share))[0]
    if abs(chance - limit) <= NEAR_WHOLE * limit and tries <= MOST_SUMMED:
        return _exact(share, faults, tries) <= limit
    return chance <= limit


def _exact(share: Fraction, faults: int, tries: int) -> Fraction:
    return sum(
        (math.comb(tries, k) * (1 - share) ** k * share ** (tries - k) for k in range(faults + 1)),
        start=Fraction(0),
    )


def _log(share: Fraction) -> float:
    # Near 1 the logarithm of the float would lose digits.
    return math.log1p(float(share - 1)) if share > Fraction(1, 2) else math.log(share)
