"""Tails and quantiles, against SciPy and against forms that can be written down exactly."""

import math
from decimal import Decimal, localcontext

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from diagnostics.statistics import tails
from diagnostics.statistics.quantiles import (
    beta_quantile,
    chi_square_quantile,
    gamma_quantile,
    normal_quantile,
    two_sided,
)

SHAPES = (0.5, 1, 1.5, 12, 4000.5, 60_000, 1_000_000)
CLOSE = 1e-12


@pytest.mark.parametrize("a", SHAPES)
@pytest.mark.parametrize("b", SHAPES)
def test_scipy_gives_the_same_quantiles_of_a_beta(a, b):
    for side in (0.025, 0.0005, 0.5):
        assert beta_quantile(side, a, b) == pytest.approx(stats.beta.ppf(side, a, b), rel=CLOSE)
        assert beta_quantile(side, a, b, above=True) == pytest.approx(stats.beta.isf(side, a, b), rel=CLOSE)


@pytest.mark.parametrize("shape", SHAPES)
def test_scipy_gives_the_same_quantiles_of_a_gamma(shape):
    for side in (0.025, 0.0005, 0.5):
        assert gamma_quantile(side, shape) == pytest.approx(stats.gamma.ppf(side, shape), rel=CLOSE)
        assert gamma_quantile(side, shape, above=True) == pytest.approx(
            stats.gamma.isf(side, shape), rel=CLOSE
        )


def test_a_far_tail_of_a_large_count_is_that_of_the_sum():
    # SciPy 1.17 is off by 6 in 10 million of the tail at a shape of a million; so summed here with 50 digits.
    shape, tail = 20_000, 1e-9
    with localcontext(prec=50):
        mean = Decimal(gamma_quantile(tail, shape))
        term = total = (-mean).exp()
        for count in range(1, shape):
            term *= mean / count
            total += term
        found = float(1 - total)

    assert found == pytest.approx(tail, rel=1e-11)


@pytest.mark.parametrize("df", [1, 2, 5, 400])
def test_scipy_gives_the_same_tails_of_a_chi_square_and_a_normal(df):
    for at in (1e-6, 0.5, 3.84, 700):
        assert tails.chi_square_above(at, df) == pytest.approx(stats.chi2.sf(at, df), rel=CLOSE)
    assert tails.normal_above(df / 100) == pytest.approx(stats.norm.sf(df / 100), rel=CLOSE)


@pytest.mark.parametrize(
    ("n", "p"), [(1, 0.5), (40, 0.06), (5000, 0.3), (1_000_000, 0.06), (1_000_000, 1e-6)]
)
def test_scipy_gives_the_same_tails_of_a_binomial(n, p):
    middle, spread = n * p, math.sqrt(n * p * (1 - p))
    for r in {-1, 0, int(middle - 4 * spread), int(middle), int(middle + 4 * spread) + 1, n}:
        up_to, above = tails.binomial_tails(r, n, p)
        assert up_to == pytest.approx(stats.binom.cdf(r, n, p), rel=1e-11, abs=1e-300)
        assert above == pytest.approx(stats.binom.sf(r, n, p), rel=1e-11, abs=1e-300)


def test_quantiles_that_can_be_written_down():
    n = 1_000_000

    # The smallest and the largest of n even draws; an exponential; the arcsine law.
    assert beta_quantile(0.025, 1, n, above=True) == pytest.approx(
        -math.expm1(math.log(0.025) / n), rel=CLOSE
    )
    assert beta_quantile(0.025, n, 1) == pytest.approx(0.025 ** (1 / n), rel=CLOSE)
    assert chi_square_quantile(0.95, 2) == pytest.approx(-2 * math.log(0.05), rel=CLOSE)
    assert beta_quantile(0.1, 0.5, 0.5) == pytest.approx(math.sin(math.pi * 0.05) ** 2, rel=CLOSE)
    assert normal_quantile(0.025, above=True) == pytest.approx(two_sided(0.95), rel=CLOSE)


def test_the_ends_are_exact():
    assert (beta_quantile(0, 2, 3), beta_quantile(1, 2, 3), beta_quantile(0, 2, 3, above=True)) == (0, 1, 1)
    assert (gamma_quantile(0, 2), gamma_quantile(1, 2)) == (0, math.inf)
    assert tails.beta_tails(0, 2, 3) == (0, 1)
    assert tails.gamma_tails(0, 3) == (0, 1)
    assert (tails.poisson_tails(-1, 2), tails.poisson_tails(0, 0)) == ((0, 1), (1, 0))


@settings(max_examples=50)
@given(st.floats(1e-6, 1 - 1e-6), st.floats(0.01, 1e5), st.floats(0.01, 1e5), st.booleans())
def test_a_quantile_has_its_share_beyond_it_and_mirrors(share, a, b, above):
    x = beta_quantile(share, a, b, above=above)

    assert 0 <= x <= 1
    assert 1 - x == pytest.approx(beta_quantile(share, b, a, above=not above), abs=1e-14)
    if 1e-290 < x < 0.999:
        assert tails.beta_tails(x, a, b)[above] == pytest.approx(share, rel=1e-9)


@pytest.mark.parametrize("confidence", [0, 1, 95, -0.5])
def test_a_confidence_that_is_no_share_is_refused(confidence):
    with pytest.raises(ValueError, match="is no confidence"):
        two_sided(confidence)
