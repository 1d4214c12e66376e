"""The intervals of one share, and of the difference of two, by name."""

from __future__ import annotations

from diagnostics.statistics import proportions
from diagnostics.statistics.asked import (
    LARGEST_SHARE,
    MAY_CONFIDENCE,
    TWO_GROUPS,
    check_among,
    check_groups,
    counted,
    numbered,
)
from diagnostics.statistics.proportions import Interval
from shared.computing import Given, computation

X = counted("x", "How many showed it", 11)
N = numbered("n", "How many there were", 177)


@computation(
    "stats.wilson",
    "How sure a share is: the score interval, honest at none and with few.",
    X,
    N,
    MAY_CONFIDENCE,
    source="Wilson 1927; Newcombe 1998, Statistics in Medicine 17:857, method 3",
    mark="from memory",
    formula="(p + z²/2n ± z √(p(1-p)/n + z²/4n²)) / (1 + z²/n)",
)
def wilson(x: int, n: int, conf: float = 0.95) -> dict[str, float]:
    """Return low and high."""
    check_among(x, n)
    return _ends(proportions.wilson(x, n, conf))


@computation(
    "stats.clopper_pearson",
    "How sure a share is: the exact limits, which hold at least as often as they say.",
    X,
    N,
    MAY_CONFIDENCE,
    source="Clopper and Pearson 1934, Biometrika 26:404",
    mark="from memory",
    formula="quantiles of Beta(x, n-x+1) and Beta(x+1, n-x)",
)
def clopper_pearson(x: int, n: int, conf: float = 0.95) -> dict[str, float]:
    """Return low and high."""
    check_among(x, n)
    return _ends(proportions.clopper_pearson(x, n, conf))


@computation(
    "stats.jeffreys",
    "How sure a share is: the middle of the posterior under Jeffreys' prior.",
    X,
    N,
    MAY_CONFIDENCE,
    source="Brown, Cai and DasGupta 2001, Statistical Science 16:101",
    mark="from memory",
    formula="quantiles of Beta(x+1/2, n-x+1/2); 0 at none, 1 at all",
)
def jeffreys(x: int, n: int, conf: float = 0.95) -> dict[str, float]:
    """Return low and high."""
    check_among(x, n)
    return _ends(proportions.jeffreys(x, n, conf))


@computation(
    "stats.agresti_coull",
    "How sure a share is: the interval with two successes and two failures added.",
    X,
    N,
    MAY_CONFIDENCE,
    source="Agresti and Coull 1998, The American Statistician 52:119",
    mark="from memory",
    cautions=("It may leave the range from 0 to 1.",),
)
def agresti_coull(x: int, n: int, conf: float = 0.95) -> dict[str, float]:
    """Return low and high."""
    check_among(x, n)
    return _ends(proportions.agresti_coull(x, n, conf))


@computation(
    "stats.wald",
    "How sure a share seems by the textbook interval; for comparison only.",
    X,
    N,
    MAY_CONFIDENCE,
    source="Brown, Cai and DasGupta 2001, Statistical Science 16:101",
    mark="from memory",
    formula="p ± z √(p(1-p)/n)",
    cautions=("It covers far less than it says where shares are small; use the score interval.",),
)
def wald(x: int, n: int, conf: float = 0.95) -> dict[str, float]:
    """Return low and high."""
    check_among(x, n)
    return _ends(proportions.wald(x, n, conf))


@computation(
    "stats.one_proportion_z",
    "Whether a share differs from one set beforehand.",
    X,
    N,
    Given("p0", "The share set beforehand", low=1e-9, high=LARGEST_SHARE, example=0.06),
    source="NIST/SEMATECH e-Handbook of Statistical Methods, section 7.2.4",
    mark="from memory",
    formula="z = (p - p0) / √(p0(1-p0)/n)",
    valid="n p0 and n (1 - p0) of 5 or more",
)
def one_proportion_z(x: int, n: int, p0: float) -> dict[str, float]:
    """Return z, and p of both sides."""
    check_among(x, n)
    z, p = proportions.against(x, n, p0)
    return {"z": z, "p": p}


@computation(
    "stats.newcombe_diff",
    "How far two shares lie apart.",
    *TWO_GROUPS,
    MAY_CONFIDENCE,
    source="Newcombe 1998, Statistics in Medicine 17:873, method 10",
    mark="from memory",
    formula="d - √((p1-l1)² + (u2-p2)²), d + √((u1-p1)² + (p2-l2)²) with score limits l, u",
)
def newcombe_diff(x1: int, n1: int, x2: int, n2: int, conf: float = 0.95) -> dict[str, float]:
    """Return diff, low and high."""
    check_groups(x1, n1, x2, n2)
    found = proportions.newcombe(x1, n1, x2, n2, conf)
    return {"diff": found.value, "low": found.low, "high": found.high}


def _ends(interval: Interval) -> dict[str, float]:
    return {"low": interval[0], "high": interval[1]}
