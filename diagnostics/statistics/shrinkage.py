"""Shares of few jobs, drawn towards the share of the shop as far as their fewness asks (empirical Bayes).

References
----------
.. [1] J. C. Kleinman, J. Amer. Statist. Assoc. 68 (1973) 46-54, moments of a beta-binomial with unequal
   numbers. From memory.
.. [2] A. Gelman et al., Bayesian Data Analysis, 3rd ed., 2013, sections 2.4, 2.6 and 5.1. From memory.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from diagnostics.statistics.proportions import jeffreys
from diagnostics.statistics.quantiles import beta_quantile, gamma_quantile

FEWEST_UNITS = 5  # With fewer the spread between units is guesswork (statistics.md section 3.8).
FIXED_STRENGTH = 100.0  # Jobs; a project rule, said on the screen where it is used.
FIXED_EXPECTED = 6.0  # Comebacks among so many jobs at 6 in 100.
LEAST_STRENGTH = 1.0  # Units that differ wildly still lend each other one job.

How = Literal["given", "estimated", "fixed", "pooled"]


@dataclass(frozen=True, slots=True)
class Posterior:
    """What is believed of one unit: mean, standard deviation, limits and weight of its own count, 0 to 1."""

    mean: float
    sd: float
    low: float
    high: float
    weight_own: float


@dataclass(frozen=True, slots=True)
class BetaPrior:
    """What the shop lends a unit: as if `alpha` of `alpha + beta` jobs had shown it.

    `how` says where it came from. `pooled`: the units differ no more than chance, so each has the share of
    the shop, known as well as that is; own counts have no weight then.
    """

    alpha: float
    beta: float
    how: How = "given"

    @property
    def mean(self) -> float:
        """The share of the shop. [1]"""
        return self.alpha / self.strength

    @property
    def strength(self) -> float:
        """How many jobs it weighs."""
        return self.alpha + self.beta

    def posterior(self, x: int, n: int, conf: float = 0.95) -> Posterior:
        """Return what is believed of a unit with `x` of `n`."""
        if not 0 <= x <= n:
            raise ValueError(f"{x} of {n} is no share. Count between 0 and {n}.")
        side = (1 - conf) / 2
        if self.how == "pooled":
            low, high = jeffreys(round(self.alpha), round(self.strength), conf)
            return Posterior(self.mean, _beta_sd(self.alpha, self.beta), low, high, 0.0)
        a, b = self.alpha + x, self.beta + n - x
        low, high = beta_quantile(side, a, b), beta_quantile(side, a, b, above=True)
        return Posterior(a / (a + b), _beta_sd(a, b), low, high, n / (a + b))


@dataclass(frozen=True, slots=True)
class GammaPrior:
    """What the shop lends the ratio of observed to expected: `alpha` events where `beta` were expected."""

    alpha: float
    beta: float
    how: How = "given"

    @property
    def mean(self) -> float:
        """The ratio of the shop. [1]"""
        return self.alpha / self.beta

    def posterior(self, observed: int, expected: float, conf: float = 0.95) -> Posterior:
        """Return what is believed of the ratio of a unit with `observed` where `expected` were expected."""
        if observed < 0 or expected < 0:
            raise ValueError("Events observed and expected are 0 or more.")
        is_pooled = self.how == "pooled"
        a = self.alpha + (0 if is_pooled else observed)
        b = self.beta + (0 if is_pooled else expected)
        side = (1 - conf) / 2
        # With nothing observed anywhere the rule of Jeffreys leaves a high end.
        shape = a or 0.5
        low = gamma_quantile(side, shape) / b if a else 0.0
        high = gamma_quantile(side, shape, above=True) / b
        return Posterior(a / b, math.sqrt(a) / b, low, high, 0.0 if is_pooled else expected / b)


def beta_prior(mean: float, sd: float) -> BetaPrior:
    """Return the prior of this mean and standard deviation. [2]

    Raises
    ------
    ValueError
        If the mean is not between 0 and 1 or no beta distribution is so wide.
    """
    if not 0 < mean < 1:
        raise ValueError("The mean of a share lies between 0 and 1.")
    strength = mean * (1 - mean) / sd**2 - 1 if sd > 0 else math.inf
    if not 0 < strength < math.inf:
        raise ValueError(
            "The standard deviation must be above 0 and below the root of mean times one less mean."
        )
    return BetaPrior(mean * strength, (1 - mean) * strength)


def prior_of(counts: Sequence[tuple[int, int]], fixed_strength: float = FIXED_STRENGTH) -> BetaPrior:
    """Return the prior that the units of a shop lend each other, by the method of moments. [1]

    Parameters
    ----------
    counts : sequence of (x, n)
        One for each unit; those with n = 0 are left out.
    fixed_strength : float
        Jobs that the prior weighs where there are fewer than five units.

    Raises
    ------
    ValueError
        If there is no job at all, or a count is not among its number.
    """
    used = [(x, n) for x, n in counts if n]
    if not used or not all(0 <= x <= n for x, n in used):
        raise ValueError("Count at least one job, and no more that showed it than there were.")
    x, n = sum(x for x, _ in used), sum(n for _, n in used)
    if len(used) < FEWEST_UNITS:
        mean = x / n if 0 < x < n else (x + 0.5) / (n + 1)
        return BetaPrior(mean * fixed_strength, (1 - mean) * fixed_strength, "fixed")
    mean, others = x / n, len(used) - 1
    noise = mean * (1 - mean)
    spread = math.fsum(n_i * (x_i / n_i - mean) ** 2 for x_i, n_i in used)
    room = n - math.fsum(n_i * n_i for _, n_i in used) / n - others
    between = (spread - others * noise) / room if room > 0 else 0.0
    if between <= 0:
        return BetaPrior(x, n - x, "pooled")
    strength = max(LEAST_STRENGTH, noise / between - 1)
    return BetaPrior(mean * strength, (1 - mean) * strength, "estimated")


def gamma_prior_of(counts: Sequence[tuple[int, float]], fixed_expected: float = FIXED_EXPECTED) -> GammaPrior:
    """Return the prior of the ratio of observed to expected events, by the method of moments.

    Parameters
    ----------
    counts : sequence of (observed, expected)
        One for each unit; those with nothing expected are left out.
    fixed_expected : float
        Expected events that the prior weighs where there are fewer than five units.

    Raises
    ------
    ValueError
        If nothing is expected of anyone.
    """
    used = [(o, e) for o, e in counts if e > 0]
    if not used or not all(o >= 0 for o, _ in used):
        raise ValueError("Expect something of at least one unit, and observe 0 or more.")
    observed, expected = sum(o for o, _ in used), math.fsum(e for _, e in used)
    if len(used) < FEWEST_UNITS:
        mean = max(observed, 0.5) / expected
        return GammaPrior(mean * fixed_expected, fixed_expected, "fixed")
    mean = observed / expected
    spread = math.fsum(e * (o / e - mean) ** 2 for o, e in used)
    room = expected - math.fsum(e * e for _, e in used) / expected
    between = (spread - (len(used) - 1) * mean) / room
    if between <= 0:
        return GammaPrior(observed, expected, "pooled")
    return GammaPrior(mean * mean / between, mean / between, "estimated")


def _beta_sd(a: float, b: float) -> float:
    return math.sqrt(a * b / (a + b + 1)) / (a + b)
