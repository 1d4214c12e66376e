"""Both tails of the usual distributions: the share at or below a value, and the share above it.

Both come out, because one minus a share near 1 has lost the digits of the small tail.

References
----------
.. [1] W. H. Press et al., Numerical Recipes, 3rd ed., 2007, section 6.2 (series and continued
   fraction of the incomplete gamma function). From memory.
.. [2] A. R. DiDonato and A. H. Morris, ACM Trans. Math. Softw. 18 (1992) 360-373, equation 9 and algorithm
   BFRAC (incomplete beta function). From memory.
"""

from __future__ import annotations

import math

from diagnostics.statistics.terms import binomial_term, poisson_term

_TINY = 1e-300
_CLOSE = 4e-16
_MOST_STEPS = 1_000_000


def normal_above(z: float) -> float:
    """Return the share of a standard normal above `z`."""
    return math.erfc(z / math.sqrt(2)) / 2


def beta_tails(x: float, a: float, b: float, rest: float | None = None) -> tuple[float, float]:
    """Return the shares of a beta distribution up to `x` and above it. [2]

    Parameters
    ----------
    x : float
        0 to 1.
    a, b : float
        Above 0, up to some millions.
    rest : float, optional
        1 - x, where it is known more closely than by subtracting.

    Returns
    -------
    two floats
        They sum to 1; the smaller is good to about 1e-13 of itself.
    """
    rest = 1 - x if rest is None else rest
    if x <= 0 or rest <= 0:
        return (0.0, 1.0) if x <= 0 else (1.0, 0.0)
    # x^a (1-x)^b over the complete beta function.
    scale = binomial_term(a, b, x, rest) * a / (a + b) * b
    # How far x lies below the mean, taken where little is lost by subtracting.
    lead = a - (a + b) * x if x <= rest else (a + b) * rest - b
    if lead >= 0:
        below = min(1.0, scale * _beta_fraction(x, rest, a, b, lead))
        return below, 1 - below
    above = min(1.0, scale * _beta_fraction(rest, x, b, a, -lead))
    return 1 - above, above


def gamma_tails(x: float, shape: float) -> tuple[float, float]:
    """Return the shares of a gamma distribution of scale 1 up to `x` and above it. [1]

    Parameters
    ----------
    x : float
        0 or more.
    shape : float
        Above 0, up to some millions.
    """
    if x <= 0:
        return 0.0, 1.0
    scale = poisson_term(shape, x)
    if x < shape + 1:
        below = min(1.0, scale * _gamma_series(x, shape))
        return below, 1 - below
    above = min(1.0, scale * shape * _gamma_fraction(x, shape))
    return 1 - above, above


def chi_square_above(x: float, df: float) -> float:
    """Return the share of a chi-square of `df` degrees of freedom above `x`."""
    return math.erfc(math.sqrt(x / 2)) if df == 1 else gamma_tails(x / 2, df / 2)[1]


def binomial_tails(r: int, n: int, p: float) -> tuple[float, float]:
    """Return the chances of up to `r` of `n`, and of more, where each has the chance `p`."""
    if r < 0 or r >= n:
        return (0.0, 1.0) if r < 0 else (1.0, 0.0)
    above, up_to = beta_tails(p, r + 1, n - r)
    return up_to, above


def poisson_tails(r: int, mean: float) -> tuple[float, float]:
    """Return the chances of up to `r` events, and of more, where `mean` are expected."""
    if r < 0:
        return 0.0, 1.0
    above, up_to = gamma_tails(mean, r + 1)
    return up_to, above


def _beta_fraction(x: float, rest: float, a: float, b: float, lead: float) -> float:
    """The continued fraction of the incomplete beta function at or below the mean, in its even form. [2]

    All its parts are sums of what is not below 0 (for b of 1 or more): no digits are lost for large a and b.
    """
    c, c0, c1 = 1 + lead, b / a, 1 + 1 / a
    p, s = 1.0, a + 1
    before, under_before, value, under = 0.0, 1.0, 1.0, c / c1
    ratio = c1 / c
    for n in range(1, _MOST_STEPS):
        t = n / a
        w = n * (b - n) * x
        e = a / s
        alpha = p * (p + c0) * e * e * w * x
        beta = n + w / s + (1 + t) / (c1 + 2 * t) * (c + n * (1 + rest))
        p, s = 1 + t, s + 2
        before, value = value, alpha * before + beta * value
        under_before, under = under, alpha * under_before + beta * under
        last, ratio = ratio, value / under
        if abs(ratio - last) <= _CLOSE * ratio:
            break
        before, under_before, value, under = before / under, under_before / under, ratio, 1.0
    return ratio


def _gamma_series(x: float, shape: float) -> float:
    term = total = 1.0
    for step in range(1, _MOST_STEPS):
        term *= x / (shape + step)
        total += term
        if term < total * 1e-17:
            break
    return total


def _gamma_fraction(x: float, shape: float) -> float:
    """Lentz's method for the continued fraction of the upper part."""
    b = x + 1 - shape
    c, d = 1 / _TINY, 1 / b
    product = d
    for step in range(1, _MOST_STEPS):
        a = -step * (step - shape)
        b += 2
        d = 1 / _away_from_zero(a * d + b)
        c = _away_from_zero(b + a / c)
        product *= d * c
        if abs(d * c - 1) < _CLOSE:
            break
    return product


def _away_from_zero(value: float) -> float:
    return value if abs(value) > _TINY else _TINY
