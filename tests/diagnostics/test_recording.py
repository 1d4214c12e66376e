from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from diagnostics import recording
from diagnostics.models import RequiredStep, TestRun
from diagnostics.reading import read_order
from shared.models import AuditEntry
from shared.moments import Moment
from shop.models import RepairOrder
from tests.factories import (
    ComplaintFactory,
    InstrumentFactory,
    LocationFactory,
    OrderFactory,
    TechnicianFactory,
    WorkItemFactory,
)

pytestmark = pytest.mark.django_db

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
VOLTAGE = {
    "code": "rest_voltage",
    "phase": "before",
    "kind": "numeric",
    "value": Decimal("12.05"),
    "unit": "V",
}


@pytest.fixture
def tobin():
    return TechnicianFactory(signs_as="Tobin Marl")


@pytest.fixture
def isa():
    return TechnicianFactory(signs_as="Isa Renk")


@pytest.fixture
def order():
    return OrderFactory(location=LocationFactory(time_zone="America/Chicago"), technician="Tobin Marl")


@pytest.fixture
def complaint(order):
    return ComplaintFactory(order=order, ref="C1")


def close(order):
    RepairOrder.objects.filter(pk=order.pk).update(
        returned_on=date(2026, 3, 3), outcome="repaired", waiting_on=""
    )


def test_a_test_is_signed_and_takes_the_next_id(order, tobin):
    recording.record_test(order, by=tobin, at=NOON, **VOLTAGE)
    second = recording.record_test(order, by=tobin, at=NOON, **VOLTAGE)

    assert (second.ref, second.position, second.done_by, second.signed_at) == ("T2", 1, "Tobin Marl", NOON)


def test_a_test_is_dated_on_the_calendar_of_the_shop(order, tobin):
    run = recording.record_test(order, by=tobin, at=datetime(2026, 3, 3, 2, tzinfo=UTC), **VOLTAGE)

    assert (run.done_on, run.entered_on) == (date(2026, 3, 2), date(2026, 3, 2))


def test_a_test_done_earlier_is_entered_now(order, tobin):
    run = recording.record_test(order, by=tobin, at=NOON, done=Moment(date(2026, 3, 1)), **VOLTAGE)

    assert (run.done_on, run.done_at, run.entered_on) == (date(2026, 3, 1), None, date(2026, 3, 2))


def test_a_test_names_its_instrument_in_words(order, tobin):
    meter = InstrumentFactory(code="meter 2")

    run = recording.record_test(order, by=tobin, at=NOON, instrument=meter, **VOLTAGE)

    assert run.instrument_ref == "meter 2"


def test_recording_a_test_leaves_one_audit_entry(order, tobin):
    run = recording.record_test(order, by=tobin, at=NOON, **VOLTAGE)

    entry = AuditEntry.objects.get(record="diagnostics.TestRun")
    assert (entry.actor, entry.record_id, entry.order_number) == (tobin, str(run.pk), order.number)
    assert entry.after["value"] == "12.05"


def test_recording_makes_an_idle_job_wait_on_the_technician(order, tobin):
    recording.record_test(order, by=tobin, at=NOON, **VOLTAGE)

    order.refresh_from_db()
    assert (order.waiting_on, order.waiting_since) == ("technician", NOON)


def test_a_superseded_reading_stays_and_hands_its_id_over(order, tobin, isa):
    old = recording.record_test(order, by=tobin, at=NOON, **VOLTAGE)

    new = recording.supersede_test(old, by=isa, at=NOON, reason="Misread the display", value=Decimal("12.50"))

    old.refresh_from_db()
    new.refresh_from_db()
    assert (old.superseded_by, old.superseded_reason, old.value) == (
        new,
        "Misread the display",
        Decimal("12.05"),
    )
    assert (new.ref, new.position, new.value) == (old.ref, old.position, Decimal("12.50"))
    assert [test.value for test in read_order(order.pk).tests] == [Decimal("12.50")]


def test_superseding_needs_a_reason(order, tobin):
    run = recording.record_test(order, by=tobin, at=NOON, **VOLTAGE)

    with pytest.raises(ValidationError, match="why the reading is superseded"):
        recording.supersede_test(run, by=tobin, at=NOON, reason=" ")


def test_a_reading_is_superseded_once(order, tobin):
    run = recording.record_test(order, by=tobin, at=NOON, **VOLTAGE)
    recording.supersede_test(run, by=tobin, at=NOON, reason="Misread", value=Decimal("12.5"))

    with pytest.raises(ValidationError, match="superseded already"):
        recording.supersede_test(run, by=tobin, at=NOON, reason="Again", value=Decimal("12.6"))

    assert TestRun.objects.count() == 2


def test_a_correction_can_be_corrected(order, tobin):
    run = recording.record_test(order, by=tobin, at=NOON, **VOLTAGE)
    second = recording.supersede_test(run, by=tobin, at=NOON, reason="Misread", value=Decimal("12.5"))
    recording.supersede_test(second, by=tobin, at=NOON, reason="Wrong pole", value=Decimal("12.6"))

    assert [(t.id, t.value) for t in read_order(order.pk).tests] == [("T1", Decimal("12.6"))]


def test_a_closed_order_takes_no_new_reading(order, tobin):
    close(order)

    with pytest.raises(recording.OrderIsClosed, match="was handed back"):
        recording.record_test(order, by=tobin, at=NOON, **VOLTAGE)

    assert not TestRun.objects.exists()
    assert not AuditEntry.objects.exists()


def test_a_closed_order_takes_an_amended_reading(order, tobin):
    run = recording.record_test(order, by=tobin, at=NOON, **VOLTAGE)
    close(order)

    recording.supersede_test(run, by=tobin, at=NOON, reason="Wrong unit", unit="mV")

    assert read_order(order.pk).tests[0].unit == "mV"


def test_a_disposition_follows_a_failing_reading_up(order, tobin):
    run = recording.record_test(order, by=tobin, at=NOON, **VOLTAGE)

    recording.dispose_of_reading(run, by=tobin, at=NOON, reason="Known, the customer charges it at home")

    assert read_order(order.pk).tests[0].disposition.by == "Tobin Marl"


def test_an_attempt_keeps_conditions_and_counts(complaint, tobin):
    recording.record_attempt(
        complaint, by=tobin, at=NOON, outcome="reproduced", conditions="cold, wet", n=4, k=2
    )

    attempt = read_order(complaint.order_id).complaints[0].attempts[0]
    assert (attempt.outcome, attempt.conditions, attempt.n, attempt.k) == ("reproduced", "cold, wet", 4, 2)


def test_a_trial_plan_leaves_before_and_after(complaint, tobin):
    recording.set_trial_plan(complaint, by=tobin, at=NOON, n=3, conditions="two nights locked")

    entry = AuditEntry.objects.get(action="set trial plan")
    assert (entry.before["plan_n"], entry.after["plan_n"]) == ("None", "3")


def test_a_suspect_is_ruled_out_only_by_a_test(complaint, tobin):
    suspect = recording.add_suspect(complaint, by=tobin, at=NOON, component="alternator")

    with pytest.raises(ValidationError, match="Choose the test"):
        recording.settle_suspect(suspect, by=tobin, at=NOON, state="ruled_out", evidence=[])


def test_a_suspect_ruled_out_cites_its_test(complaint, tobin):
    suspect = recording.add_suspect(complaint, by=tobin, at=NOON, component="alternator")
    recording.settle_suspect(suspect, by=tobin, at=NOON, state="ruled_out", evidence=["T1"])

    read = read_order(complaint.order_id).complaints[0].suspects[0]
    assert (read.state, read.evidence) == ("ruled_out", ("T1",))


def test_a_cause_cites_the_tests_that_prove_it(complaint, tobin):
    recording.name_cause(
        complaint.order,
        by=tobin,
        at=NOON,
        complaint_ref="C1",
        component="trailer-socket module",
        mode="does not sleep",
        evidence=["T3"],
    )

    cause = read_order(complaint.order_id).causes[0]
    assert (cause.id, cause.component, cause.evidence) == ("K1", "trailer-socket module", ("T3",))


def test_an_amended_cause_keeps_what_stood_before_in_the_trail(complaint, tobin):
    cause = recording.name_cause(complaint.order, by=tobin, at=NOON, complaint_ref="C1", component="relay")
    recording.amend_cause(cause, by=tobin, at=NOON, why="Cited the test", evidence=["T3"])

    entry = AuditEntry.objects.get(action="amend cause")
    assert (entry.before, entry.after, entry.reason) == (
        {"evidence": []},
        {"evidence": ["T3"]},
        "Cited the test",
    )


def test_work_comes_with_its_part(complaint, tobin):
    recording.add_work(
        complaint.order,
        by=tobin,
        at=NOON,
        kind="replace",
        component="trailer-socket module",
        reason="cause",
        cause_ref="K1",
        part={"condition": "new", "supplier": "Lodden Parts", "batch": "2640-C"},
    )

    work = read_order(complaint.order_id).work[0]
    assert (work.id, work.part.batch, work.part.condition) == ("W1", "2640-C", "new")


def test_work_done_ends_the_wait_for_parts(order, tobin):
    RepairOrder.objects.filter(pk=order.pk).update(waiting_on="parts", waiting_since=NOON)

    recording.add_work(order, by=tobin, at=NOON, kind="replace", component="coil", reason="cause")

    order.refresh_from_db()
    assert order.waiting_on == "technician"


def test_a_disturbed_component_is_on_record(order, tobin):
    recording.disturb(order, by=tobin, at=NOON, component="left rear trim")

    assert read_order(order.pk).disturbed == ("left rear trim",)


def test_an_assumption_is_settled_by_a_test_only(order, tobin):
    assumption = recording.add_assumption(order, by=tobin, at=NOON, text="The socket is not the maker's")

    with pytest.raises(ValidationError, match="Choose the test that settles it"):
        recording.settle_assumption(assumption, by=tobin, at=NOON, status="confirmed", evidence=[])


def test_an_accepted_assumption_has_a_reason_and_a_name(order, tobin):
    assumption = recording.add_assumption(order, by=tobin, at=NOON, text="Fuse never changed")
    recording.accept_assumption(assumption, by=tobin, at=NOON, reason="Cannot be seen any more")

    read = read_order(order.pk).assumptions[0]
    assert (read.status, read.accepted.reason, read.accepted.by) == (
        "accepted",
        "Cannot be seen any more",
        "Tobin Marl",
    )


def test_a_claim_names_its_event_and_its_reversal(complaint, tobin):
    order = complaint.order
    event = recording.record_event(order, by=tobin, at=NOON, kind="intervention", what="unplugged the module")
    recording.claim_effect(order, by=tobin, at=NOON, complaint_ref="C1", event_ref=event.ref, role="fix")
    phases = [
        {"condition": "unplugged", "present": False, "n": 1},
        {"condition": "plugged", "present": True, "n": 1},
    ]
    recording.record_reversal(order, by=tobin, at=NOON, event_ref=event.ref, phases=phases)

    read = read_order(order.pk)
    assert (read.claims[0].event, read.reversals[0].event, len(read.reversals[0].phases)) == ("E1", "E1", 2)


def test_a_complaint_cannot_come_back_more_often_than_it_was_tried(order, tobin):
    with pytest.raises(ValidationError, match="come back 3 times in 2 tries"):
        recording.record_trials(order, by=tobin, at=NOON, complaint_ref="C1", n=2, recurrences=3)


def test_a_check_is_made_by_somebody_else(order, tobin):
    item = WorkItemFactory(order=order, done_by="Tobin Marl")

    with pytest.raises(ValidationError, match="somebody else"):
        recording.record_check(item, by=tobin, at=NOON, checked_by="Tobin Marl")


def test_minutes_agreed_put_the_job_back_to_the_technician(order, tobin):
    RepairOrder.objects.filter(pk=order.pk).update(waiting_on="customer", waiting_since=NOON)

    recording.authorise_minutes(order, by=tobin, at=NOON, minutes=60)

    order.refresh_from_db()
    assert order.waiting_on == "technician"


def test_minutes_agreed_leave_a_job_that_waits_on_parts(order, tobin):
    RepairOrder.objects.filter(pk=order.pk).update(waiting_on="parts", waiting_since=NOON)

    recording.authorise_minutes(order, by=tobin, at=NOON, minutes=60)

    order.refresh_from_db()
    assert order.waiting_on == "parts"


def test_declined_work_and_a_planned_return_are_on_record(order, tobin):
    recording.decline(order, by=tobin, at=NOON, component="rear discs", risk="progressive")
    recording.plan_return(order, by=tobin, at=NOON, reason="measure again", due_on=date(2026, 6, 1))

    read = read_order(order.pk)
    assert (read.declined[0].id, read.planned_return[0].recorded_on) == ("D1", date(2026, 3, 2))


def hand_off(order, by, receiver):
    return recording.hand_off(
        order,
        by=by,
        at=NOON,
        complaint_ref="C1",
        receiver=receiver,
        known="draw 1.21 A",
        ruled_out=["radio"],
        suspected=[],
        next_step="unplug the module",
    )


def test_a_hand_off_is_acknowledged_by_its_receiver(order, tobin, isa):
    passed = hand_off(order, tobin, "Isa Renk")
    recording.acknowledge(passed, by=isa, at=NOON)

    read = read_order(order.pk).handoffs[0]
    assert (read.acknowledged_by, read.ruled_out, read.suspected) == ("Isa Renk", ("radio",), ())


def test_nobody_else_acknowledges_a_hand_off(order, tobin):
    passed = hand_off(order, tobin, "Isa Renk")

    with pytest.raises(ValidationError, match="This hand-off is for Isa Renk"):
        recording.acknowledge(passed, by=tobin, at=NOON)


def test_nobody_hands_off_to_themselves(order, tobin):
    with pytest.raises(ValidationError, match="other than yourself"):
        hand_off(order, tobin, "Tobin Marl")


def test_an_explanation_is_kept_even_on_a_closed_order(order, isa):
    close(order)
    recording.explain(order, by=isa, at=NOON, rule="R1", subject="C1", reason="Customer took it away")

    read = read_order(order.pk).explanations[0]
    assert (read.rule, read.subject, read.by) == ("R1", "C1", "Isa Renk")


def test_an_explanation_needs_a_reason(order, isa):
    with pytest.raises(ValidationError, match="Write the reason"):
        recording.explain(order, by=isa, at=NOON, rule="R1", subject="C1", reason="  ")


@pytest.mark.parametrize("second", ["Isa Renk", "Tobin Marl"])
def test_the_second_name_is_neither_the_explainer_nor_the_technician(order, isa, second):
    with pytest.raises(ValidationError, match="The second name is somebody else's"):
        recording.explain(
            order, by=isa, at=NOON, rule="R18", subject="T1", reason="Known", approved_by=second
        )


def test_a_second_person_approves_an_explanation_later(order, isa):
    explanation = recording.explain(order, by=isa, at=NOON, rule="R18", subject="T1", reason="Known")
    owner = TechnicianFactory(signs_as="Maud Kerrow")
    recording.approve(explanation, by=owner, at=NOON)

    assert read_order(order.pk).explanations[0].approved_by == "Maud Kerrow"


def test_a_waived_step_says_why_and_who(complaint, isa):
    step = RequiredStep.objects.create(complaint=complaint, code="draw_test")
    recording.waive_step(step, by=isa, at=NOON, reason="Battery already removed")

    waiver = read_order(complaint.order_id).complaints[0].required[0].waiver
    assert (waiver.reason, waiver.by) == ("Battery already removed", "Isa Renk")


def test_who_takes_a_hand_off_over_has_the_job(order, tobin, isa):
    recording.acknowledge(hand_off(order, tobin, "Isa Renk"), by=isa, at=NOON)

    order.refresh_from_db()
    assert order.technician == "Isa Renk"


def test_a_hand_off_that_is_not_taken_over_leaves_the_job_where_it_was(order, tobin):
    was = order.technician
    hand_off(order, tobin, "Isa Renk")

    order.refresh_from_db()
    assert order.technician == was
