from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest

from diagnostics.comebacks import vehicle_pairs
from diagnostics.demo import open_jobs, stories
from diagnostics.demo.days import last_open_before
from diagnostics.evidence import chain_status, evaluate
from tests.diagnostics.demo.conftest import moments

RETURNS = [
    ("battery_draw", 16, 312),
    ("charge_cable", 23, None),
    ("wet_misfire", 9, None),
    ("warm_air", 51, 1900),
]
WELL_DONE = ["charge_cable.return", "wet_misfire.return", "bus_resistor.only", "warm_air.return"]


def _findings(order, read_shop):
    instruments, orders = read_shop
    others = [other for other in orders.values() if other.vehicle == order.vehicle and other.id != order.id]
    return evaluate(order, instruments=instruments, earlier=others)


def _gaps(order, read_shop):
    return {(f.rule, f.subject) for f in _findings(order, read_shop) if f.state == "gap"}


@pytest.mark.parametrize(("name", "days", "miles"), RETURNS)
def test_a_story_comes_back_after_its_days_and_miles(story, name, days, miles):
    first, again = story(f"{name}.first"), story(f"{name}.return")

    assert (again.opened.on - first.returned.on).days == days
    if miles is not None:
        assert again.odo_in - first.odo_out == miles


@pytest.mark.parametrize("name", [name for name, _, _ in RETURNS])
def test_a_return_is_a_comeback_of_the_same_complaint(story, name):
    (pair,) = vehicle_pairs([story(f"{name}.first"), story(f"{name}.return")])

    assert (pair.verdict, pair.reason) == ("comeback", "same_complaint")


@pytest.mark.parametrize("name", WELL_DONE)
def test_a_job_done_well_has_no_finding_and_a_complete_chain(story, read_shop, name):
    order = story(name)
    findings = _findings(order, read_shop)

    assert findings == ()
    assert chain_status(order, findings, order.complaints[0]).words == "complete"
    assert chain_status(order, findings, order.complaints[0]).outcome == "proved gone"


@pytest.mark.parametrize(
    ("name", "skipped"),
    [
        ("battery_draw.first", "standing_draw"),
        ("charge_cable.first", "charge_cable_drop"),
        ("wet_misfire.first", "water_mist"),
        ("warm_air.first", "ac_leak_test"),
    ],
)
def test_a_first_visit_left_out_the_critical_step_that_would_have_shown_it(story, read_shop, name, skipped):
    order = story(name)

    assert ("R4", f"c1:{skipped}") in _gaps(order, read_shop)
    assert any(step.code == skipped and step.critical for step in order.complaints[0].required)


def test_the_battery_was_sold_on_a_claim_without_a_reading(story, read_shop):
    rules = {rule for rule, _ in _gaps(story("battery_draw.first"), read_shop)}

    assert {"R1", "R5", "R11", "R12", "R19"} <= rules


def test_the_coil_was_fitted_on_a_guess_with_the_reader_always_connected(story, read_shop):
    rules = {rule for rule, _ in _gaps(story("wet_misfire.first"), read_shop)}

    assert {"R2", "R11", "R12", "R13", "R21"} <= rules


def test_the_open_story_says_what_is_left_to_do(story, read_shop):
    order = story("battery_draw.return")
    found = {(f.rule, f.state) for f in _findings(order, read_shop)}

    assert order.returned is None
    assert {("R4", "pending"), ("R7", "gap"), ("R17", "pending"), ("R19", "pending")} <= found


def test_the_trailer_module_is_isolated_off_on_off(story):
    order = story("battery_draw.return")
    phases = order.reversals[0].phases

    assert [phase.present for phase in phases] == [True, False, True, False]
    assert {test.value for test in order.tests if test.code == "standing_draw"} == {
        Decimal("1.21"),
        Decimal("0.03"),
    }


def test_the_missing_end_resistor_reads_120_ohm_and_then_60(story):
    # Two of 120 ohm in parallel are 60: ISO 11898-2, reference values section 3.3. Read there.
    order = story("bus_resistor.only")
    across = [test for test in order.tests if test.point.startswith("pins 6 and 14")]

    assert [(test.phase, round(test.value)) for test in across] == [("before", 120), ("after", 60)]


def test_the_bus_job_is_handed_over_whole_and_checked_by_another(story):
    order = story("bus_resistor.only")
    (hand_off,) = order.handoffs

    assert hand_off.acknowledged_by == hand_off.receiver
    assert hand_off.known
    assert hand_off.next
    assert order.checks[0].by != order.work[0].by


def test_the_bus_job_never_came_back(story, read_shop):
    vehicle = story("bus_resistor.only").vehicle

    assert sum(order.vehicle == vehicle for order in read_shop[1].values()) == 1


def test_the_judder_is_not_in_the_discs_and_the_work_is_declined(story, read_shop):
    order = story("brake_judder.only")
    measured = [test for test in order.tests if test.code.startswith("disc_")]

    assert order.outcome == "declined_all"
    assert measured
    assert all(test.value <= test.hi for test in measured)
    assert all(item.informed_on and item.follow_up_on for item in order.declined)
    assert _gaps(order, read_shop) == set()


def test_whatever_the_day_the_gaps_are_kept_and_nothing_lies_ahead():
    for today in (date(2026, 1, 1) + timedelta(days=13 * n) for n in range(60)):
        last = last_open_before(today)
        told = {each.name: each.line for each in (*stories.tell(last), *open_jobs.tell(last))}

        assert max(moment for line in told.values() for moment in moments(line))[:10] <= last.isoformat()
        for name, days, _ in RETURNS:
            left = date.fromisoformat(told[f"{name}.first"]["returned"][:10])
            came = date.fromisoformat(told[f"{name}.return"]["opened"][:10])
            assert (came - left).days == days


def test_the_air_conditioning_comes_in_summer(story):
    assert story("warm_air.return").opened.on.month in range(6, 10)
