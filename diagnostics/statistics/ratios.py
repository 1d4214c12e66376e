"""How many times as often: the ratio of two shares, and of two odds, with their intervals.

References
----------
.. [1] D. Katz et al., Biometrics 34 (1978) 469-474. From memory.
.. [2] P. A. R. Koopman, Biometrics 40 (1984) 513-517. From memory.
.. [3] B. Woolf, Annals of Human Genetics 19 (1955) 251-253. From memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from diagnostics.statistics.quantiles import two_sided


@dataclass(frozen=True, slots=True)
class Ratio:
    """One share (or odds) over another, 0 or more. None where undefined; `high` None where it has no end."""

    value: float | None
    low: float | None
    high: float | None


def katz(x1: int, n1: int, x2: int, n2: int, conf: float = 0.95) -> Ratio:
    """Return x1 of n1 over x2 of n2 with the interval on the scale of logarithms. [1]

    The interval is undefined where a count is 0. Where all on both sides showed it, it shrinks to a point.

    Raises
    ------
    ValueError
        If a count is not among its number or a number is below 1.
    """
    value = _over(x1, n1, x2, n2)
    z = two_sided(conf)
    if not (x1 and x2 and value):
        return Ratio(value, None, None)
    # 1/x - 1/n, without taking one from nearly the same.
    spread = z * math.sqrt((n1 - x1) / (x1 * n1) + (n2 - x2) / (x2 * n2))
    return Ratio(value, value * math.exp(-spread), value * math.exp(spread))


def koopman(x1: int, n1: int, x2: int, n2: int, conf: float = 0.95) -> Ratio:
    """Return x1 of n1 over x2 of n2 with the score interval, which holds with zeros and small counts. [2]

    It has no high end where x2 is 0, and starts at 0 where x1 is 0. Raises as `katz`.
    """
    value = _over(x1, n1, x2, n2)
    z = two_sided(conf)
    low = _score_low(x1, n1, x2, n2, z) if x1 else 0.0
    high = 1 / _score_low(x2, n2, x1, n1, z) if x2 else None
    return Ratio(value, low, high)


def risk_ratio(x1: int, n1: int, x2: int, n2: int, conf: float = 0.95) -> Ratio:
    """Return the ratio by `katz` where that is defined, else by `koopman`."""
    has_katz = x1 > 0 and x2 > 0 and (x1 < n1 or x2 < n2)
    return (katz if has_katz else koopman)(x1, n1, x2, n2, conf)


def odds_ratio(a: int, b: int, c: int, d: int, conf: float = 0.95) -> Ratio:
    """Return (a/b) / (c/d) with the interval on the scale of logarithms, undefined where a count is 0. [3]

    It lies further from 1 than the ratio of shares; never say "times as likely" of it.
    """
    if min(a, b, c, d) < 0:
        raise ValueError("A count is 0 or more.")
    z = two_sided(conf)
    if not (b and c):
        return Ratio(None, None, None)
    value = (a / b) * (d / c)
    if not (a and d):
        return Ratio(value, None, None)
    spread = z * math.sqrt(1 / a + 1 / b + 1 / c + 1 / d)
    return Ratio(value, value * math.exp(-spread), value * math.exp(spread))


def _over(x1: int, n1: int, x2: int, n2: int) -> float | None:
    for x, n in ((x1, n1), (x2, n2)):
        if n < 1:
            raise ValueError(f"A share of {n} has no interval. Count at least one.")
        if not 0 <= x <= n:
            raise ValueError(f"{x} of {n} is no share. Count between 0 and {n}.")
    return (x1 * n2) / (x2 * n1) if x2 else None


def _score_low(x1: int, n1: int, x2: int, n2: int, z: float) -> float:
    """The ratio below the observed one whose score is z, for x1 above 0; by halving its logarithm."""
    top = x1 * n2 / (x2 * n1) if x2 else n1 * n2 * (1 + z * z)
    high = math.log(top)
    width = 1.0
    while _score(math.exp(high - width), x1, n1, x2, n2) < z:
        width *= 2
    low = high - width
    for _ in range(200):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        low, high = (middle, high) if _score(math.exp(middle), x1, n1, x2, n2) > z else (low, middle)
    return math.exp((low + high) / 2)


def _score(ratio: float, x1: int, n1: int, x2: int, n2: int) -> float:
    """How many standard errors the shares lie apart, if the true ratio were this one."""
    cross, own = ratio * (n1 + x2), n2 + x1
    # The discriminant as a sum of what is not below 0.
    root = math.hypot(cross - own, 2 * math.sqrt(ratio) * math.sqrt((n1 - x1) * (n2 - x2)))
    p2 = min(1.0, 2 * (x1 + x2) / (cross + own + root))
    p1 = min(1.0, ratio * p2)
    variance = p1 * (1 - p1) / n1 + ratio * ratio * p2 * (1 - p2) / n2
    apart = x1 / n1 - ratio * x2 / n2
    if variance <= 0:
        return math.copysign(math.inf, apart) if apart else 0.0
    return apart / math.sqrt(variance)
