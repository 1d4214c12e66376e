"""What a reading would have said without the error of its instrument."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics import snapshot
from diagnostics.metrology.look_back import look_back
from diagnostics.snapshot import Instrument
from shared.moments import Moment

METERS = {"M1": Instrument("M1", accuracy=Decimal("0.05"))}


def reading(value, unit="V", lo="12.4"):
    return snapshot.Test(
        "T1", "rest_voltage", "before", "numeric", Moment(date(2026, 3, 2)),
        value=value and Decimal(value), unit=unit, lo=lo and Decimal(lo), limit_unit="V" if lo else "",
        instrument="M1",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("value", "error", "unit", "corrected", "words", "would_be"),
    [
        ("12.50", "0.15", "V", "12.350", "the verdict would change", "outside, below, not proved"),
        ("12.50", "150", "mV", "12.350", "the verdict would change", "outside, below, not proved"),
        ("12.50", "-0.15", "V", "12.650", "stays", "within, proved"),
        ("12.60", "0.15", "V", "12.450", "no longer proved", "within, not proved"),
        ("12.36", "-0.15", "V", "12.510", "the verdict would change", "within, proved"),
        (
            "12.50",
            "1",
            "%",
            "12.376",
            "the verdict would change",
            "outside, below, not proved",
        ),  # 12.50 / 1.01
        ("12.10", "0.15", "V", "11.950", "stays", "outside, below, proved"),
    ],
)
def test_the_error_is_taken_out_and_the_verdict_made_again(value, error, unit, corrected, words, would_be):
    found = look_back(reading(value), METERS, Decimal(error), unit)

    assert (str(found.corrected), found.words, found.would_be) == (corrected, words, would_be)


@pytest.mark.parametrize(
    ("test", "error", "unit", "says"),
    [
        (reading("12.5"), "1", "kPa", "the error is in kPa, the reading in V"),
        (reading("12.5"), None, "", "the error is not known"),
        (reading(None), "1", "V", "no number was read"),
        (reading("12.5"), "-100", "%", "leaves no reading"),
        (reading("30", "mpg", None), "1", "L/100 km", "counts the other way round"),
    ],
)
def test_where_it_cannot_be_said_it_says_why(test, error, unit, says):
    found = look_back(test, METERS, error and Decimal(error), unit)

    assert found.words.startswith("cannot tell: ")
    assert says in found.words
    assert (found.corrected, found.changes, found.weakens) == (None, False, False)


def test_readings_of_another_kind_than_the_error_was_found_in_are_not_touched():
    found = look_back(reading("60", "Ω", None), METERS, Decimal(1), "%", of_unit="V")

    assert found.words == "not touched: the error was found in V"


def test_the_error_of_a_reading_that_is_a_ratio_is_in_points():
    test = reading("3.5", "%", None)

    assert str(look_back(test, METERS, Decimal("0.5"), "%").corrected) == "3.00"


def test_the_error_of_a_thermometer_is_a_difference():
    test = reading("90.0", "°C", None)

    assert str(look_back(test, METERS, Decimal(9), "°F").corrected) == "85.00"


@given(st.decimals(min_value=0, max_value=30, places=2))
def test_no_error_changes_nothing(value):
    found = look_back(reading(str(value)), METERS, Decimal(0), "V")

    assert not found.changes
    assert not found.weakens
    assert found.would_be == found.was
