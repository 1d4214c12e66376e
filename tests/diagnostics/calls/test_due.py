"""Which calls are due, and what takes them off the list."""

from datetime import date, timedelta

import pytest

from diagnostics.calls.due import calls_due, count_due
from diagnostics.calls.listing import call_about, calls_of
from tests.factories import (
    CauseFactory,
    ComplaintFactory,
    CustomerFactory,
    CustomerTrialFactory,
    DeclinedItemFactory,
    FollowUpFactory,
    OrderFactory,
    VehicleFactory,
    WatchedCheckFactory,
    WatchedJobFactory,
    WorkItemFactory,
)

pytestmark = pytest.mark.django_db

HANDED_BACK = date(2026, 3, 1)
DUE = HANDED_BACK + timedelta(days=14)


def unproved(**about):
    """A job with work on the cause and its trials left out."""
    job = WatchedJobFactory(chain="broken", chain_link="trials", **about)
    ComplaintFactory(order=job.order, ref="C1", text="It dies.")
    WorkItemFactory(order=job.order)
    WatchedCheckFactory(job=job, code="R19", phase="", complaint_ref="C1", state="skipped")
    return job


def due(day=DUE):
    return [(row["order"], row["about"], row["subject"], row["due"]) for row in calls_due(day)]


def test_an_unproved_repair_is_due_some_days_after_hand_over_until_its_window_ends():
    job = unproved()

    assert due(DUE - timedelta(days=1)) == []
    assert due() == [(job.pk, "unproved", "C1", DUE)]
    assert due(job.mature_on - timedelta(days=1)) == due()
    assert due(job.mature_on) == []


def test_a_proved_repair_and_one_without_work_on_the_cause_are_not_due():
    proved = WatchedJobFactory(chain="complete")
    no_work = WatchedJobFactory(chain="broken", chain_link="cause")
    for job in (proved, no_work):
        ComplaintFactory(order=job.order)

    assert due() == []


def test_a_visit_a_departure_and_what_the_customer_told_take_a_call_off():
    came, left, told, stays = (unproved() for _ in range(4))
    OrderFactory(vehicle=came.vehicle, opened_on=HANDED_BACK + timedelta(days=3))
    OrderFactory(vehicle=stays.vehicle, opened_on=HANDED_BACK - timedelta(days=90))
    left.vehicle.left_on = HANDED_BACK + timedelta(days=5)
    left.vehicle.save()
    CustomerTrialFactory(order=told.order, complaint_ref="C1", since_on=HANDED_BACK, until_on=DUE)

    assert [row[0] for row in due()] == [stays.pk]


def test_a_call_takes_it_off_and_no_answer_brings_it_back_on_its_day():
    job = unproved()
    again = DUE + timedelta(days=3)
    FollowUpFactory(order=job.order, subject="C1", called_on=DUE, outcome="no_answer", again_on=again)

    assert due(again - timedelta(days=1)) == []
    assert due(again) == [(job.pk, "unproved", "C1", again)]

    FollowUpFactory(order=job.order, subject="C1", called_on=again, outcome="gone")
    assert due(again + timedelta(days=9)) == []


def test_trials_left_to_the_customer_are_due_until_one_was_clean():
    order = OrderFactory(opened_on=HANDED_BACK, returned_on=HANDED_BACK, outcome="monitor")
    job = WatchedJobFactory(order=order)
    ComplaintFactory(order=order, ref="C1", plan_n=5, plan_conditions="cold starts", position=0)
    ComplaintFactory(order=order, ref="C2", position=1)

    assert due() == [(job.pk, "trial_plan", "C1", DUE)]
    order.trialseries_set.create(complaint_ref="C1", n=5, recurrences=0, done_on=HANDED_BACK)
    assert due() == []


def test_a_declined_safety_item_is_due_on_its_day_or_after_the_usual_days():
    order = OrderFactory(opened_on=HANDED_BACK, returned_on=HANDED_BACK, outcome="declined_all")
    DeclinedItemFactory(order=order, ref="D1", follow_up_on=DUE - timedelta(days=7))
    DeclinedItemFactory(order=order, ref="D2", informed_on=HANDED_BACK)
    DeclinedItemFactory(order=order, ref="D3", risk="comfort")

    assert due() == [
        (order.pk, "declined", "D1", DUE - timedelta(days=7)),
        (order.pk, "declined", "D2", DUE),
    ]
    assert count_due(DUE) == 2
    assert due(DUE + timedelta(days=366)) == []


def test_only_the_calls_of_one_shop_or_one_order():
    one, other = unproved(), unproved()

    assert [row["order"] for row in calls_due(DUE, one.location)] == [one.pk]
    assert [row["order"] for row in calls_due(DUE, order=other.pk)] == [other.pk]


def test_a_call_says_whom_to_call_what_to_ask_and_what_was_found(django_assert_num_queries):
    vehicle = VehicleFactory(plate="QX 4471")
    job = unproved(
        order=OrderFactory(
            vehicle=vehicle,
            customer=CustomerFactory(name="Hanne Orrick", phone="01632 960 200"),
            opened_on=HANDED_BACK,
            returned_on=HANDED_BACK,
            outcome="repaired",
        )
    )
    CauseFactory(order=job.order, complaint_ref="C1", component="ground strap", mode="loose")
    DeclinedItemFactory(order=job.order, ref="D1", component="front tyres")
    for _ in range(3):
        unproved()

    with django_assert_num_queries(8):  # the window, the calls, and six lists of what they are about
        calls = calls_of(calls_due(DUE))

    call = next(one for one in calls if one.kind == "unproved" and one.order == job.order)
    assert (call.name, call.phone, call.found) == ("Hanne Orrick", "01632 960 200", ("ground strap, loose",))
    assert call.ask.startswith("You told us: “It dies.” Has it happened again since 1 March?")
    assert call.why == "it was not tried often enough after the repair"
    tyres = next(one for one in calls if one.kind == "declined")
    assert tyres.ask.startswith("Front tyres: left as it was on 1 March.")
    assert call_about(job.pk, "unproved", "C9") is None
