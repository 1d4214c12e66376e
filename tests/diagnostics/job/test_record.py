"""What is typed into the forms of a job becomes records, or comes back with a question."""

from datetime import date
from decimal import Decimal

import pytest

from diagnostics import recording
from diagnostics.models import (
    Assumption,
    Attempt,
    Cause,
    Claim,
    CustomerTrial,
    Event,
    Explanation,
    HandOff,
    IndependentCheck,
    RequiredStep,
    Reversal,
    Suspect,
    TestKind,
    TestRun,
    TrialSeries,
)
from shared.models import AuditEntry
from shop.models import (
    Authorisation,
    ComplaintNote,
    DeclinedItem,
    DisturbedComponent,
    OutsideEvent,
    PlannedReturn,
    RepairOrder,
    System,
    TimeEntry,
    WorkItem,
)
from tests.factories import TestRunFactory, WorkItemFactory

pytestmark = pytest.mark.django_db

TODAY = {"done_on": "2026-03-02", "done_at": "09:30", "done_by": "Tobin Marl"}
READING = {"code": "standing_draw", "phase": "before", "complaint": "C1"}


def post(client, order, kind, data, row=None):
    address = f"/orders/{order.pk}/record/{kind}/" + (f"{row}/" if row else "")
    return client.post(address, data)


def close(order):
    RepairOrder.objects.filter(pk=order.pk).update(
        returned_on=date(2026, 3, 3), outcome="repaired", waiting_on=""
    )


def test_one_line_becomes_a_signed_reading_with_its_limits(technician, order, step, meter):
    response = post(technician, order, "reading", {**READING, "reading": "1.21", "instrument": meter.pk})

    run = TestRun.objects.get()
    assert response["Location"] == f"/orders/{order.pk}/#measured"
    assert (run.value, run.unit, run.hi, run.limit_unit, run.point) == (
        Decimal("1.21"),
        "A",
        Decimal("0.05"),
        "A",
        "battery lead",
    )
    assert (run.done_by, run.typed, run.instrument, run.complaint_ref) == ("Tobin Marl", "1.21", meter, "C1")


def test_the_verdict_is_said_after_a_reading_is_kept(technician, order, step):
    post(technician, order, "reading", {**READING, "reading": "1210 mA"})

    page = technician.get(f"/orders/{order.pk}/")
    assert "1210\xa0mA, outside, above." in page.content.decode()


def test_an_unclear_line_comes_back_filled_with_a_question(technician, order, step):
    response = post(technician, order, "reading", {**READING, "reading": "12.1 V"})

    page = response.content.decode()
    assert "V measures voltage, and this test asks for current, in A" in page
    assert 'value="12.1 V"' in page
    assert not TestRun.objects.exists()


def test_over_range_is_kept_without_a_value(technician, order, step):
    post(technician, order, "reading", {**READING, "reading": "OL"})

    run = TestRun.objects.get()
    assert (run.value, run.observation, run.typed) == (None, "over range", "OL")


def test_the_step_of_the_last_digit_and_the_typed_text_are_kept(technician, order, step):
    post(technician, order, "reading", {**READING, "reading": "45,0 mA"})

    run = TestRun.objects.get()
    assert (run.typed, str(run.value), run.unit, str(run.resolution)) == ("45,0 mA", "45.0", "mA", "0.1")


def test_a_likely_slip_comes_back_with_the_line_and_both_answers(technician, order, step):
    response = post(technician, order, "reading", {**READING, "reading": "35 A @ fuse 4"})

    page = response.content.decode()
    assert "about 1000 times above what is expected" in page
    assert 'value="35 A @ fuse 4"' in page
    assert '<button class="btn" name="meant" value="35 A @ fuse 4">Yes, I mean 35 A @ fuse 4</button>' in page
    assert 'name="instead" value="35 mA @ fuse 4"' in page
    assert not TestRun.objects.exists()


def test_a_line_that_is_meant_stands(technician, order, step):
    post(technician, order, "reading", {**READING, "reading": "35 A", "meant": "35 A"})

    assert (TestRun.objects.get().value, TestRun.objects.get().unit) == (Decimal(35), "A")


def test_meaning_one_line_does_not_confirm_another(technician, order, step):
    response = post(technician, order, "reading", {**READING, "reading": "36 A", "meant": "35 A"})

    assert "Yes, I mean 36 A" in response.content.decode()
    assert not TestRun.objects.exists()


def test_the_reading_chosen_instead_is_kept(technician, order, step):
    post(technician, order, "reading", {**READING, "reading": "35 A", "instead": "35 mA"})

    run = TestRun.objects.get()
    assert (run.typed, run.unit) == ("35 mA", "mA")


def test_a_unit_of_another_kind_cannot_be_meant(technician, order, step):
    response = post(technician, order, "reading", {**READING, "reading": "12 V", "meant": "12 V"})

    assert "V measures voltage" in response.content.decode()
    assert "Yes, I mean" not in response.content.decode()


@pytest.mark.parametrize(
    ("typed", "value", "observation"),
    [("< 20 mA", "20", "less than 20\u00a0mA"), ("> 20 mA", None, "more than 20\u00a0mA"),
     ("10-20 mA", "20", "10 to 20\u00a0mA"), ("12 ± 1 mA", "12", "12\u00a0mA ± 1\u00a0mA")],
)  # fmt: skip
def test_what_is_more_than_a_number_is_kept_in_words(technician, order, step, typed, value, observation):
    post(technician, order, "reading", {**READING, "reading": typed})

    run = TestRun.objects.get()
    assert (run.value and str(run.value), run.observation, run.typed) == (value, observation, typed)


def test_the_whole_form_asks_the_same_question(technician, order, step):
    data = {**READING, **TODAY, "reading": "35 A", "hi": "0.05"}
    response = post(technician, order, "test", data)

    assert "Yes, I mean 35 A" in response.content.decode()

    post(technician, order, "test", {**data, "meant": "35 A"})

    assert TestRun.objects.get().value == 35


def test_an_observation_without_words_is_asked_for(technician, order, complaint, look_kind):
    response = post(technician, order, "reading", {**READING, "code": "case_check", "result": "pass"})

    assert "A verdict without it supports nothing" in response.content.decode()


def test_an_observation_is_kept_with_its_result(technician, order, complaint, look_kind):
    data = {**READING, "code": "case_check", "result": "fail", "observation": "case bulges"}
    post(technician, order, "reading", data)

    run = TestRun.objects.get()
    assert (run.kind, run.result, run.observation) == ("attribute", "fail", "case bulges")


def test_the_whole_form_keeps_the_makers_limit(technician, order, step):
    data = {**READING, **TODAY, "reading": "0.06", "hi": "0.08", "limit_says": "Norvane, sheet 12"}
    post(technician, order, "test", data)

    run = TestRun.objects.get()
    assert (run.hi, run.limit_says, run.done_on) == (Decimal("0.08"), "Norvane, sheet 12", date(2026, 3, 2))


def test_a_test_of_our_own_has_its_own_unit_and_limits(technician, order, complaint):
    data = {**TODAY, "code": "play at the lever", "phase": "before", "complaint": "C1"}
    data |= {"reading": "3", "test_unit": "mm", "lo": "1", "hi": "2"}
    post(technician, order, "test", data)

    run = TestRun.objects.get()
    assert (run.code, run.unit, run.lo, run.hi) == ("play at the lever", "mm", Decimal(1), Decimal(2))


def test_crossed_limits_are_asked_about(technician, order, step):
    response = post(technician, order, "test", {**READING, **TODAY, "reading": "1", "lo": "3", "hi": "2"})

    assert "2 is below the lower limit 3" in response.content.decode()


def test_a_test_without_a_general_limit_asks_for_the_makers(technician, order, step, draw_kind):
    TestKind.objects.filter(pk=draw_kind.pk).update(hi=None)
    page = technician.get(f"/orders/{order.pk}/").content.decode()
    post(technician, order, "reading", {**READING, "reading": "61 mA", "hi": "0.07", "limit_says": "Norvane"})

    run = TestRun.objects.get()
    assert 'name="limit_says"' in page
    assert (run.hi, run.limit_unit, run.limit_says) == (Decimal("0.07"), "A", "Norvane")


def test_a_general_limit_is_not_typed_over_by_the_one_line_form(technician, order, step):
    post(technician, order, "reading", {**READING, "reading": "61 mA", "hi": "9"})

    assert TestRun.objects.get().hi == Decimal("0.05")


def test_a_day_to_come_is_refused(technician, order, step):
    response = post(technician, order, "test", {**READING, **TODAY, "done_on": "2099-01-01", "reading": "1"})

    assert "is still to come" in response.content.decode()


def test_a_signed_reading_is_corrected_with_a_reason(technician, order, step):
    post(technician, order, "reading", {**READING, "reading": "1.21"})
    old = TestRun.objects.get()
    data = {**READING, **TODAY, "reading": "1.31", "hi": "0.05", "reason": "Misread"}
    post(technician, order, "correction", data, row=old.pk)

    old.refresh_from_db()
    assert (old.superseded_by.value, old.superseded_reason) == (Decimal("1.31"), "Misread")


def test_a_correction_opens_with_what_was_kept(technician, order, step, meter):
    post(technician, order, "reading", {**READING, "reading": "1.21", "instrument": meter.pk})

    page = technician.get(
        f"/orders/{order.pk}/record/correction/{TestRun.objects.get().pk}/"
    ).content.decode()
    assert 'value="1.21"' in page
    assert f'<option value="{meter.pk}" selected>' in page


def test_a_correction_keeps_an_instrument_that_is_on_no_list(technician, order, step):
    run = TestRunFactory(
        order=order, ref="T1", code="standing_draw", complaint_ref="C1", instrument_ref="old clamp"
    )
    data = {**READING, **TODAY, "reading": "1.31", "reason": "Written down later"}
    post(technician, order, "correction", data, row=run.pk)

    assert TestRun.objects.get(superseded_by=None).instrument_ref == "old clamp"


def test_a_disposition_says_why_a_failing_reading_stays(technician, order):
    run = TestRunFactory(order=order)
    post(technician, order, "disposition", {"reason": "Known"}, row=run.pk)

    run.refresh_from_db()
    assert (run.is_disposed, run.disposition_by) == (True, "Tobin Marl")


def test_an_attempt_is_kept(technician, order, complaint):
    data = {
        **TODAY,
        "complaint": "C1",
        "outcome": "reproduced",
        "conditions": "two nights",
        "k": "1",
        "n": "1",
    }
    response = post(technician, order, "attempt", data)

    attempt = Attempt.objects.get()
    assert response["Location"].endswith("#seen")
    assert (attempt.outcome, attempt.k, attempt.n, attempt.equipment_connected) == ("reproduced", 1, 1, False)


def test_more_shown_than_tried_comes_back(technician, order, complaint):
    data = {**TODAY, "complaint": "C1", "outcome": "reproduced", "conditions": "wet road", "k": "3", "n": "2"}
    page = post(technician, order, "attempt", data).content.decode()

    assert "It cannot show 3 times in 2 tries" in page
    assert "wet road" in page


def test_conditions_of_an_attempt_are_written_later(technician, order, complaint, tobin, now):
    attempt = recording.record_attempt(complaint, by=tobin, at=now, outcome="partly")
    data = {**TODAY, "outcome": "partly", "conditions": "cold", "why": "Forgot them"}
    post(technician, order, "attempt-correction", data, row=attempt.pk)

    attempt.refresh_from_db()
    assert attempt.conditions == "cold"


def test_a_trial_plan_is_set(technician, order, complaint):
    post(technician, order, "trial-plan", {"complaint": "C1", "n": "3", "conditions": "two nights"})

    complaint.refresh_from_db()
    assert (complaint.plan_n, complaint.plan_conditions) == (3, "two nights")


def test_a_note_is_added_to_the_customers_words(technician, order, complaint):
    post(technician, order, "note", {"complaint": "C1", "text": "Never after one night."})

    assert ComplaintNote.objects.get().added_by == "Tobin Marl"


def test_a_suspect_is_added_and_ruled_out(technician, order, complaint):
    TestRunFactory(order=order, ref="T1")
    post(technician, order, "suspect", {"complaint": "C1", "component": "radio"})
    suspect = Suspect.objects.get()
    post(technician, order, "suspect-state", {"state": "ruled_out", "evidence": ["T1"]}, row=suspect.pk)

    suspect.refresh_from_db()
    assert (suspect.state, suspect.evidence) == ("ruled_out", ["T1"])


def test_ruling_out_without_a_test_comes_back(technician, order, complaint):
    suspect = Suspect.objects.create(complaint=complaint, component="radio")
    page = post(technician, order, "suspect-state", {"state": "ruled_out"}, row=suspect.pk).content.decode()

    assert "Choose the test that rules this suspect out" in page


def test_a_cause_is_named_and_corrected(technician, order, complaint):
    TestRunFactory(order=order, ref="T1")
    post(technician, order, "cause", {"complaint": "C1", "component": "module", "mode": "awake"})
    cause = Cause.objects.get()
    data = {"component": "module", "mode": "awake", "evidence": ["T1"], "why": "Cited the draw"}
    post(technician, order, "cause-correction", data, row=cause.pk)

    cause.refresh_from_db()
    assert (cause.ref, cause.evidence) == ("K1", ["T1"])


def test_a_test_of_another_order_is_not_cited(technician, order, complaint):
    TestRunFactory(ref="T9")
    page = post(technician, order, "cause", {"complaint": "C1", "component": "module", "evidence": ["T9"]})

    assert "T9 is not one of the available choices" in page.content.decode()


def test_an_assumption_is_settled_by_a_test(technician, order, complaint):
    TestRunFactory(order=order, ref="T1")
    post(technician, order, "assumption", {"text": "Never opened"})
    row = Assumption.objects.get()
    post(technician, order, "assumption-settled", {"status": "refuted", "evidence": ["T1"]}, row=row.pk)

    row.refresh_from_db()
    assert (row.status, row.evidence) == ("refuted", ["T1"])


def test_an_assumption_is_accepted_with_a_reason(technician, order, complaint):
    row = Assumption.objects.create(order=order, ref="A1", text="Never opened", status="open")
    post(technician, order, "assumption-accepted", {"reason": "Sealed"}, row=row.pk)

    row.refresh_from_db()
    assert (row.status, row.accepted_by) == ("accepted", "Tobin Marl")


def test_event_claim_and_reversal_follow_one_another(technician, order, complaint):
    event = {**TODAY, "kind": "intervention", "what": "unplugged the module", "complaint": "C1"}
    post(technician, order, "event", event)
    post(technician, order, "claim", {"complaint": "C1", "event": "E1", "role": "fix"})
    phases = "a no 1\nb yes 1\na no 1"
    data = {"event": "E1", "condition_a": "unplugged", "condition_b": "plugged in", "phases": phases}
    post(technician, order, "reversal", data)

    assert (Event.objects.get().kind, Claim.objects.get().role) == ("intervention", "fix")
    assert Reversal.objects.get().phases[1] == {"condition": "plugged in", "present": True, "n": 1}


def test_a_phase_that_cannot_be_read_is_asked_about(technician, order, complaint):
    Event.objects.create(
        order=order, ref="E1", kind="intervention", what="unplugged", happened_on=date(2026, 3, 2)
    )
    data = {"event": "E1", "condition_a": "off", "condition_b": "on", "phases": "a no 1\nc maybe"}
    page = post(technician, order, "reversal", data).content.decode()

    assert "&#x27;c maybe&#x27; is no phase" in page


WORK = {**TODAY, "kind": "replace", "component": "module", "reason": "cause"}


def test_work_is_kept_with_its_part(technician, order, complaint):
    post(technician, order, "work", {**WORK, "part_condition": "new", "part_batch": "2640-C"})

    item = WorkItem.objects.get()
    assert (item.ref, item.part.batch, item.done_by) == ("W1", "2640-C", "Tobin Marl")


def test_work_without_a_part_has_none(technician, order, complaint):
    post(technician, order, "work", WORK)

    assert not hasattr(WorkItem.objects.get(), "part")


def test_work_is_corrected_with_a_reason(technician, order, complaint):
    TestRunFactory(order=order, ref="T1")
    item = WorkItemFactory(order=order, done_by="Tobin Marl")
    data = {**WORK, "evidence": ["T1"], "failure_analysis": "solder crack", "why": "Cite the draw"}
    post(technician, order, "work-correction", data, row=item.pk)

    item.refresh_from_db()
    assert (item.evidence, item.failure_analysis) == (["T1"], "solder crack")


def test_a_disturbed_component_is_kept(technician, order):
    post(technician, order, "disturbed", {"component": "left rear trim"})

    assert DisturbedComponent.objects.get().component == "left rear trim"


def test_trials_are_kept(technician, order, complaint):
    data = {**TODAY, "complaint": "C1", "n": "2", "recurrences": "0", "conditions_match": "on"}
    post(technician, order, "trials", data)

    series = TrialSeries.objects.get()
    assert (series.n, series.recurrences, series.conditions_match) == (2, 0, True)


def test_more_recurrences_than_tries_come_back(technician, order, complaint):
    page = post(technician, order, "trials", {**TODAY, "complaint": "C1", "n": "2", "recurrences": "3"})

    assert "It cannot come back 3 times in 2 tries" in page.content.decode()


OWN_TRIAL = {
    "complaint": "C1", "since_on": "2026-02-10", "until_on": "2026-02-24", "starts": "22", "distance": "310",
    "recurrences": "0", "note": "Not once.", "told_by": "Hanne Orrick", "done_on": "2026-03-02",
    "done_at": "",
}  # fmt: skip


def test_the_customers_own_trial_is_kept_as_theirs(technician, order, complaint):
    post(technician, order, "customer-trial", OWN_TRIAL)

    trial = CustomerTrial.objects.get()
    assert (trial.days, trial.starts, str(trial.distance), trial.distance_unit) == (14, 22, "310", "mi")
    assert (trial.told_by, trial.taken_by, trial.told.on) == ("Hanne Orrick", "Tobin Marl", date(2026, 3, 2))
    assert AuditEntry.objects.filter(action="record customer's trial").count() == 1
    assert not TrialSeries.objects.exists()


def test_the_customers_own_trial_is_kept_on_a_job_handed_back(signed_in, maud, order, complaint):
    close(order)

    post(signed_in(maud), order, "customer-trial", OWN_TRIAL)

    assert CustomerTrial.objects.count() == 1


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"until_on": "2026-02-09"}, "lies before the first day"),
        ({"until_on": "2026-03-03"}, "is after the day it was told"),
        ({"starts": "2", "recurrences": "3"}, "It cannot come back 3 times in 2 starts"),
        ({"told_by": ""}, "Fill this in."),
    ],
)
def test_an_own_trial_that_cannot_be_comes_back(technician, order, complaint, change, told):
    page = post(technician, order, "customer-trial", OWN_TRIAL | change)

    assert told in page.content.decode()
    assert not CustomerTrial.objects.exists()


def test_a_check_of_own_work_comes_back(technician, order, complaint):
    item = WorkItemFactory(order=order, done_by="Tobin Marl")
    page = post(technician, order, "check", {**TODAY, "work": item.ref, "checked_by": "Tobin Marl"})

    assert "Tobin Marl did this work" in page.content.decode()


def test_a_check_by_somebody_else_is_kept(technician, order, complaint, bram):
    item = WorkItemFactory(order=order, done_by="Tobin Marl")
    post(technician, order, "check", {**TODAY, "work": item.ref, "checked_by": "Bram Quill"})

    assert IndependentCheck.objects.get().checked_by == "Bram Quill"


def test_minutes_agreed_and_used_are_kept(technician, order, complaint):
    post(technician, order, "minutes", {**TODAY, "minutes": "60"})
    post(technician, order, "time", {**TODAY, "minutes": "38", "kind": "diagnosis", "complaint": "C1"})

    assert (Authorisation.objects.get().minutes, TimeEntry.objects.get().minutes) == (60, 38)


def test_declined_work_is_kept_and_followed_up(technician, order, complaint):
    post(technician, order, "declined", {"component": "rear discs", "risk": "safety"})
    item = DeclinedItem.objects.get()
    data = {"component": "rear discs", "risk": "safety", "informed_on": "2026-03-02", "why": "Told by phone"}
    post(technician, order, "declined-follow-up", data, row=item.pk)

    item.refresh_from_db()
    assert item.informed_on == date(2026, 3, 2)


def test_a_return_and_an_outside_event_are_kept(technician, order):
    System.objects.create(code="battery", name="Battery")
    post(technician, order, "planned-return", {"reason": "measure again", "due_on": "2026-06-01"})
    post(
        technician,
        order,
        "outside-event",
        {"kind": "damage", "happened_on": "2026-03-01", "system": "battery"},
    )

    assert (PlannedReturn.objects.get().ref, OutsideEvent.objects.get().kind) == ("P1", "damage")


def test_a_hand_off_goes_to_a_colleague(technician, order, complaint, bram):
    data = {**TODAY, "complaint": "C1", "receiver": "Bram Quill", "known": "draws 1.21 A"}
    data |= {"ruled_out": "radio\nrelay", "suspected": "", "next_step": "unplug the module"}
    post(technician, order, "hand-off", data)

    passed = HandOff.objects.get()
    assert (passed.giver, passed.ruled_out, passed.suspected) == ("Tobin Marl", ["radio", "relay"], [])


def test_only_the_receiver_takes_a_hand_off_over(signed_in, order, tobin, bram, now):
    passed = recording.hand_off(
        order, by=tobin, at=now, complaint_ref="C1", receiver="Bram Quill", known="x", ruled_out=[],
        suspected=[], next_step="y",
    )  # fmt: skip
    refused = post(signed_in(tobin), order, "hand-off-taken", {}, row=passed.pk)
    post(signed_in(bram), order, "hand-off-taken", {}, row=passed.pk)

    passed.refresh_from_db()
    assert "This hand-off is for Bram Quill" in refused.content.decode()
    assert passed.acknowledged_by == "Bram Quill"


def test_an_explanation_is_signed_and_approved_by_a_second_person(signed_in, order, complaint, tobin, bram):
    post(signed_in(tobin), order, "explanation", {"rule": "R1", "subject": "C1", "reason": "Taken away"})
    explanation = Explanation.objects.get()
    post(signed_in(bram), order, "approval", {}, row=explanation.pk)

    explanation.refresh_from_db()
    assert (explanation.signed_by, explanation.approved_by) == ("Tobin Marl", "Bram Quill")


def test_a_second_name_is_asked_for_where_the_rule_needs_one(technician, order, complaint, bram):
    TestRunFactory(order=order, ref="T1", phase="after", value=Decimal(9), unit="V", lo=Decimal(12))
    address = f"/orders/{order.pk}/record/explanation/"
    needs = technician.get(address, {"rule": "R18", "subject": "T1"}).content.decode()
    needs_not = technician.get(address, {"rule": "R1", "subject": "C1"}).content.decode()

    assert 'name="approved_by"' in needs
    assert 'name="approved_by"' not in needs_not


def test_a_required_step_is_left_out_with_a_reason(technician, order, step):
    post(technician, order, "waiver", {"reason": "Battery is gone"}, row=step.pk)

    step.refresh_from_db()
    assert (step.is_waived, step.waiver_by) == (True, "Tobin Marl")


def test_a_waiver_is_approved_by_a_second_person(signed_in, order, step, bram):
    RequiredStep.objects.filter(pk=step.pk).update(
        is_waived=True, waiver_reason="Gone", waiver_by="Tobin Marl"
    )
    post(signed_in(bram), order, "waiver-approval", {}, row=step.pk)

    step.refresh_from_db()
    assert step.waiver_approved_by == "Bram Quill"


def test_promise_waiting_and_technician_are_set(signed_in, maud, tobin, order):
    client = signed_in(maud)
    post(client, order, "promise", {"promised_at": "2026-03-05T17:00"})
    post(client, order, "waiting", {"waiting_on": "customer", "note": "consent"})
    post(client, order, "technician", {"technician": "Tobin Marl"})

    order.refresh_from_db()
    assert (order.waiting_on, order.waiting_note, order.technician) == ("customer", "consent", "Tobin Marl")
    assert order.promised_at.isoformat() == "2026-03-05T17:00:00+00:00"


def test_a_closed_job_sends_a_new_record_back_with_what_was_typed(technician, order, complaint):
    close(order)
    page = post(technician, order, "suspect", {"complaint": "C1", "component": "radio"}).content.decode()

    assert "was handed back" in page
    assert 'value="radio"' in page
    assert not Suspect.objects.exists()


def test_a_closed_job_opens_no_form_for_new_records(technician, order, complaint):
    close(order)

    response = technician.get(f"/orders/{order.pk}/record/suspect/")
    assert response["Location"] == f"/orders/{order.pk}/"


def test_a_closed_job_takes_an_explanation(technician, order, complaint):
    close(order)
    post(technician, order, "explanation", {"rule": "R1", "subject": "C1", "reason": "Taken away"})

    assert Explanation.objects.get().subject == "C1"


def test_a_row_of_another_job_is_not_found(technician, order):
    other = TestRunFactory()

    assert post(technician, order, "disposition", {"reason": "x"}, row=other.pk).status_code == 404


@pytest.mark.parametrize("address", ["record/nothing/", "record/correction/", "record/attempt/7/"])
def test_an_address_of_no_form_is_not_found(technician, order, address):
    assert technician.get(f"/orders/{order.pk}/{address}").status_code == 404


def test_a_double_press_keeps_one_reading_and_says_so_twice(technician, order, step, meter):
    data = {**READING, "reading": "1.21", "sent": "6f1c0a52-8a0e-4a55-b2f9-0c8a5f6b7d10"}

    first, second = post(technician, order, "reading", data), post(technician, order, "reading", data)

    assert TestRun.objects.count() == 1
    assert (second.status_code, second["Location"]) == (302, first["Location"])


def test_every_form_of_a_job_carries_a_key_of_its_own(technician, order, step):
    page = technician.get(f"/orders/{order.pk}/record/reading/?code=standing_draw").content.decode()

    assert page.count('name="sent"') == 1


def test_the_closing_form_pressed_twice_is_answered_once(technician, order):
    data = {"outcome": "no_fault_found", "odometer_out": "", "sent": "6f1c0a52-8a0e-4a55-b2f9-0c8a5f6b7d11"}
    data["reason"] = "The customer took the vehicle."

    first, second = post(technician, order, "hand-back", data), post(technician, order, "hand-back", data)

    assert second["Location"] == first["Location"]


def test_a_reading_that_cannot_be_taken_again_says_so(technician, order, complaint, draw_kind):
    data = {**TODAY, **READING, "reading": "1.21", "only_now": "on"}
    post(technician, order, "test", data)

    assert TestRun.objects.get().repeatable is False


def test_a_test_that_can_never_be_taken_again_does_not_ask(technician, order, complaint, draw_kind):
    TestKind.objects.update(repeatable=False)

    form = technician.get(f"/orders/{order.pk}/record/test/?code=standing_draw").context["form"]

    assert "only_now" not in form.fields


def test_the_makers_limit_is_in_sight_where_there_is_no_general_one(technician, order, complaint, draw_kind):
    address = f"/orders/{order.pk}/record/test/?code=standing_draw"
    folded = {bound.name for bound in technician.get(address).context["form"].plain_fields}
    TestKind.objects.update(lo=None, hi=None)
    in_sight = {bound.name for bound in technician.get(address).context["form"].plain_fields}

    assert {"lo", "hi", "limit_says"} & folded == set()
    assert {"lo", "hi", "limit_says"} <= in_sight


@pytest.mark.parametrize("kind", ["work", "time", "event"])
def test_the_only_complaint_is_the_one_that_is_meant(technician, order, complaint, kind):
    form = technician.get(f"/orders/{order.pk}/record/{kind}/").context["form"]

    assert form["complaint"].value() == "C1"


@pytest.mark.parametrize(
    ("kind", "data", "says"),
    [
        ("trial-plan", {"complaint": "C1", "n": "1", "conditions": "wet"}, "Planned: 1 trial."),
        ("time", {**TODAY, "minutes": "1", "kind": "diagnosis"}, "1 minute kept."),
        ("minutes", {**TODAY, "minutes": "1"}, "1 minute agreed."),
        (
            "trials",
            {**TODAY, "complaint": "C1", "n": "1", "recurrences": "0"},
            "Kept: 1 try, it did not come back.",
        ),
        (
            "trials",
            {**TODAY, "complaint": "C1", "n": "2", "recurrences": "1"},
            "Kept: 2 tries, it came back 1 time.",
        ),
    ],
)
def test_one_is_not_many(technician, order, complaint, kind, data, says):
    response = technician.post(f"/orders/{order.pk}/record/{kind}/", data, follow=True)

    assert says in response.content.decode().replace("\xa0", " ")


def test_a_hand_over_from_yesterdays_paper_keeps_its_moment(technician, order):
    data = {"outcome": "monitor", "left_at": "2026-03-03T16:50", "reason": "From paper."}
    post(technician, order, "hand-back", data)

    order.refresh_from_db()
    assert order.returned_on == date(2026, 3, 3)


def test_a_hand_over_before_the_vehicle_came_is_asked_about(technician, order):
    response = post(technician, order, "hand-back", {"outcome": "monitor", "left_at": "2026-02-01T16:50"})

    assert "It cannot leave on 01 Feb 2026" in response.content.decode()


def test_a_gap_of_the_second_step_of_a_test_is_not_the_waived_first(technician, order, complaint, step):
    RequiredStep.objects.filter(pk=step.pk).update(
        is_waived=True, waiver_reason="Gone", waiver_by="Tobin Marl", critical=False
    )
    after = RequiredStep.objects.create(complaint=complaint, code=step.code, phase="after", position=9)
    WorkItemFactory(order=order, ref="W1", complaint_ref="C1", done_on=date(2026, 3, 2))

    page = technician.get(f"/orders/{order.pk}/").context["page"]

    assert [(one.row.phase, one.state) for one in page.steps] == [("before", "explained"), ("after", "open")]
    assert f"/waiver/{after.pk}/" in next(gap.explain for gap in page.open_gaps if gap.rule == "R4")


def test_declined_work_answers_the_only_complaint_unless_said_otherwise(technician, order, complaint):
    System.objects.get_or_create(code="battery", defaults={"name": "Battery"})
    form = technician.get(f"/orders/{order.pk}/record/declined/").context["form"]
    data = {"component": "battery", "risk": "comfort"}
    post(technician, order, "declined", {**data, "system": form["system"].value()})
    post(technician, order, "declined", {**data, "system": ""})

    kept = DeclinedItem.objects.order_by("pk")
    assert [(item.system, item.symptom) for item in kept] == [("battery", "flat"), ("", "")]


def test_who_is_handed_a_job_takes_it_over_from_the_top_of_its_page(technician, order, complaint, tobin):
    HandOff.objects.create(
        order=order, position=0, giver="Isa Renk", receiver=tobin.signs_as, complaint_ref="C1", known="-",
        ruled_out=["battery", "front end resistor"], next_step="Measure at the end plug.",
        done_on=date(2026, 3, 2),
    )  # fmt: skip
    page = technician.get(f"/orders/{order.pk}/").content.decode()
    post(technician, order, "hand-off-taken", {}, row=HandOff.objects.get().pk)
    later = technician.get(f"/orders/{order.pk}/").content.decode()

    assert page.index("Isa Renk hands this job to you") < page.index("Repair order")
    assert "battery<br>front end resistor" in page
    assert "hands this job to you" not in later


def test_the_makers_limits_are_typed_once_a_job(technician, order, complaint, draw_kind, step):
    TestKind.objects.update(lo=None, hi=None, limit_says="")
    typed = {**READING, "reading": "1.21", "lo": "0.1", "hi": "0.4", "limit_says": "maker, page 12"}
    post(technician, order, "reading", typed)

    full = technician.get(f"/orders/{order.pk}/record/test/?code=standing_draw&phase=after").context["form"]

    assert [str(full[name].value()) for name in ("lo", "hi", "limit_says")] == [
        "0.1",
        "0.4",
        "maker, page 12",
    ]
