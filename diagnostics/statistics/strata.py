"""Two groups compared within strata, so that hard jobs are compared with hard jobs (Mantel and Haenszel).

References
----------
.. [1] S. Greenland and J. M. Robins, Biometrics 41 (1985) 55-68, variance of the pooled ratio. From memory.
.. [2] T. Sato, Biometrics 45 (1989) 1323-1324, variance of the pooled difference. From memory.
.. [3] J. Robins, N. Breslow and S. Greenland, Biometrics 42 (1986) 311-323, variance of pooled odds ratios.
   From memory.
.. [4] N. Mantel and W. Haenszel, J. Natl. Cancer Inst. 22 (1959) 719-748. From memory.
.. [5] N. Mantel and J. L. Fleiss, Am. J. Epidemiol. 112 (1980) 129-134. From memory.
.. [6] R. E. Tarone, Biometrika 72 (1985) 91-95, after N. E. Breslow and N. E. Day 1980. From memory.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from diagnostics.statistics.proportions import Difference, newcombe
from diagnostics.statistics.quantiles import two_sided
from diagnostics.statistics.ratios import Ratio
from diagnostics.statistics.tails import chi_square_above


class Stratum(NamedTuple):
    """Jobs alike in what is held fixed: `a` of `n1` in one group showed it, `c` of `n0` in the other."""

    a: int
    n1: int
    c: int
    n0: int

    @property
    def n(self) -> int:
        """All jobs of the stratum."""
        return self.n1 + self.n0

    @property
    def m(self) -> int:
        """All of them that showed it."""
        return self.a + self.c


@dataclass(frozen=True, slots=True)
class Test:
    """A chi-square with its p-value; both None where the strata cannot answer."""

    __test__ = False

    chi2: float | None
    p: float | None


def informative(strata: Sequence[Stratum]) -> tuple[Stratum, ...]:
    """Return the strata that hold jobs of both groups; the others say nothing of the difference.

    Raises
    ------
    ValueError
        If a count is below 0 or above its number.
    """
    for one in strata:
        if not (0 <= one.a <= one.n1 and 0 <= one.c <= one.n0):
            raise ValueError(f"{one.a} of {one.n1} against {one.c} of {one.n0} cannot be counts.")
    return tuple(one for one in strata if one.n1 and one.n0)


def mh_ratio(strata: Sequence[Stratum], conf: float = 0.95) -> Ratio:
    """Return the pooled ratio of shares. [1]

    None where no stratum has both groups or the other group never showed it; without an interval where one of
    the groups never did.
    """
    z, used = two_sided(conf), informative(strata)
    top = math.fsum(one.a * one.n0 / one.n for one in used)
    below = math.fsum(one.c * one.n1 / one.n for one in used)
    if not below:
        return Ratio(None, None, None)
    if not top:
        return Ratio(0.0, None, None)
    spread = math.fsum((one.m * one.n1 * one.n0 - one.a * one.c * one.n) / one.n**2 for one in used)
    half = z * math.sqrt(max(0.0, spread) / top / below)
    return _around(top / below, half)


def mh_difference(strata: Sequence[Stratum], conf: float = 0.95) -> Difference:
    """Return the pooled difference of shares, first group less the other. [2]

    Where all or none showed it in each stratum the variance is 0, which is no certainty: the difference is 0,
    and Newcombe's interval of the strata put together stands in.

    Raises
    ------
    ValueError
        If no stratum has both groups.
    """
    z, used = two_sided(conf), informative(strata)
    if not used:
        raise ValueError("No stratum holds both groups, so they cannot be compared.")
    weight = math.fsum(one.n1 * one.n0 / one.n for one in used)
    value = math.fsum((one.a * one.n0 - one.c * one.n1) / one.n for one in used) / weight
    slope = math.fsum(
        (one.n1**2 * one.c - one.n0**2 * one.a + one.n1 * one.n0 * (one.n0 - one.n1) / 2) / one.n**2
        for one in used
    )
    base = math.fsum((one.a * (one.n0 - one.c) + one.c * (one.n1 - one.a)) / (2 * one.n) for one in used)
    if not base:
        return _nothing_apart(used, conf)
    half = z * math.sqrt(max(0.0, value * slope + base)) / weight
    return Difference(value, max(-1.0, value - half), min(1.0, value + half))


def mh_odds(strata: Sequence[Stratum], conf: float = 0.95) -> Ratio:
    """Return the pooled odds ratio [3]; None and without an interval as `mh_ratio`."""
    z, used = two_sided(conf), informative(strata)
    parts = [_odds_parts(one) for one in used]
    r, s = math.fsum(part.r for part in parts), math.fsum(part.s for part in parts)
    if not s:
        return Ratio(None, None, None)
    if not r:
        return Ratio(0.0, None, None)
    spread = (
        math.fsum(part.p * part.r for part in parts) / (2 * r * r)
        + math.fsum(part.p * part.s + part.q * part.r for part in parts) / (2 * r * s)
        + math.fsum(part.q * part.s for part in parts) / (2 * s * s)
    )
    return _around(r / s, z * math.sqrt(spread))


def mh_test(strata: Sequence[Stratum]) -> Test:
    """Return the test that the groups do not differ in any stratum, with continuity correction. [4]"""
    used = [one for one in informative(strata) if 0 < one.m < one.n]
    off = math.fsum((one.a * one.n - one.n1 * one.m) / one.n for one in used)
    spread = math.fsum(one.n1 * one.n0 * one.m * (one.n - one.m) / (one.n**2 * (one.n - 1)) for one in used)
    if not spread:
        return Test(None, None)
    # Closer to the expected count than half a job is no evidence at all.
    chi2 = max(0.0, abs(off) - 0.5) ** 2 / spread
    return Test(chi2, chi_square_above(chi2, 1))


def mantel_fleiss(strata: Sequence[Stratum]) -> float:
    """Return how far the count of the first group could fall or rise, the smaller of both, in jobs. [5]

    The test of `mh_test` is to be trusted from 5 upwards.
    """
    used = informative(strata)
    expected = math.fsum(one.n1 * one.m / one.n for one in used)
    least = sum(max(0, one.m - one.n0) for one in used)
    most = sum(min(one.m, one.n1) for one in used)
    return max(0.0, min(expected - least, most - expected))


def breslow_day(strata: Sequence[Stratum], *, corrected: bool = True) -> Test:
    """Return the test that one odds ratio fits all strata; small p: print the strata, not the pool. [6]

    Strata without both groups, or where all or none showed it, have no odds ratio and are left out. Answers
    None with fewer than two strata, or where the pooled odds ratio is 0 or has no end.

    Parameters
    ----------
    corrected : bool
        With Tarone's correction.
    """
    used = [one for one in informative(strata) if 0 < one.m < one.n]
    pooled = mh_odds(used).value
    if len(used) < 2 or not pooled:
        return Test(None, None)
    fits = [_fitted(one, pooled) for one in used]
    spreads = [_spread(one, fit) for one, fit in zip(used, fits, strict=True)]
    offs = [one.a - fit for one, fit in zip(used, fits, strict=True)]
    chi2 = math.fsum(off * off / spread for off, spread in zip(offs, spreads, strict=True))
    if corrected:
        chi2 = max(0.0, chi2 - math.fsum(offs) ** 2 / math.fsum(spreads))
    return Test(chi2, chi_square_above(chi2, len(used) - 1))


class _Parts(NamedTuple):
    p: float
    q: float
    r: float
    s: float


def _odds_parts(one: Stratum) -> _Parts:
    b, d = one.n1 - one.a, one.n0 - one.c
    return _Parts((one.a + d) / one.n, (b + one.c) / one.n, one.a * d / one.n, b * one.c / one.n)


def _around(value: float, half: float) -> Ratio:
    return Ratio(value, value * math.exp(-half), value * math.exp(half))


def _nothing_apart(used: Sequence[Stratum], conf: float) -> Difference:
    """Every stratum has the same share, 0 or 1, on both sides."""
    n1, n0 = sum(one.n1 for one in used), sum(one.n0 for one in used)
    found = newcombe(0, n1, 0, n0, conf)
    return Difference(0.0, found.low, found.high)


def _fitted(one: Stratum, odds: float) -> float:
    """The count of the first group that gives the stratum this odds ratio with its margins as they are."""
    lead = odds - 1
    b = one.n0 - one.m + odds * (one.n1 + one.m)
    c = odds * one.n1 * one.m
    # The root as a quotient holds at an odds ratio of 1, too.
    return 2 * c / (b + math.sqrt(max(0.0, b * b - 4 * lead * c)))


def _spread(one: Stratum, fit: float) -> float:
    return 1 / (1 / fit + 1 / (one.n1 - fit) + 1 / (one.m - fit) + 1 / (one.n0 - one.m + fit))
