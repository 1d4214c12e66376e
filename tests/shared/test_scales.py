from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared import scales

D = Decimal
READINGS = st.decimals("-5000", "5000", places=2)


@pytest.mark.parametrize(
    ("value", "lo", "hi", "where"),
    [
        (D("12.39"), D("12.40"), D("12.90"), "below"),
        (D("12.40"), D("12.40"), D("12.90"), "within"),
        (D("12.90"), D("12.40"), D("12.90"), "within"),
        (D("12.91"), D("12.40"), D("12.90"), "above"),
        (D("0.05"), None, D("0.05"), "within"),
        (None, D("1"), D("2"), "none"),
        (D("1"), None, None, "none"),
    ],
)
def test_a_value_stands_below_within_or_above_limits_that_are_included(value, lo, hi, where):
    assert scales.place(value, lo, hi) == where


def test_two_limits_take_the_middle_half_of_the_scale():
    drawn = scales.strip(D("14.1"), D("13.5"), D("14.7"))

    assert (drawn.band_at, drawn.band_width, drawn.at) == (25.0, 50.0, 50.0)


def test_an_upper_limit_alone_is_drawn_from_zero():
    drawn = scales.strip(D("0.03"), None, D("0.05"))

    assert (drawn.start, drawn.band_at, drawn.band_width, drawn.at) == (0.0, 0.0, 50.0, 30.0)


def test_a_lower_limit_alone_is_hatched_to_the_right_end():
    drawn = scales.strip(D("12.05"), D("12.40"), None)

    assert (drawn.band_at, drawn.band_width, drawn.at) == (50.0, 50.0, 10.0)


def test_a_value_far_out_stands_behind_a_break_so_that_the_limits_keep_their_width():
    drawn = scales.strip(D("5.3"), None, D("0.2"))

    assert drawn.break_at == scales.BREAK_PERCENT
    assert drawn.at == scales.BEYOND_PERCENT
    assert drawn.band_width >= scales.LEAST_BAND_PERCENT


def test_a_value_far_below_breaks_the_line_on_the_left():
    drawn = scales.strip(D("2"), D("57"), D("63"))

    assert drawn.break_at == 100 - scales.BREAK_PERCENT
    assert drawn.at == 100 - scales.BEYOND_PERCENT


def test_before_and_after_share_one_scale():
    drawn = scales.strip(D("12.58"), D("12.40"), None, before=D("12.05"))

    assert drawn.before < drawn.band_at < drawn.at


def test_nothing_is_drawn_without_a_limit_or_without_a_value():
    assert scales.strip(D("1"), None, None) is None
    assert scales.strip(None, D("1"), D("2")) is None


@given(value=READINGS, limits=st.tuples(READINGS, READINGS).map(sorted))
def test_the_drawing_agrees_with_the_verdict_and_stays_on_the_paper(value, limits):
    lo, hi = limits
    drawn = scales.strip(value, lo, hi)
    where = scales.place(value, lo, hi)

    assert 0 <= drawn.at <= 100
    assert drawn.band_at >= 0
    assert drawn.band_at + drawn.band_width <= 100.01
    if where == "below":
        assert drawn.at <= drawn.band_at + 0.01
    elif where == "above":
        assert drawn.at >= drawn.band_at + drawn.band_width - 0.01
    else:
        assert drawn.band_at - 0.01 <= drawn.at <= drawn.band_at + drawn.band_width + 0.01


@given(value=READINGS, limit=READINGS, upper=st.booleans())
def test_one_limit_alone_agrees_with_the_verdict_too(value, limit, upper):
    lo, hi = (None, limit) if upper else (limit, None)
    drawn = scales.strip(value, lo, hi)
    inside = drawn.band_at - 0.01 <= drawn.at <= drawn.band_at + drawn.band_width + 0.01

    assert inside or scales.place(value, lo, hi) != "within"
    assert 0 <= drawn.at <= 100


def test_an_axis_ends_on_a_round_number_that_holds_the_largest_value():
    assert [tick.label for tick in scales.ticks(16)] == ["0", "5", "10", "15", "20"]


def test_the_end_labels_of_an_axis_hang_inwards():
    anchors = [tick.anchor for tick in scales.ticks(16)]

    assert (anchors[0], anchors[1], anchors[-1]) == ("start", "middle", "end")


def test_an_axis_without_length_is_refused():
    with pytest.raises(ValueError, match="has no length"):
        scales.ticks(0)


def test_positions_are_held_on_the_axis():
    assert scales.positions([-1, 5, 30], 20) == (0.0, 25.0, 100.0)
