"""How many clean trials are needed, and what clean trials do not exclude."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from diagnostics.evidence import has_valid_plan, trials_for_rate, trials_needed, zero_recurrence_upper
from tests.diagnostics.evidence.build import a_complaint, a_plan, an_attempt

# The table of practice.md section 8, computed there.
TABLE = [(9, 10, 2), (7, 10, 3), (5, 10, 5), (3, 10, 9), (2, 10, 14), (1, 10, 29), (1, 20, 59)]


@pytest.mark.parametrize(("shown", "tries", "needed"), TABLE)
def test_the_table_of_rates_holds_before_the_floor(shown, tries, needed):
    assert trials_for_rate(shown, tries, fewest=1) == needed


@pytest.mark.parametrize(("shown", "tries", "needed"), TABLE)
def test_the_floor_is_three_trials(shown, tries, needed):
    assert trials_for_rate(shown, tries) == max(needed, 3)


@pytest.mark.parametrize(("shown", "tries"), [(5, 5), (0, 5), (0, 0), (6, 5), (-1, 5)])
def test_a_rate_that_says_nothing_gives_the_floor(shown, tries):
    assert trials_for_rate(shown, tries) == 3


def test_a_rate_of_nineteen_in_twenty_needs_one_trial_before_the_floor():
    assert trials_for_rate(19, 20, fewest=1) == 1


@given(st.integers(2, 400), st.data())
def test_the_number_is_the_smallest_whose_chance_of_a_clean_run_is_five_per_cent(tries, data):
    shown = data.draw(st.integers(1, tries - 1))
    needed = trials_for_rate(shown, tries, fewest=1)
    clean = Fraction(tries - shown, tries)

    assert clean**needed <= Fraction(1, 20)
    assert needed == 1 or clean ** (needed - 1) > Fraction(1, 20)


def test_a_valid_plan_comes_first():
    assert trials_needed(a_complaint(plan=a_plan(2), pattern="constant")) == 2
    assert trials_needed(a_complaint(plan=a_plan(1), attempts=(an_attempt(n=10, k=1),))) == 1


def test_a_plan_that_is_not_valid_is_passed_over():
    assert trials_needed(a_complaint(plan=a_plan(9, " "), pattern="constant")) == 1


def test_a_constant_complaint_needs_one():
    assert trials_needed(a_complaint(pattern="constant", attempts=(an_attempt(n=10, k=1),))) == 1


@pytest.mark.parametrize("pattern", ["intermittent", None])
def test_a_pattern_not_given_counts_as_intermittent(pattern):
    assert trials_needed(a_complaint(pattern=pattern, attempts=(an_attempt(n=10, k=3),))) == 9


def test_attempts_add_up_and_one_that_lacks_a_number_adds_nothing():
    attempts = (
        an_attempt(n=4, k=1),
        an_attempt(n=6, k=2, equipment_connected=True),
        an_attempt(n=50),
        an_attempt(k=7),
    )

    assert trials_needed(a_complaint(attempts=attempts)) == 9


@pytest.mark.parametrize(
    ("plan", "is_valid"), [(None, False), (a_plan(0), False), (a_plan(1, ""), False), (a_plan(1), True)]
)
def test_a_valid_plan_has_trials_and_conditions(plan, is_valid):
    assert has_valid_plan(plan) is is_valid


@pytest.mark.parametrize(("trials", "percent"), [(3, 63), (10, 26), (30, 9.5)])
def test_the_bound_of_practice_section_8(trials, percent):
    assert 100 * zero_recurrence_upper(trials) == pytest.approx(percent, abs=0.5)


@pytest.mark.parametrize("trials", [1, 3, 10, 30, 300])
def test_the_bound_is_the_exact_one_sided_bound_for_no_event(trials):
    # Clopper-Pearson one-sided upper bound for 0 of n from SciPy's beta distribution.
    assert zero_recurrence_upper(trials) == pytest.approx(stats.beta.ppf(0.95, 1, trials), rel=1e-12)


def test_no_trials_show_nothing():
    assert zero_recurrence_upper(0) == 1.0


def test_a_negative_number_of_trials_is_refused():
    with pytest.raises(ValueError, match="-1 trials cannot be"):
        zero_recurrence_upper(-1)
