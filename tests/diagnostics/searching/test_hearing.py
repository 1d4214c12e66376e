"""How readings of a complaint are heard as outcomes of a search."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

from diagnostics.searching.hearing import TAKEN_AGAIN, TOO_CLOSE, hear
from diagnostics.snapshot import Instrument
from diagnostics.snapshot import Test as Taken
from shared.moments import Moment
from tests.diagnostics.searching.example import example, listens

LEVEL = {
    "id": "level",
    "kind": "measure",
    "minutes": 2,
    "outcomes": [
        {"id": "low", "unit": "V", "to": 2},
        {"id": "mid", "unit": "V", "from": 2, "to": 9},
        {"id": "high", "unit": "V", "from": 9},
    ],
}
DROP = {
    "id": "drop",
    "kind": "measure",
    "minutes": 1,
    "max_uses": 2,
    "outcomes": [{"id": "small"}, {"id": "large"}],
}
NUMBERS = {
    "level": {"code": "line_level", "point": "hub A", "unit": "V", "says": {}, "observation": {}},
    "drop": {
        "code": "fuse_drop",
        "point": "fuse 3",
        "unit": "mV",
        "says": {"small": "pass", "large": "fail"},
        "observation": {},
    },
}
METER = Instrument("meter 2", accuracy=Decimal("0.5"))


def heard(*tests, document=None, by=None, complaint="C1"):
    found = document or example()
    return hear(
        tests,
        complaint=complaint,
        document=found,
        listens=by or listens(found),
        instruments={METER.id: METER},
    )


def look(test, result, **more):
    return Taken(
        id="T1", code="unplug", point=test, phase="before", kind="attribute", complaint="C1",
        on=Moment(date(2026, 3, 2)), result=result, observation="seen", **more,
    )  # fmt: skip


def number(code, point, value, unit, **more):
    return Taken(
        id="T1", code=code, point=point, phase="before", kind="numeric", complaint="C1", unit=unit,
        value=Decimal(value), on=Moment(date(2026, 3, 2)), **more,
    )  # fmt: skip


def numbers(*tests):
    return heard(*tests, document={"tests": [LEVEL, DROP]}, by=NUMBERS)


def test_a_reading_is_heard_by_its_code_and_point_whoever_recorded_it():
    (one,) = heard(look("unplug_U4", "fail"))

    assert (one.test, one.outcome, one.counts) == ("unplug_U4", "alive", True)


def test_a_reading_of_another_complaint_phase_or_status_is_not_heard():
    run = look("unplug_U4", "fail")
    others = (
        replace(run, complaint="C2"),
        replace(run, phase="after"),
        replace(run, status="not_applicable"),
        replace(run, point="elsewhere"),
    )

    assert heard(*others) == ()


def test_a_verdict_without_an_observation_tells_nothing_and_says_why():
    (one,) = heard(replace(look("unplug_U4", "fail"), observation=""))

    assert (one.counts, one.why) == (False, "no observation")


def test_a_number_is_the_outcome_whose_range_holds_it_in_any_unit_of_the_kind():
    (one,) = numbers(number("line_level", "hub A", "6500", "mV"))

    assert one.outcome == "mid"


def test_a_number_that_the_meter_cannot_place_is_no_entry():
    (one,) = numbers(number("line_level", "hub A", "8.9", "V", instrument="meter 2"))

    assert (one.counts, one.why) == (False, TOO_CLOSE)


def test_a_number_goes_by_its_judged_verdict_where_outcomes_have_no_ranges():
    (one,) = numbers(number("fuse_drop", "fuse 3", "12", "mV", hi=Decimal(5), limit_unit="mV"))

    assert one.outcome == "large"


def test_a_verdict_that_is_not_proved_is_no_entry():
    near = number("fuse_drop", "fuse 3", "5.2", "mV", hi=Decimal(5), limit_unit="mV", instrument="meter 2")
    (one,) = numbers(near)

    assert (one.counts, one.why) == (False, TOO_CLOSE)


def test_the_same_static_reading_taken_twice_is_one_and_the_later_one_counts():
    first = look("unplug_U4", "pass")
    before, after = heard(first, replace(first, id="T2", result="fail"))

    assert (before.why, before.counts) == (TAKEN_AGAIN, False)
    assert (after.outcome, after.counts) == ("alive", True)


def test_a_repeat_that_is_fresh_counts_as_often_as_it_tells_something():
    run = number("fuse_drop", "fuse 3", "12", "mV", hi=Decimal(5), limit_unit="mV")
    found = numbers(run, replace(run, id="T2"), replace(run, id="T3"))

    assert [one.counts for one in found] == [False, True, True]
