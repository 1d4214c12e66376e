"""Many units and rare counts by name: adjusted p-values, shrunken shares, funnel limits, Poisson limits."""

from __future__ import annotations

from typing import Any

from diagnostics.statistics import funnel, many, poisson, shrinkage
from diagnostics.statistics.asked import LARGEST_SHARE, MAY_CONFIDENCE, MOST_COUNT, check_among, counted
from shared.computing import Given, Refused, computation

MOST_UNITS = 10_000
MOST_STRENGTH = 1e9
SHARE: dict[str, Any] = {"low": 1e-9, "high": LARGEST_SHARE}
PARAMETER: dict[str, Any] = {"low": 1e-6, "high": MOST_STRENGTH, "optional": True}


@computation(
    "stats.benjamini_hochberg",
    "Which of many comparisons stand out after allowing for their number.",
    Given("p", "The p-values of all comparisons made", kind="numbers", low=0, high=1, least=1,
          example=[0.0001, 0.0095, 0.0201, 0.324]),
    Given("q", "False ones among the listed, at most this share (0.05)", above=0, high=1, optional=True,
          example=0.1),
    source="Benjamini and Hochberg 1995, J. R. Statist. Soc. B 57:289",
    mark="read",
    formula="adjusted p(i) = min over j ≥ i of m p(j)/j",
)  # fmt: skip
def benjamini_hochberg(p: list[float], q: float = 0.05) -> dict[str, Any]:
    """Return adjusted (in the order given), rejected and bonferroni_rejected (how many at q)."""
    adjusted = many.benjamini_hochberg(p)
    return {
        "adjusted": list(adjusted),
        "rejected": sum(value <= q for value in adjusted),
        "bonferroni_rejected": sum(value <= q for value in many.bonferroni(p)),
    }


@computation(
    "stats.beta_prior",
    "A share of few, drawn towards that of the shop: prior, and what is believed after a count.",
    Given("mean", "Mean of the prior, with sd", optional=True, example=0.06, **SHARE),
    Given("sd", "Standard deviation of the prior", above=0, high=0.5, optional=True, example=0.02),
    Given("alpha", "Or: as if so many had shown it", example=None, **PARAMETER),
    Given("beta", "and so many had not", example=None, **PARAMETER),
    Given("x", "How many showed it (0)", kind="whole", low=0, high=MOST_COUNT, optional=True, example=3),
    Given("n", "How many there were (0)", kind="whole", low=0, high=MOST_COUNT, optional=True, example=14),
    MAY_CONFIDENCE,
    source="Gelman et al., Bayesian Data Analysis, section 5.1",
    mark="from memory",
    formula="alpha + beta = mean (1 - mean) / sd² - 1; mean after the count (alpha + x) / (alpha + beta + n)",
)
def beta_prior(
    mean: float | None = None,
    sd: float | None = None,
    alpha: float | None = None,
    beta: float | None = None,
    x: int = 0,
    n: int = 0,
    conf: float = 0.95,
) -> dict[str, float]:
    """Return alpha, beta, post_mean, post_sd, low, high and weight_own."""
    check_among(x, n)
    prior = _prior(mean, sd, alpha, beta)
    after = prior.posterior(x, n, conf)
    return {
        "alpha": prior.alpha,
        "beta": prior.beta,
        "post_mean": after.mean,
        "post_sd": after.sd,
        "low": after.low,
        "high": after.high,
        "weight_own": after.weight_own,
    }


@computation(
    "stats.funnel_binomial",
    "The limit of a funnel: the share of n that chance alone does not pass with the chance q.",
    Given("p", "Share of the shop", example=0.1, **SHARE),
    Given("n", "How many the unit has", kind="whole", low=1, high=MOST_COUNT, example=100),
    Given("q", "Chance of staying at or below the limit", example=0.975, **SHARE),
    source="Spiegelhalter 2005, Statistics in Medicine 24:1185, appendix",
    mark="from memory",
    formula="(r - (P(R ≤ r) - q) / P(R = r)) / n, r the fewest with P(R ≤ r) ≥ q; not below 0",
)
def funnel_binomial(p: float, n: int, q: float) -> dict[str, float]:
    """Return limit and r."""
    r, limit = funnel.interpolated_limit(p, n, q)
    return {"limit": limit, "r": r}


@computation(
    "stats.funnel_ratio",
    "The limits of a funnel for observed over expected events.",
    Given("expected", "Events expected, of each unit", kind="numbers", low=1e-6, high=MOST_COUNT, least=1,
          example=[15, 20]),
    Given("alpha", "Chance of lying outside (0.05)", low=1e-9, high=0.999, optional=True, example=0.05),
    source="FunnelPlotR (NHS-R community)",
    mark="read",
    formula="χ²(α/2; 2E)/2E and χ²(1-α/2; 2(E+1))/2E",
)  # fmt: skip
def funnel_ratio(expected: list[float], alpha: float = 0.05) -> dict[str, list[float]]:
    """Return low and high, each a list."""
    if len(expected) > MOST_UNITS:
        raise Refused("expected", f"{len(expected)} units are too many.", f"up to {MOST_UNITS}")
    limits = [funnel.ratio_limits(events, alpha) for events in expected]
    return {"low": [low for low, _ in limits], "high": [high for _, high in limits]}


@computation(
    "stats.poisson_exact",
    "Exact limits of a rate from a count.",
    counted("count", "Events counted", 15),
    Given("exposure", "Over how much", above=0, high=1e15, optional=True, example=400),
    MAY_CONFIDENCE,
    source="Garwood 1936, Biometrika 28:437",
    mark="from memory",
)
def poisson_exact(count: int, exposure: float = 1.0, conf: float = 0.95) -> dict[str, float]:
    """Return low and high."""
    low, high = poisson.poisson_limits(count, conf)
    return {"low": low / exposure, "high": high / exposure}


@computation(
    "stats.poisson_tail",
    "The chance of so many events or more where a mean is expected.",
    Given("mean", "Events expected", low=0, high=MOST_COUNT, example=2),
    counted("at_least", "So many or more", 5),
    source="Poisson distribution",
    mark="computed",
)
def poisson_tail(mean: float, at_least: int) -> dict[str, float]:
    """Return p."""
    return {"p": poisson.poisson_tail(mean, at_least)}


def _prior(
    mean: float | None, sd: float | None, alpha: float | None, beta: float | None
) -> shrinkage.BetaPrior:
    if alpha is not None and beta is not None and mean is None and sd is None:
        return shrinkage.BetaPrior(alpha, beta)
    if mean is None or sd is None or alpha is not None or beta is not None:
        raise Refused("mean", "Give mean and sd, or alpha and beta.", "one of the two pairs")
    widest = (mean * (1 - mean)) ** 0.5
    narrowest = widest / (MOST_STRENGTH + 1) ** 0.5
    if not narrowest <= sd < widest:
        raise Refused(
            "sd",
            f"No share with the mean {mean:g} has the standard deviation {sd:g}.",
            f"{narrowest:.3g} or more, below {widest:.3g}",
        )
    return shrinkage.beta_prior(mean, sd)
