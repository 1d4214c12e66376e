import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest

from diagnostics.statistics.proportions import proportion, wilson


# Published: 4 of 20 from statsmodels, results_proportion.py (R package binom), read;
# 81 of 263 and 0 of 20 from Newcombe 1998, Statistics in Medicine 17:857-872, Table I, second-hand and
# from memory.
@pytest.mark.parametrize(
    ("count", "of", "low", "high", "digits"),
    [(4, 20, 0.0806577, 0.4160174, 7), (81, 263, 0.2553, 0.3662, 4), (0, 20, 0, 0.1611, 4)],
)
def test_published_intervals(count, of, low, high, digits):
    assert tuple(round(end, digits) for end in wilson(count, of)) == (low, high)


# The figures of practice.md section 8, in per cent.
@pytest.mark.parametrize(
    ("count", "of", "low", "high", "digits"),
    [(0, 4, 0, 49, 0), (0, 30, 0, 11.4, 1), (6, 100, 2.8, 12.5, 1), (12, 200, 3.5, 10.2, 1)],
)
def test_the_figures_of_the_practice(count, of, low, high, digits):
    assert tuple(round(100 * end, digits) for end in wilson(count, of)) == (low, high)


@given(st.integers(1, 3000).flatmap(lambda of: st.tuples(st.integers(0, of), st.just(of))))
def test_scipy_gives_the_same_interval(counts):
    count, of = counts

    oracle = binomtest(count, of).proportion_ci(confidence_level=0.95, method="wilson")

    assert wilson(count, of) == pytest.approx((oracle.low, oracle.high), abs=1e-12)


@pytest.mark.parametrize("confidence", [0.5, 0.9, 0.99, 0.999])
def test_scipy_gives_the_same_at_other_confidences(confidence):
    oracle = binomtest(3, 40).proportion_ci(confidence_level=confidence, method="wilson")

    assert wilson(3, 40, confidence) == pytest.approx((oracle.low, oracle.high), abs=1e-12)


@pytest.mark.parametrize("of", [1, 4, 30, 997])
def test_the_ends_are_exact(of):
    assert wilson(0, of)[0] == 0
    assert wilson(of, of)[1] == 1


def test_a_proportion_carries_its_counts_and_share():
    found = proportion(6, 100)

    assert (found.count, found.of, found.share) == (6, 100, 0.06)


def test_none_at_all_is_refused():
    with pytest.raises(ValueError, match="A share of 0 has no interval"):
        wilson(0, 0)


@pytest.mark.parametrize("count", [-1, 5])
def test_a_count_outside_is_refused(count):
    with pytest.raises(ValueError, match=f"{count} of 4 is no share"):
        wilson(count, 4)


@pytest.mark.parametrize("confidence", [0, 1, 95])
def test_a_confidence_that_is_no_share_is_refused(confidence):
    with pytest.raises(ValueError, match=f"{confidence} is no confidence"):
        wilson(1, 4, confidence)
