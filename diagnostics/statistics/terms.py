"""Single terms of the binomial and Poisson distributions, exact for small counts and for millions.

A term by way of three large logarithms of factorials loses nine digits at a million. The saddle-point form
splits it into a small correction of Stirling's formula and the deviance, and keeps all of them.

References
----------
.. [1] C. Loader, Fast and Accurate Computation of Binomial Probabilities, 2000. From memory.
"""

from __future__ import annotations

import math

_STIRLING = (1 / 12, -1 / 360, 1 / 1260, -1 / 1680, 1 / 1188, -691 / 360360, 1 / 156)
_SERIES_FROM = 15.0
_HALF_LOG_2PI = 0.5 * math.log(2 * math.pi)


def stirling_error(n: float) -> float:
    """Return ln n! less Stirling's formula, for n above 0, whole or not. [1]"""
    if n < _SERIES_FROM:
        return math.lgamma(n + 1) - (n + 0.5) * math.log(n) + n - _HALF_LOG_2PI
    total, square = 0.0, n * n
    for share in reversed(_STIRLING):
        total = total / square + share
    return total / n


def deviance(x: float, mean: float) -> float:
    """Return x ln(x / mean) + mean - x, 0 or more, for `x` and `mean` above 0. [1]"""
    if abs(x - mean) >= 0.1 * (x + mean):
        return x * math.log(x / mean) + mean - x
    # Near the mean the two parts cancel; the series in v does not.
    v = (x - mean) / (x + mean)
    total, term, odd = (x - mean) * v, 2 * x * v, 1
    while True:
        term *= v * v
        odd += 2
        longer = total + term / odd
        if longer == total:
            return total
        total = longer


def binomial_term(a: float, b: float, p: float, q: float) -> float:
    """Return (a+b)! / (a! b!) p^a q^b for `a` and `b` 0 or more, whole or not.

    Parameters
    ----------
    p, q : float
        Above 0; they sum to 1. Both are asked for: 1 - p would lose the digits of a small q.
    """
    n = a + b
    if not (a and b):
        return math.exp(-_part(a, n * p) - _part(b, n * q))
    log = stirling_error(n) - stirling_error(a) - stirling_error(b) - deviance(a, n * p) - deviance(b, n * q)
    return math.exp(log) * math.sqrt(n / (2 * math.pi * a) / b)


def poisson_term(x: float, mean: float) -> float:
    """Return e^-mean mean^x / x! for `x` and `mean` above 0, whole or not."""
    return math.exp(-stirling_error(x) - deviance(x, mean)) / math.sqrt(2 * math.pi * x)


def _part(x: float, mean: float) -> float:
    return deviance(x, mean) if x else mean
