"""Quantiles: the value below (or above) which a share lies. By Newton's method on the tails, in a bracket.

A quantile takes `above=True` where the share lies above it: 1 - share would lose the digits of a small one.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from statistics import NormalDist

from diagnostics.statistics.tails import beta_tails, gamma_tails
from diagnostics.statistics.terms import binomial_term, poisson_term

_LEAST_LOG, _MOST_LOG = -745.0, 709.0
_CLOSE = 1e-10  # The last step squares the error.
_NORMAL = NormalDist()


def normal_quantile(share: float, *, above: bool = False) -> float:
    """Return the value of a standard normal below which `share` lies."""
    return -_NORMAL.inv_cdf(share) if above else _NORMAL.inv_cdf(share)


def two_sided(conf: float) -> float:
    """Return z, so that a standard normal lies between -z and z with the chance `conf`.

    Raises
    ------
    ValueError
        If `conf` is no share between 0 and 1.
    """
    if not 0 < conf < 1:
        raise ValueError(f"{conf} is no confidence. Use a share between 0 and 1, such as 0.95.")
    return _NORMAL.inv_cdf((1 + conf) / 2)


def beta_quantile(share: float, a: float, b: float, *, above: bool = False) -> float:
    """Return the value of a beta distribution below (or above) which `share` lies.

    Parameters
    ----------
    share : float
        0 to 1.
    a, b : float
        Above 0, up to some millions.
    """
    if share <= 0 or share >= 1:
        return float((share >= 1) is not above)
    # Solved for the smaller of x and 1 - x, which keeps its digits.
    is_past_half = (beta_tails(0.5, a, b)[above] > share) is above
    return 1 - _small_beta(share, b, a, not above) if is_past_half else _small_beta(share, a, b, above)


def gamma_quantile(share: float, shape: float, *, above: bool = False) -> float:
    """Return the value of a gamma distribution of scale 1 below (or above) which `share` lies."""
    if share <= 0 or share >= 1:
        return 0.0 if (share <= 0) is not above else math.inf
    if share > 0.5:
        share, above = 1 - share, not above
    goal = math.log(share)

    def error(log: float) -> tuple[float, float]:
        x = math.exp(log)
        tail = gamma_tails(x, shape)[above]
        if not tail:
            return (math.inf if above else -math.inf), 0.0
        off = math.log(tail) - goal
        return (-off if above else off), poisson_term(shape, x) * shape / tail

    return math.exp(_rising_root(error, _gamma_start(share, shape, above), _LEAST_LOG, _MOST_LOG))


def chi_square_quantile(share: float, df: float, *, above: bool = False) -> float:
    """Return the value of a chi-square of `df` degrees of freedom below (or above) which `share` lies."""
    return 2 * gamma_quantile(share, df / 2, above=above)


def _small_beta(share: float, a: float, b: float, above: bool) -> float:
    if share > 0.5:
        share, above = 1 - share, not above
    goal = math.log(share)

    def error(log: float) -> tuple[float, float]:
        x, rest = math.exp(log), -math.expm1(log)
        tail = beta_tails(x, a, b, rest)[above]
        if not tail or not rest:
            return (math.inf if above else -math.inf), 0.0
        # x times the density over the tail: the slope of the log of the tail against the log of x.
        slope = binomial_term(a, b, x, rest) * a * b / (a + b) / rest / tail
        off = math.log(tail) - goal
        return (-off if above else off), slope

    return math.exp(_rising_root(error, _beta_start(share, a, b, above), _LEAST_LOG, 0.0))


def _beta_start(share: float, a: float, b: float, above: bool) -> float:
    """The log of a first guess: normal on the scale of log odds."""
    mean = a / (a + b)
    spread = math.sqrt(1 / (mean * (1 - mean) * (a + b + 1)))
    odds = math.log(a / b) + normal_quantile(share, above=above) * spread
    return -math.log1p(math.exp(-odds)) if odds > -700 else odds


def _gamma_start(share: float, shape: float, above: bool) -> float:
    """The log of a first guess: Wilson and Hilferty's cube, or the first term of the lower tail."""
    root = 1 - 1 / (9 * shape) + normal_quantile(share, above=above) / (3 * math.sqrt(shape))
    if root > 0.2:
        return math.log(shape) + 3 * math.log(root)
    below = math.log1p(-share) if above else math.log(share)
    return (below + math.lgamma(shape + 1)) / shape


def _rising_root(
    error: Callable[[float], tuple[float, float]], start: float, low: float, high: float
) -> float:
    """Return where a rising function is 0; `error` gives its value and slope. Newton, or by halving."""
    at = start if low < start < high else (low + high) / 2
    for _ in range(200):
        value, slope = error(at)
        if value == 0:
            break
        low, high = (at, high) if value < 0 else (low, at)
        to = at - value / slope if slope > 0 and math.isfinite(value) else math.inf
        if not low <= to <= high:
            to = (low + high) / 2
        step, at = abs(to - at), to
        if step <= _CLOSE * min(1.0, abs(at)):
            break
    return at
