"""Fisher's test and Poisson counts, against SciPy and published values."""

import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from diagnostics.statistics.fisher import fisher
from diagnostics.statistics.poisson import compare_rates, poisson_limits, poisson_tail

COUNT = st.integers(0, 60)
ALTERNATIVES = ("two-sided", "greater", "less")


def test_the_published_convictions():
    # Fisher 1962, convictions of like-sex twins; R, fisher.test.Rd. From memory.
    assert round(fisher(((2, 10), (15, 3)), "less"), 7) == 0.0004652


@settings(max_examples=50)
@given(COUNT, COUNT, COUNT, COUNT)
def test_scipy_agrees_on_fisher(a, b, c, d):
    for alternative in ALTERNATIVES:
        oracle = stats.fisher_exact([[a, b], [c, d]], alternative).pvalue
        assert fisher(((a, b), (c, d)), alternative) == pytest.approx(oracle, rel=1e-9, abs=1e-14)


@pytest.mark.parametrize(
    "table", [((1, 2), (2, 1)), ((5, 5), (5, 5)), ((0, 9), (0, 9)), ((9, 0), (0, 9)), ((3, 3), (4, 4))]
)
def test_the_tails_of_fisher_share_the_table_itself(table):
    (a, b), (c, d) = table
    turned = ((b, a), (d, c))

    assert fisher(table, "greater") == pytest.approx(fisher(turned, "less"), rel=1e-13)
    assert fisher(table) == pytest.approx(fisher(turned), rel=1e-13)


def test_fisher_of_a_million_is_close_and_quick():
    table = ((60_300, 939_700), (59_700, 940_300))
    start = time.perf_counter()

    found = fisher(table)

    assert time.perf_counter() - start < 2
    # A difference of 600 with a spread of 336 by the normal law, half a count off.
    assert found == pytest.approx(
        2 * stats.norm.sf((300 - 0.5) / (2e6 * 0.25 * 0.06 * 0.94) ** 0.5), rel=1e-3
    )


@settings(max_examples=50)
@given(st.integers(0, 1_000_000), st.floats(0.5, 0.9999))
def test_scipy_agrees_on_poisson_limits(count, conf):
    side = (1 - conf) / 2
    low = stats.gamma.ppf(side, count) if count else 0

    assert poisson_limits(count, conf) == pytest.approx((low, stats.gamma.isf(side, count + 1)), rel=1e-10)


@settings(max_examples=50)
@given(st.floats(0, 2000), st.integers(0, 3000))
def test_scipy_agrees_on_poisson_tails(mean, at_least):
    oracle = stats.poisson.sf(at_least - 1, mean)

    assert poisson_tail(mean, at_least) == pytest.approx(oracle, rel=1e-10, abs=1e-300)


def test_two_rates_both_ways():
    z, both = compare_rates(60, 51477.5, 30, 54308.7)
    _, larger = compare_rates(60, 51477.5, 30, 54308.7, "larger")
    _, smaller = compare_rates(60, 51477.5, 30, 54308.7, "smaller")

    assert z > 0
    assert both == pytest.approx(2 * larger)
    assert larger + smaller == pytest.approx(1)
    assert compare_rates(0, 5, 0, 5) is None
