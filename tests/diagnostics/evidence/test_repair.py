"""R22 to R24 and R26: was the repair checked, and what was left undone or done again?"""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest

from diagnostics.snapshot import Authorisation, Check, Declined, TimeEntry
from shared.moments import Moment
from tests.diagnostics.evidence.build import (
    a_cause,
    a_complaint,
    an_order,
    explained,
    findings,
    on,
    some_work,
    states,
    still_open,
)

# R22


def safety(*checks, **given):
    return an_order(
        complaints=(a_complaint(),), work=(some_work(**{"safety": True, **given}),), checks=checks
    )


def test_safety_work_without_a_check_is_a_gap():
    assert states(safety(), "R22") == {"w1": "gap"}


def test_a_check_by_another_person_closes_it():
    assert states(safety(Check("w1", "Hugo Lant", on(10))), "R22") == {}


@pytest.mark.parametrize(
    "check",
    [
        Check("w2", "Hugo Lant", on(10)),
        Check("w1", "Tobin Marl", on(10)),
        Check("w1", " Tobin Marl ", on(10)),
        Check("w1", " ", on(10)),
        Check("w1", "Hugo Lant", on(9)),
        Check("w1", "Hugo Lant", on(21)),
    ],
)
def test_a_check_by_the_doer_or_on_a_wrong_date_does_not_help(check):
    assert states(safety(check, by="Tobin Marl"), "R22") == {"w1": "gap"}


def test_without_a_name_on_the_work_the_orders_technician_did_it():
    assert states(safety(Check("w1", "Tobin Marl", on(10)), by=" "), "R22") == {"w1": "gap"}
    assert states(safety(Check("w1", "Hugo Lant", on(10)), by=" "), "R22") == {}


def test_the_technician_may_check_what_another_person_did():
    assert states(safety(Check("w1", "Tobin Marl", on(10)), by="Hugo Lant"), "R22") == {}


@pytest.mark.parametrize("day", [10, 20])
def test_the_check_may_be_dated_from_the_work_to_the_hand_over(day):
    assert states(safety(Check("w1", "Hugo Lant", on(day))), "R22") == {}


def test_work_without_the_safety_flag_needs_no_check():
    assert states(safety(safety=False), "R22") == {}


def test_a_missing_check_needs_a_second_name():
    assert states(still_open(safety()), "R22") == {"w1": "pending"}
    assert states(explained(safety(), "R22", "w1"), "R22") == {"w1": "gap"}
    assert states(explained(safety(), "R22", "w1", approved_by="Hugo Lant"), "R22") == {"w1": "explained"}


# R23

DAY = date(2026, 10, 15)


@pytest.mark.parametrize(
    ("risk", "informed", "follow_up", "fires"),
    [
        ("safety", DAY, DAY, False),
        ("safety", DAY, None, True),
        ("safety", None, DAY, True),
        ("progressive", DAY, None, True),
        ("progressive", DAY, DAY, False),
        ("comfort", DAY, None, False),
        ("comfort", None, None, True),
    ],
)
def test_the_customer_must_know_and_a_risk_needs_a_date(risk, informed, follow_up, fires):
    item = Declined("d1", "front_discs", risk, informed_on=informed, follow_up_on=follow_up)

    assert bool(states(an_order(declined=(item,)), "R23")) is fires


def test_a_declined_risk_is_pending_then_explained():
    order = still_open(an_order(declined=(Declined("d1", "front_discs", "safety"),)))

    assert states(order, "R23") == {"d1": "pending"}
    assert states(explained(order, "R23", "d1"), "R23") == {"d1": "explained"}


# R24


def clocked(*minutes, agreed=()):
    return an_order(
        time=tuple(TimeEntry("Tobin Marl", on(3), m, "diagnosis") for m in minutes),
        authorisations=tuple(Authorisation(m, on(2)) for m in agreed),
    )


@pytest.mark.parametrize(
    ("minutes", "agreed", "fires"),
    [
        ((60,), (60,), False),
        ((61,), (60,), True),
        ((40, 30), (30, 40), False),
        ((40, 31), (30, 40), True),
        ((1,), (), True),
        ((), (), False),
    ],
)
def test_diagnosis_may_take_the_authorised_minutes_and_no_more(minutes, agreed, fires):
    assert states(clocked(*minutes, agreed=agreed), "R24") == ({"1057": "gap"} if fires else {})


def test_repair_time_is_not_diagnosis():
    order = an_order(time=(TimeEntry("Tobin Marl", on(3), 90, "repair"),))

    assert states(order, "R24") == {}


def test_time_over_is_never_pending_and_can_be_explained():
    order = still_open(clocked(61, agreed=(60,)))

    assert states(order, "R24") == {"1057": "gap"}
    assert states(explained(order, "R24", "1057"), "R24") == {"1057": "explained"}


def test_time_over_tells_both_sums():
    (finding,) = findings(clocked(75, agreed=(60,)), "R24")

    assert "Diagnosis took 75 min and 60 min were authorised" in finding.text
    assert "the other 15 min" in finding.text


# R26

WORKED_ON = date(2026, 10, 10)


def earlier_order(days=100, odo_out=50_000, id="900", **given):
    """An earlier order that replaced the socket module so many days before."""
    then = Moment(WORKED_ON - timedelta(days=days))
    work = some_work(**{"id": "w9", "on": then, **given})
    return an_order(id=id, opened=then, returned=then, odo_out=odo_out and Decimal(odo_out), work=(work,))


def now(odo_in=60_000, **given):
    return an_order(
        opened=on(10),
        odo_in=odo_in and Decimal(odo_in),
        complaints=(a_complaint(),),
        work=(some_work(**given),),
    )


@pytest.mark.parametrize(("days", "fires"), [(0, True), (100, True), (365, True), (366, False)])
def test_a_repeat_within_365_days_is_near(days, fires):
    assert bool(states(now(), "R26", earlier=(earlier_order(days),))) is fires


@pytest.mark.parametrize(
    ("odo_out", "odo_in", "fires"),
    [
        (40_000, 60_000, True),
        (39_999, 60_000, False),
        (None, 60_000, True),
        (10_000, None, True),
        (None, None, True),
        (70_000, 60_000, True),
    ],
)
def test_a_repeat_within_20_000_km_is_near_and_unknown_counts_as_near(odo_out, odo_in, fires):
    assert bool(states(now(odo_in), "R26", earlier=(earlier_order(odo_out=odo_out),))) is fires


def test_miles_are_converted_before_the_distance_is_taken():
    then = replace(earlier_order(odo_out=10_000), odo_unit="mi")

    assert states(now(36_093), "R26", earlier=(then,)) == {"w1": "gap"}
    assert states(now(36_094), "R26", earlier=(then,)) == {}


@pytest.mark.parametrize(
    "given", [{"reason": "maintenance"}, {"kind": "repair"}, {"component": "battery"}, {"component": " "}]
)
def test_what_the_earlier_order_did_not_replace_is_no_repeat(given):
    assert states(now(), "R26", earlier=(earlier_order(**given),)) == {}


@pytest.mark.parametrize(
    "given", [{"reason": "maintenance"}, {"kind": "clean"}, {"failure_analysis": "housing wet inside"}]
)
def test_maintenance_other_work_or_a_failure_analysis_is_no_gap(given):
    assert states(now(**given), "R26", earlier=(earlier_order(),)) == {}


@pytest.mark.parametrize("reason", ["cause", "access", "consequential", "customer_request"])
def test_a_replacement_for_any_other_reason_is_a_repeat(reason):
    assert states(now(reason=reason), "R26", earlier=(earlier_order(reason=reason),)) == {"w1": "gap"}


def test_a_blank_failure_analysis_is_none():
    assert states(now(failure_analysis="  "), "R26", earlier=(earlier_order(),)) == {"w1": "gap"}


def test_this_order_and_orders_opened_later_are_not_earlier():
    itself = now()
    later = replace(earlier_order(), opened=on(12))

    assert states(itself, "R26", earlier=(itself, later)) == {}


def test_on_one_date_the_time_of_day_says_which_order_is_earlier():
    order = replace(now(), opened=on(10, "08:00"))

    assert states(order, "R26", earlier=(replace(earlier_order(0), opened=on(10, "07:00")),)) == {"w1": "gap"}
    assert states(order, "R26", earlier=(replace(earlier_order(0), opened=on(10, "09:00")),)) == {}


def test_two_earlier_replacements_are_one_finding():
    assert len(findings(now(), "R26", earlier=(earlier_order(), earlier_order(200, id="800")))) == 1


def test_a_repeat_is_pending_then_explained():
    order, before = still_open(now()), (earlier_order(),)

    assert states(order, "R26", earlier=before) == {"w1": "pending"}
    assert states(explained(order, "R26", "w1"), "R26", earlier=before) == {"w1": "explained"}


def test_work_without_a_complaint_still_tells_the_complaint_of_its_cause():
    order = replace(safety(complaint="", cause="k1"), causes=(a_cause(),))

    assert findings(order, "R22")[0].complaint == "c1"
