"""The outcome of a test, its distance from the limits, and its evidence level."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.judging import (
    describe,
    distance_inside,
    distance_outside,
    evidence_level,
    limits_in_reading_unit,
    outcome,
)
from tests.diagnostics.evidence.build import METER, METERS, a_claim_of, a_test, an_order, on

# Outcome


@pytest.mark.parametrize(
    ("value", "lo", "hi", "result"),
    [
        ("12.39", "12.40", None, "fail"),
        ("12.40", "12.40", None, "pass"),
        ("0.06", None, "0.05", "fail"),
        ("0.05", None, "0.05", "pass"),
        ("14.2", "13.5", "14.7", "pass"),
        ("14.71", "13.5", "14.7", "fail"),
        ("0", "0", None, "pass"),
        ("-0.1", "0", None, "fail"),
    ],
)
def test_a_numeric_reading_fails_outside_its_limits_and_passes_on_them(value, lo, hi, result):
    test = a_test(value=Decimal(value), lo=lo and Decimal(lo), hi=hi and Decimal(hi))

    assert outcome(test) == result


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"value": None}, "no value"),
        ({"unit": " "}, "no unit"),
        ({"lo": None}, "no limit"),
        ({"info_only": True}, "for information only"),
        ({"limit_unit": "A"}, "limits in A, reading in V"),
        ({"limit_unit": "furlong"}, "limits in furlong, reading in V"),
        ({"unit": "furlong", "limit_unit": "V"}, "limits in V, reading in furlong"),
        ({"status": "not_applicable"}, "not applicable"),
        ({"kind": "code"}, "a code read is a report, not a reading"),
    ],
)
def test_a_reading_that_cannot_be_judged_has_no_outcome_and_says_why(changes, why):
    test = a_test(**changes)

    assert outcome(test) is None
    assert (describe(test).words, describe(test).why) == ("not judged", why)


@pytest.mark.parametrize(
    ("changes", "result"),
    [
        ({"lo": Decimal(12400), "limit_unit": "mV"}, "fail"),
        ({"lo": Decimal("12.04"), "limit_unit": "volts"}, "pass"),
        ({"unit": "notch"}, "fail"),
        ({"unit": "notch", "limit_unit": " notch "}, "fail"),
        ({"value": Decimal(212), "unit": "°F", "lo": Decimal(100), "limit_unit": "°C"}, "pass"),
        ({"value": Decimal("211.9"), "unit": "°F", "lo": Decimal(100), "limit_unit": "°C"}, "fail"),
    ],
)
def test_limits_of_the_same_kind_are_converted_before_comparing(changes, result):
    assert outcome(a_test(**changes)) == result


@pytest.mark.parametrize(
    ("result", "observation", "expected"),
    [
        ("pass", "dry", "pass"),
        ("fail", "green crust", "fail"),
        ("fail", " ", None),
        (None, "green crust", None),
    ],
)
def test_an_attribute_has_its_written_result_if_it_was_observed(result, observation, expected):
    assert outcome(a_claim_of("t1", result, observation=observation)) == expected


def test_an_attribute_that_is_not_applicable_has_no_outcome():
    assert outcome(a_claim_of("t1", "fail", status="not_applicable")) is None


@pytest.mark.parametrize(
    ("value", "key", "words"),
    [("12.5", "within", "within"), ("12.0", "below", "outside, below"), ("13.1", "above", "outside, above")],
)
def test_the_verdict_tells_on_which_side_a_reading_lies(value, key, words):
    verdict = describe(a_test(value=Decimal(value), hi=Decimal("12.9")))

    assert (verdict.key, verdict.words) == (key, words)


@pytest.mark.parametrize(("result", "words"), [("pass", "passed"), ("fail", "failed")])
def test_the_verdict_of_an_attribute_is_a_word(result, words):
    assert describe(a_claim_of("t1", result)).words == words


# Distances


def test_the_distance_outside_is_exact_in_the_readings_unit():
    test = a_test(lo=Decimal(12400), limit_unit="mV")

    assert distance_outside(test) == Fraction(35, 100)
    assert distance_inside(test) is None


def test_the_distance_inside_is_to_the_nearest_limit():
    test = a_test(value=Decimal("14.6"), lo=Decimal("13.5"), hi=Decimal("14.7"))

    assert distance_inside(test) == Fraction(1, 10)
    assert distance_outside(test) is None


def test_a_reading_on_its_limit_is_no_distance_inside():
    assert distance_inside(a_test(value=Decimal("12.40"))) == 0


def test_a_reading_without_outcome_has_no_distance():
    assert distance_outside(a_test(info_only=True)) is None
    assert distance_inside(a_claim_of("t1", "pass")) is None


def test_limits_are_shown_in_the_readings_unit():
    assert limits_in_reading_unit(a_test(lo=Decimal(12400), limit_unit="mV")) == (Decimal("12.4"), None)
    assert limits_in_reading_unit(a_test(limit_unit="A")) == (None, None)


@given(
    st.decimals("-50", "50", places=3), st.decimals("-50", "50", places=3), st.decimals("0", "50", places=3)
)
def test_a_judged_reading_has_exactly_one_distance(value, lo, width):
    test = a_test(value=value, lo=lo, hi=lo + width)

    assert (distance_outside(test) is None) == (outcome(test) == "pass")
    assert (distance_inside(test) is None) == (outcome(test) == "fail")


# Evidence levels


def level(test, *others, instruments=METERS):
    found = evidence_level(test, an_order(tests=(test, *others)), instruments)
    return found.code if found else None


@pytest.mark.parametrize(
    ("test", "code"),
    [
        (a_test(value=None), "E0"),
        (a_test(unit=""), "E0"),
        (a_claim_of("t1", "fail", observation=""), "E0"),
        (a_claim_of("t1", None), "E0"),
        (a_claim_of("t1", "fail"), "E1"),
        (a_test(lo=None), "E2"),
        (a_test(limit_unit="A"), "E2"),
        (a_test(info_only=True), "E2"),
        (a_test(instrument=""), "E3"),
        (a_test(instrument="meter 9"), "E3"),
        (a_test(by=" "), "E3"),
        (a_test(), "E4"),
        (a_test(kind="code"), None),
        (a_test(status="not_applicable"), None),
    ],
)
def test_each_level_asks_for_what_section_3_says(test, code):
    assert level(test) == code


@pytest.mark.parametrize(
    "record", [{"cal_due": None}, {"cal_due": date(2026, 10, 2)}, {"withdrawn_on": date(2026, 10, 3)}]
)
def test_an_instrument_out_of_calibration_keeps_a_reading_at_judged(record):
    assert level(a_test(), instruments={METER.id: replace(METER, **record)}) == "E3"


def test_the_same_reading_by_another_person_confirms():
    assert level(a_test(), a_test("t2", by="Hugo Lant")) == "E5"


@pytest.mark.parametrize(
    "given",
    [
        {"by": "Tobin Marl"},
        {"by": ""},
        {"point": "jump posts"},
        {"phase": "after"},
        {"value": Decimal("12.66")},
        {"instrument": ""},
        {"on": on(21)},
        {"status": "not_applicable"},
        {"info_only": True},
    ],
)
def test_another_reading_that_is_not_as_good_does_not_confirm(given):
    assert level(a_test(), a_test(**{"id": "t2", "by": "Hugo Lant", **given})) == "E4"


def test_another_step_that_isolates_the_same_component_confirms():
    test = a_test(isolates="socket_module")

    assert level(test, a_test("t2", code="draw_asleep", isolates="socket_module")) == "E5"
    assert level(test, a_test("t2", code="draw_asleep", isolates="battery")) == "E4"
    assert level(test, a_test("t2", point="jump posts", isolates="socket_module")) == "E4"
    assert level(a_test(), a_test("t2", code="draw_asleep")) == "E4"


@pytest.mark.parametrize(("entered", "late"), [(None, False), (on(3, "23:00"), False), (on(4), True)])
def test_a_test_entered_on_a_later_date_keeps_its_level_and_is_marked(entered, late):
    test = a_test(entered_on=entered)
    found = evidence_level(test, an_order(tests=(test,)), METERS)

    assert found is not None
    assert (found.code, found.late) == ("E4", late)
    assert found.words == ("E4 verified, late" if late else "E4 verified")
