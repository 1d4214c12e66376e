"""Limits of a funnel: how far chance alone carries a unit from the share of the shop, by its number of jobs.

References
----------
.. [1] D. J. Spiegelhalter, Statistics in Medicine 24 (2005) 1185-1202, and its appendix. From memory.
.. [2] FunnelPlotR (NHS-R community), limits of observed over expected and overdispersion. Read.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from diagnostics.statistics.quantiles import chi_square_quantile, normal_quantile
from diagnostics.statistics.tails import binomial_tails, poisson_tails


@dataclass(frozen=True, slots=True)
class Overdispersion:
    """How much more the units differ than chance makes them.

    `phi`: mean square of the trimmed scores, 1 for chance alone; `tau2`: variance between units, as arcsines
    of the root; `is_over`: whether the limits are to be widened, by the root of `phi`.
    """

    phi: float
    tau2: float
    is_over: bool


def interpolated_limit(p: float, n: int, share: float) -> tuple[int, float]:
    """Return r, the fewest whose chance of so many or fewer is at least `share`, and the limit between r - 1
    and r, as a share of `n` and not below 0. [1]

    Parameters
    ----------
    p : float
        Chance of each, above 0 and below 1.
    n : int
        How many, at least 1.
    share : float
        Between 0 and 1, such as 0.975 for the upper limit at 95 %.
    """
    guess = n * p + normal_quantile(share) * math.sqrt(n * p * (1 - p))
    r, limit = _interpolated(lambda r: binomial_tails(r, n, p)[0], guess, n, share)
    return r, limit / n


def binomial_limits(p: float, n: int, alpha: float) -> tuple[float, float]:
    """Return the lower and upper limit of the share of `n` jobs where `p` is the share of the shop. [1]

    Parameters
    ----------
    p : float
        0 to 1.
    n : int
        At least 1.
    alpha : float
        Chance of lying outside, both sides together: 0.05, or 0.001.

    Raises
    ------
    ValueError
        If one is out of its range.
    """
    if n < 1 or not 0 <= p <= 1 or not 0 < alpha < 1:
        raise ValueError("A funnel needs a share from 0 to 1, at least one job, and alpha between 0 and 1.")
    if p in (0, 1):
        return float(p), float(p)
    return interpolated_limit(p, n, alpha / 2)[1], interpolated_limit(p, n, 1 - alpha / 2)[1]


def ratio_limits(expected: float, alpha: float) -> tuple[float, float]:
    """Return the lower and upper limit of observed over expected where `expected` events are expected. [2]

    Raises
    ------
    ValueError
        If nothing is expected or alpha is not between 0 and 1.
    """
    if expected <= 0 or not 0 < alpha < 1:
        raise ValueError("A funnel needs expected events above 0, and alpha between 0 and 1.")
    low = chi_square_quantile(alpha / 2, 2 * expected) / (2 * expected)
    high = chi_square_quantile(alpha / 2, 2 * (expected + 1), above=True) / (2 * expected)
    return low, high


def poisson_limits(expected: float, alpha: float) -> tuple[float, float]:
    """Return the lower and upper limit of observed over expected, exact and interpolated as of a share. [1]

    Unlike `ratio_limits` the lower one is 0 while observing none is within chance, so that a unit of whom
    little is expected is not called unusual for having none. Refuses what `ratio_limits` refuses.
    """
    if expected <= 0 or not 0 < alpha < 1:
        raise ValueError("A funnel needs expected events above 0, and alpha between 0 and 1.")
    root = math.sqrt(expected)
    top = math.ceil(expected + 40 * root + 60)

    def limit(share: float) -> float:
        guess = expected + normal_quantile(share) * root
        return _interpolated(lambda r: poisson_tails(r, expected)[0], guess, top, share)[1] / expected

    return limit(alpha / 2), limit(1 - alpha / 2)


def overdispersion(
    counts: Sequence[tuple[int, int]], p: float | None = None, trim: float = 0.1
) -> Overdispersion:
    """Return how much more the shares of the units differ than chance makes them. [1, 2]

    Parameters
    ----------
    counts : sequence of (x, n)
        One for each unit; those with n = 0 are left out.
    p : float, optional
        Share of the shop; from the counts where it is not given.
    trim : float
        Scores beyond this share of either end are drawn in to it.

    Returns
    -------
    Overdispersion
        phi 1 and not over with fewer than two units: nothing can be said.
    """
    used = [(x, n) for x, n in counts if n]
    if len(used) < 2:
        return Overdispersion(1.0, 0.0, False)
    centre = math.asin(math.sqrt(sum(x for x, _ in used) / sum(n for _, n in used) if p is None else p))
    scores = [(math.asin(math.sqrt(x / n)) - centre) * 2 * math.sqrt(n) for x, n in used]
    return _more_than_chance(_drawn_in(scores, trim), [4 * n for _, n in used])


def ratio_overdispersion(counts: Sequence[tuple[int, float]], trim: float = 0.1) -> Overdispersion:
    """Return how much more the ratios of observed to expected differ than chance makes them. [1, 2]

    As `overdispersion`, with (observed, expected) for each unit and scores on the scale of roots; those of
    whom nothing is expected are left out.
    """
    used = [(observed, expected) for observed, expected in counts if expected > 0]
    if len(used) < 2:
        return Overdispersion(1.0, 0.0, False)
    scores = [2 * (math.sqrt(observed) - math.sqrt(expected)) for observed, expected in used]
    return _more_than_chance(_drawn_in(scores, trim), [4 * expected for _, expected in used])


def _more_than_chance(scores: Sequence[float], weights: Sequence[float]) -> Overdispersion:
    phi = math.fsum(score * score for score in scores) / len(scores)
    units = len(scores)
    room = sum(weights) - sum(weight * weight for weight in weights) / sum(weights)
    is_over = units * phi >= units - 1
    tau2 = max(0.0, (units * phi - (units - 1)) / room) if is_over else 0.0
    return Overdispersion(phi, tau2, is_over)


def _drawn_in(scores: Sequence[float], trim: float) -> list[float]:
    ordered = sorted(scores)
    low, high = _at_share(ordered, trim), _at_share(ordered, 1 - trim)
    return [min(max(score, low), high) for score in scores]


def _at_share(ordered: Sequence[float], share: float) -> float:
    """The quantile of a sample, between neighbours in a straight line."""
    place = share * (len(ordered) - 1)
    before = min(math.floor(place), len(ordered) - 2)
    return ordered[before] + (place - before) * (ordered[before + 1] - ordered[before])


def _interpolated(up_to: Callable[[int], float], guess: float, top: int, share: float) -> tuple[int, float]:
    """The fewest whose chance of so many or fewer is at least `share`; the limit between it and one less."""
    r = _fewest(up_to, round(guess), top, share)
    reached, before = up_to(r), up_to(r - 1)
    back = (reached - share) / (reached - before) if reached > before else 0.0
    return r, max(0.0, r - back)


def _fewest(up_to: Callable[[int], float], guess: int, top: int, share: float) -> int:
    """The fewest whose chance of so many or fewer is at least this share; from a guess outwards."""
    low, high, step = -1, top, 1
    at = min(max(guess, 0), top - 1)
    while high - low > 1:
        low, high = (low, at) if up_to(at) >= share else (at, high)
        # Away from the guess in growing steps, then by halving.
        near = high - step if high == at else low + step
        at, step = (near if low < near < high else (low + high) // 2), step * 2
    return high
