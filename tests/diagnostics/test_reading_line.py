from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.reading_line import Entry, read_line
from shared.quantities import Question


@pytest.mark.parametrize(
    ("text", "unit", "value", "read_unit"),
    [
        ("12.31 V", "", "12.31", "V"),
        ("12.31", "V", "12.31", "V"),
        ("12,31", "V", "12.31", "V"),
        ("350 mV", "V", "350", "mV"),
        ("350mv", "V", "350", "mV"),
        ("-0.5", "V", "-0.5", "V"),
        ("\u22120.5 V", "V", "-0.5", "V"),
        ("+ 3", "A", "3", "A"),
        (".5", "A", "0.5", "A"),
        ("0,125 V", "V", "0.125", "V"),
        ("12.30", "V", "12.30", "V"),
        ("4.7k", "ohm", "4.7", "kΩ"),
        ("98.5 F", "°C", "98.5", "°F"),
        ("12 clicks", "clicks", "12", "clicks"),
    ],
)
def test_a_line_gives_number_and_unit(text, unit, value, read_unit):
    entry = read_line(text, unit=unit)

    assert (str(entry.value), entry.unit) == (value, read_unit)


# IEC 60062:2016 clause 4, examples of the letter in the place of the decimal point. From memory.
@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("4k7", "4.7", "kΩ"),
        ("0R59", "0.59", "Ω"),
        ("1R0", "1.0", "Ω"),
        ("3M32", "3.32", "MΩ"),
        ("33K2", "33.2", "kΩ"),
    ],
)
def test_a_letter_stands_in_the_place_of_the_decimal_point(text, value, unit):
    entry = read_line(text, unit="Ω")

    assert (str(entry.value), entry.unit) == (value, unit)


def test_the_point_stands_after_the_at_sign():
    expected = Entry("5.3mV", Decimal("5.3"), "mV", "fuse 14", resolution=Decimal("0.1"))

    assert read_line("5.3mV @ fuse 14", unit="mV") == expected


def test_the_point_may_stand_before_the_number():
    expected = Entry("fuse 12 0.1 mV", Decimal("0.1"), "mV", "fuse 12", resolution=Decimal("0.1"))

    assert read_line("fuse 12 0.1 mV", unit="mV") == expected


def test_a_point_and_a_bare_number_are_not_taken_for_a_reading():
    with pytest.raises(Question, match="'fuse 14' is not a number"):
        read_line("fuse 14", unit="mV")


def test_the_usual_point_is_taken_where_none_is_typed():
    assert read_line("12.6", unit="V", point="battery posts").point == "battery posts"


@pytest.mark.parametrize("text", ["OL", "ol", "O.L", "O/L", "over range", "overrange", "∞"])
def test_over_range_is_kept_as_an_observation_without_a_value(text):
    entry = read_line(text, unit="Ω")

    assert (entry.value, entry.observation, entry.typed) == (None, "over range", text)


@pytest.mark.parametrize(
    ("text", "unit", "code", "says"),
    [
        ("", "V", "empty", "What did the instrument show"),
        ("nan", "V", "not_a_number", "'nan' is not a number"),
        ("inf V", "V", "not_a_number", "'inf V' is not a number"),
        ("-inf", "V", "not_a_number", "is not a number"),
        ("1e99", "V", "too_large", "ten to the power of 99"),
        ("good", "V", "not_a_number", "such as 12.31 V"),
        ("12.31", "", "unit_missing", "In which unit"),
        ("12.31 A", "V", "unit_of_another_kind", "A measures current, and this test asks for voltage, in V"),
        ("4k7", "V", "unit_of_another_kind", "kΩ measures resistance"),
        ("12.31 Vx", "V", "unit_unknown", "'Vx' is not a unit"),
        ("5 clicks", "V", "unit_unknown", "'clicks' is not a unit"),
        ("1,200", "V", "comma_unclear", "Is '1,200' 1200 or 1.200"),
        ("1,20.5", "V", "two_points", "has two marks"),
        ("1.2.3", "V", "two_points", "one decimal point"),
        ("5.3mV fuse 14", "mV", "unit_unknown", "'mV fuse 14' is not a unit"),
        ("5 mV @", "V", "point_missing", "Which point"),
        ("1" * 41, "V", "too_long", "at most 40 digits"),
        ("5 V @ " + "x" * 65, "V", "too_long", "at most 64 characters"),
        ("١٢", "V", "not_a_number", "is not a number"),
    ],
)
def test_an_unclear_line_is_answered_with_a_question(text, unit, code, says):
    with pytest.raises(Question, match=says.replace("(", r"\(")) as refused:
        read_line(text, unit=unit)

    assert refused.value.code == code


@given(st.decimals(allow_nan=False, allow_infinity=False, min_value=-(10**5), max_value=10**5, places=4))
def test_every_plain_decimal_is_read_back_digit_for_digit(number):
    assert str(read_line(f"{number:f} V", unit="V").value) == f"{number:f}"


@given(st.text(max_size=40))
def test_any_line_is_read_or_asked_about(text):
    try:
        entry = read_line(text, unit="V")
    except Question:
        return
    assert entry.value is None or entry.value.is_finite()


@pytest.mark.parametrize(
    ("text", "lo", "hi", "value", "observation"),
    [
        ("< 0.1", None, "0.2", "0.1", "less than 0.1 Ω"),  # every value below 0.1 is below 0.2
        ("< 0.1", None, "0.05", None, "less than 0.1 Ω"),  # 0.03 is within, 0.07 is not
        ("< 0.1", "0.05", None, None, "less than 0.1 Ω"),
        ("< 0.1", "0.2", "0.4", "0.1", "less than 0.1 Ω"),
        ("< 0.1", "0.1", None, None, "less than 0.1 Ω"),  # 0.1 itself would pass, nothing below it does
        ("< 0.1", None, None, None, "less than 0.1 Ω"),
        ("> 30", "10", None, "30", "more than 30 Ω"),
        ("> 30", None, "20", "30", "more than 30 Ω"),
        ("> 30", "10", "50", None, "more than 30 Ω"),
        ("> 30", None, "30", None, "more than 30 Ω"),
    ],
)
def test_a_bound_is_the_value_only_where_it_settles_the_outcome(text, lo, hi, value, observation):
    entry = read_line(text, unit="Ω", lo=lo and Decimal(lo), hi=hi and Decimal(hi))

    assert (entry.value and str(entry.value), entry.observation.replace("\u00a0", " ")) == (
        value,
        observation,
    )


@pytest.mark.parametrize(
    ("text", "lo", "hi", "value"),
    [
        ("12.5-12.8", "12.4", "12.9", "12.5"),
        ("12.6 to 12.85", "12.4", "12.9", "12.85"),
        ("12.0-12.2", "12.4", None, "12.2"),
        ("12.0-12.2", None, None, "12.1"),
    ],
)
def test_the_end_of_a_range_that_is_nearest_to_a_limit_counts(text, lo, hi, value):
    entry = read_line(text, unit="V", lo=lo and Decimal(lo), hi=hi and Decimal(hi))

    assert str(entry.value) == value


def test_a_limit_inside_a_range_is_asked_about():
    with pytest.raises(Question, match="Which value counts") as asked:
        read_line("12.2-12.6", unit="V", lo=Decimal("12.4"))

    assert asked.value.suggestions == ("12.2 V", "12.6 V")


def test_limits_in_another_unit_of_the_kind_settle_a_bound_too():
    assert read_line("< 100 mV", unit="V", hi=Decimal("0.2"), limit_unit="V").value == 100


def test_a_point_may_stand_behind_a_bound():
    entry = read_line("< 0.1 V @ ground strap", unit="V", hi=Decimal("0.2"))

    assert (entry.point, entry.value) == ("ground strap", Decimal("0.1"))


@pytest.mark.parametrize("text", ["35 A @ fuse 4", "fuse 4 35 A"])
def test_what_is_offered_keeps_the_point(text):
    with pytest.raises(Question, match="1000 times") as asked:
        read_line(text, unit="A", hi=Decimal("0.05"))

    assert asked.value.suggestions == ("35 mA @ fuse 4",)
