"""Uncertainty and conformity against SciPy 1.17 (`scipy.stats`) and uncertainties 3.2."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from uncertainties import ufloat

from diagnostics.metrology import combine, guard_limit, p_conform, three_way, type_a

VALUES = st.floats(-50, 50)
SPREADS = st.floats(0.01, 20)


@given(VALUES, SPREADS, VALUES)
def test_the_probability_above_a_lower_limit_is_scipys(y, u, lower):
    assert p_conform(y, u, lower=lower) == pytest.approx(stats.norm.sf(lower, y, u), rel=1e-9, abs=1e-300)


@given(VALUES, SPREADS, VALUES, st.floats(0, 30))
def test_the_probability_between_two_limits_is_scipys(y, u, lower, width):
    theirs = stats.norm.cdf(lower + width, y, u) - stats.norm.cdf(lower, y, u)

    assert p_conform(y, u, lower, lower + width) == pytest.approx(theirs, abs=1e-12)


def test_a_small_probability_far_out_keeps_its_digits():
    theirs = stats.norm.sf(10) - stats.norm.sf(11)

    assert p_conform(0, 1, 10, 11) == pytest.approx(theirs, rel=1e-9)


@given(st.floats(0.5, 0.9999), SPREADS, VALUES)
def test_a_reading_on_the_acceptance_limit_conforms_with_the_probability_asked_for(p, u, upper):
    limit = guard_limit(p, u, upper=upper)

    assert stats.norm.cdf(upper, limit, u) == pytest.approx(p, abs=1e-9)


@given(st.lists(st.floats(1e-6, 100), min_size=1, max_size=8))
def test_independent_parts_add_as_in_uncertainties(parts):
    theirs = sum(ufloat(0, part) for part in parts).std_dev

    assert combine(parts) == pytest.approx(theirs, rel=1e-12)


@given(st.lists(st.floats(-1000, 1000), min_size=2, max_size=30))
def test_repeats_have_numpys_spread_and_scipys_standard_error(readings):
    answer = type_a(readings)

    assert answer["mean"] == pytest.approx(np.mean(readings), abs=1e-9)
    assert answer["s"] == pytest.approx(np.std(readings, ddof=1), abs=1e-9)
    assert answer["u"] == pytest.approx(stats.sem(readings), abs=1e-9)


@given(VALUES, st.floats(0, 5), VALUES, st.floats(0, 30))
def test_exactly_one_of_three_verdicts_holds_and_proof_agrees_with_the_side(y, U, lower, width):
    verdict = three_way(y, U=U, lower=lower, upper=lower + width)

    inside = lower <= y <= lower + width
    assert verdict != "conform" or inside
    assert verdict != "not-conform" or not inside


@given(VALUES, st.floats(0.01, 5), VALUES)
def test_a_proved_verdict_has_a_probability_of_at_least_that_of_two_sigma(y, u, lower):
    verdict, p = three_way(y, U=2 * u, lower=lower), p_conform(y, u, lower=lower)

    proved = stats.norm.cdf(2) - 1e-9
    assert verdict != "conform" or p >= proved
    assert verdict != "not-conform" or p <= 1 - proved
    assert math.isfinite(p)
