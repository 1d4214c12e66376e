"""Ratios of shares and odds, against published values, SciPy and each other."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats.contingency import relative_risk

from diagnostics.statistics.proportions import newcombe
from diagnostics.statistics.ratios import Ratio, katz, koopman, odds_ratio, risk_ratio

NUMBER = st.integers(1, 2000)
GROUP = NUMBER.flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))


def test_the_published_score_interval():
    # Nam 1995, after Koopman 1984: 36 of 40 against 16 of 80. Read in statsmodels 0.15, test_proportion.py.
    found = koopman(36, 40, 16, 80)

    assert (found.value, round(found.low, 3), round(found.high, 3)) == (4.5, 2.940, 7.152)


@pytest.mark.parametrize(
    "counts", [(16, 128, 24, 256), (1, 10, 9, 10), (1, 1_000_000, 999_999, 1_000_000), (5, 5, 2, 7)]
)
def test_scipy_gives_the_same_interval_of_katz(counts):
    oracle = relative_risk(*counts)
    ends = oracle.confidence_interval(0.95)

    found = katz(*counts)

    assert (found.value, found.low, found.high) == pytest.approx(
        (oracle.relative_risk, ends.low, ends.high), rel=1e-12
    )


def test_what_zeros_leave_undefined():
    assert katz(0, 10, 3, 10) == Ratio(0.0, None, None)
    assert katz(3, 10, 0, 10) == Ratio(None, None, None)
    assert koopman(0, 10, 0, 10) == Ratio(None, 0.0, None)
    assert odds_ratio(1, 0, 2, 3) == Ratio(None, None, None)
    assert odds_ratio(0, 4, 2, 3) == Ratio(0.0, None, None)
    assert odds_ratio(2, 4, 2, 0) == Ratio(0.0, None, None)


def test_the_score_interval_with_zeros():
    none_of_first, none_of_second = koopman(0, 34, 5, 34), koopman(5, 34, 0, 34)

    assert (none_of_first.value, none_of_first.low) == (0, 0)
    assert (none_of_second.value, none_of_second.high) == (None, None)
    assert none_of_second.low == pytest.approx(1 / none_of_first.high, rel=1e-12)


def test_the_ratio_that_is_shown_has_an_interval_wherever_there_is_one():
    assert risk_ratio(7, 34, 1, 34) == katz(7, 34, 1, 34)
    assert risk_ratio(0, 34, 5, 34) == koopman(0, 34, 5, 34)
    # All of both: the logarithms would claim certainty. By hand the score interval ends at n / (n + z^2).
    both = risk_ratio(5, 5, 5, 5)
    assert both.low == pytest.approx(5 / (5 + 1.959963984540054**2), rel=1e-12)


@settings(max_examples=50)
@given(GROUP, GROUP)
def test_the_intervals_hold_the_value_and_turn_with_the_groups(first, second):
    for method in (katz, koopman, risk_ratio):
        found, turned = method(*first, *second), method(*second, *first)
        if found.value is not None and found.low is not None:
            assert found.low <= found.value * (1 + 1e-12)
            assert found.high is None or found.value <= found.high * (1 + 1e-12)
        if found.low and turned.high is not None:
            assert found.low == pytest.approx(1 / turned.high, rel=1e-11)


@settings(max_examples=50)
@given(GROUP, GROUP)
def test_a_difference_holds_its_value_and_turns_with_the_groups(first, second):
    found, turned = newcombe(*first, *second), newcombe(*second, *first)

    assert -1 <= found.low <= found.value <= found.high <= 1
    assert (found.low, found.value) == pytest.approx((-turned.high, -turned.value), abs=1e-15)


def test_counts_of_a_million_keep_their_digits():
    # One in a million on both sides: the interval of one against one of any large number.
    small, large = koopman(1, 500_000, 1, 500_000), koopman(1, 1_000_000, 1, 1_000_000)

    assert small.low * small.high == pytest.approx(1, rel=1e-12)
    assert math.log(large.high) == pytest.approx(math.log(small.high), rel=1e-5)


@pytest.mark.parametrize("counts", [(5, 4, 1, 2), (1, 2, -1, 2), (0, 0, 1, 2)])
def test_impossible_counts_are_refused(counts):
    for method in (katz, koopman, risk_ratio):
        with pytest.raises(ValueError, match="share"):
            method(*counts)
    with pytest.raises(ValueError, match="A count"):
        odds_ratio(1, 2, -3, 4)
