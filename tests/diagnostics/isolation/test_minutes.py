import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.isolation.minutes import FAR_FACTOR, GENERAL_SPREAD, LEAST_MINUTES, learned, shared_out

MINUTES = st.floats(0.5, 600)
TIMES = st.lists(MINUTES, max_size=12)


def test_without_observations_the_general_value_stands():
    found = learned(8, [])

    assert (found.value, found.count) == (pytest.approx(8), 0)
    assert found.spread == pytest.approx(GENERAL_SPREAD)


def test_one_observation_moves_the_general_value_a_quarter_of_the_way():
    """Worked by hand: three times ln 8 and once ln 16 give 8 times the fourth root of 2."""
    assert learned(8, [16]).value == pytest.approx(8 * 2**0.25)


@given(MINUTES, TIMES)
def test_minutes_lie_between_the_general_value_and_those_observed(general, observed):
    value = learned(general, observed).value

    assert min([general, *observed]) * (1 - 1e-9) <= value <= max([general, *observed]) * (1 + 1e-9)


@given(MINUTES, TIMES, st.randoms())
def test_the_order_of_observations_does_not_matter(general, observed, random):
    mixed = list(observed)
    random.shuffle(mixed)

    assert learned(general, mixed).value == pytest.approx(learned(general, observed).value)


@given(MINUTES, TIMES, MINUTES, st.floats(1, 5))
def test_a_longer_observation_never_shortens_the_minutes(general, observed, one, factor):
    shorter, longer = learned(general, [*observed, one]), learned(general, [*observed, one * factor])

    assert longer.value >= shorter.value * (1 - 1e-9)


@given(MINUTES, MINUTES)
def test_many_equal_observations_are_believed(general, really):
    assert learned(general, [really] * 600).value == pytest.approx(really, rel=0.05)


@given(st.floats(0.5, 20), st.lists(st.floats(4, 6), min_size=3, max_size=8), st.floats(60, 100_000))
def test_a_wild_value_counts_as_a_far_one_at_most(general, observed, wild):
    found = learned(general, [*observed, wild])

    # No middle of these values is above 20, so none counts for more than this.
    assert found.value <= learned(general, [*observed, 20 * FAR_FACTOR]).value * (1 + 1e-9)


def test_nothing_takes_less_than_half_a_minute():
    assert learned(0.01, [0.01] * 9).value == LEAST_MINUTES


def test_scattered_times_have_the_wider_spread():
    assert learned(8, [4, 16, 4, 16]).spread > learned(8, [8, 8, 8, 8]).spread


@pytest.mark.parametrize("wrong", [0, -1, math.nan, math.inf])
def test_what_is_no_stretch_of_time_is_refused(wrong):
    with pytest.raises(ValueError, match="Minutes must be above 0"):
        learned(8, [wrong])


def test_the_words_say_what_the_minutes_rest_on():
    assert learned(8, []).words == "general value, not yet timed here"
    assert learned(8, [8, 8, 8, 8]).words.replace("\u00a0", " ") == "from 4 jobs, most of them 6 to 10 min"


def test_one_look_at_the_clock_is_shared_out_as_expected():
    assert shared_out(22, {"open": 8, "test": 3, "lid": 0}) == {"open": 16, "test": 6}


@given(st.floats(1, 300), st.dictionaries(st.sampled_from("abcde"), st.floats(0.5, 60), min_size=1))
def test_what_is_shared_out_adds_up(taken, expected):
    assert math.fsum(shared_out(taken, expected).values()) == pytest.approx(taken)
