"""Tests on record beside the accuracy of the instrument they were taken with."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics import snapshot
from diagnostics.judging import distance_inside, distance_outside, outcome
from diagnostics.metrology import judgement_of, proof_words, range_of
from diagnostics.snapshot import Instrument, InstrumentRange
from shared.moments import Moment

SIX = InstrumentRange("V", Decimal(0), Decimal(6), Decimal("0.001"), "0.5 % + 2")
SIXTY = InstrumentRange("V", Decimal(0), Decimal(60), Decimal("0.01"), "0.5 % + 2")
METER = Instrument("M1", accuracy=Decimal("0.5"), ranges=(SIX, SIXTY))
METERS = {"M1": METER}


def reading(value, unit="V", lo="12.4", hi=None, limit_unit=""):
    limits = [None if limit is None else Decimal(limit) for limit in (lo, hi)]
    return snapshot.Test(
        "T1", "rest_voltage", "before", "numeric", Moment(date(2026, 3, 2)), value=Decimal(value), unit=unit,
        lo=limits[0], hi=limits[1], limit_unit=limit_unit, instrument="M1",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("value", "unit", "expected"),
    [
        ("12.31", "V", SIXTY),
        ("5.1", "V", SIX),  # the narrowest that holds it
        ("5.10", "V", SIXTY),  # the last digit is the step of this one
        ("5100", "mV", SIX),
        ("-12.31", "V", SIXTY),  # a meter shows the other polarity with a minus
        ("61", "V", None),
        ("5", "A", None),
    ],
)
def test_the_range_that_holds_the_value_is_chosen(value, unit, expected):
    assert range_of(reading(value, unit), METER) == expected


def test_the_accuracy_of_the_range_goes_before_the_single_number():
    found = judgement_of(reading("12.45"), METERS)

    assert pytest.approx(2 * (12.45 * 0.005 + 0.02) / 3**0.5) == found.U
    assert found.words == "within, not proved"


def test_outside_all_ranges_the_single_number_counts():
    found = judgement_of(reading("61", lo="60"), METERS)

    assert pytest.approx(2 * 0.5 / 3**0.5) == found.U


def test_a_range_without_a_resolution_takes_the_step_of_the_typed_digits():
    meter = replace(METER, ranges=(replace(SIXTY, resolution=None),))

    assert pytest.approx(2 * (0.062 + 0.2) / 3**0.5) == judgement_of(reading("12.4"), {"M1": meter}).U


def test_a_reading_in_another_unit_is_judged_in_its_own():
    found = judgement_of(reading("12450", "mV", limit_unit="V"), METERS)

    # Read to 1 mV, so no range has its step; the narrowest that holds it counts 10 mV a step.
    assert (found.unit, found.U) == ("mV", pytest.approx(2 * (62.25 + 20) / 3**0.5))


def test_a_makers_coverage_factor_is_taken():
    meter = replace(METER, ranges=(replace(SIXTY, accuracy_text="1 % (k = 2)"),))

    assert judgement_of(reading("12.00"), {"M1": meter}).u == pytest.approx(0.06)


@pytest.mark.parametrize(
    ("test", "instruments"),
    [
        (reading("12.4"), {}),
        (reading("12.4"), {"M1": Instrument("M1")}),
        (reading("12.4", lo=None), METERS),
        (reading("12.4", "A", limit_unit="V"), METERS),
        (reading("12.4", lo="13", hi="12"), METERS),
        (reading("1e400", lo="1"), METERS),
    ],
)
def test_without_outcome_or_accuracy_nothing_is_said(test, instruments):
    assert judgement_of(test, instruments) is None
    assert proof_words(test, judgement_of(test, instruments)) == ""


def test_a_statement_that_cannot_be_read_falls_back_to_the_single_number():
    meter = replace(METER, ranges=(replace(SIXTY, accuracy_text="very good"),))

    assert pytest.approx(2 * 0.5 / 3**0.5) == judgement_of(reading("12.45"), {"M1": meter}).U


@given(
    st.decimals(min_value=0, max_value=20, places=2),
    st.decimals(min_value="0.01", max_value=2, places=2),
    st.decimals(min_value=5, max_value=15, places=1),
)
def test_the_side_is_the_outcome_and_what_r16_calls_marginal_is_never_proved(value, accuracy, limit):
    test, meters = reading(str(value), lo=str(limit)), {"M1": Instrument("M1", accuracy=accuracy)}

    found = judgement_of(test, meters)

    distance = distance_inside(test) if outcome(test) == "pass" else distance_outside(test)
    assert (found.side == "within") == (outcome(test) == "pass")
    assert not (distance <= accuracy and found.is_proved)
    assert found.conformity != "conform" or outcome(test) == "pass"
    assert found.conformity != "not-conform" or outcome(test) == "fail"
