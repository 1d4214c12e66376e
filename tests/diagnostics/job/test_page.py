"""The page of one job says what is there, what is missing, and where to go on."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from diagnostics import recording, watching
from diagnostics.models import RequiredStep, Reversal, TrialSeries
from shop import closing
from shop.models import Complaint, OdometerReading, RepairOrder
from tests.factories import (
    AttemptFactory,
    ComplaintFactory,
    CustomerTrialFactory,
    OrderFactory,
    TestRunFactory,
    VehicleFactory,
    WorkItemFactory,
)

pytestmark = pytest.mark.django_db


def page_of(client, order):
    response = client.get(f"/orders/{order.pk}/")
    assert response.status_code == 200
    return response.content.decode()


def test_the_customers_words_stand_where_others_put_a_title(technician, order, complaint):
    assert "It is flat after two nights." in page_of(technician, order)


def test_a_required_step_is_recorded_where_it_is_asked_for(technician, order, step):
    page = page_of(technician, order)

    assert "Draw on the battery lead, asleep" in page
    assert "Clamp round the ground lead, lock, wait." in page
    assert "0.05\xa0A or less" in page
    assert f'action="/orders/{order.pk}/record/reading/"' in page


def test_the_caution_stands_above_the_field(technician, order, step):
    page = page_of(technician, order)

    assert page.index("Wear eye protection.") < page.index('name="reading"')


def test_a_step_can_be_explained_or_left_open(technician, order, step):
    page = page_of(technician, order)

    assert f'href="/orders/{order.pk}/record/waiver/{step.pk}/"' in page
    assert 'href="#close"' in page


def test_a_gap_leads_to_the_form_that_closes_it(technician, order, complaint):
    run = TestRunFactory(order=order, value=Decimal("12.1"), unit="V", complaint_ref="C1")
    page = page_of(technician, order)

    assert f'href="/orders/{order.pk}/record/correction/{run.pk}/"' in page
    assert f'href="/orders/{order.pk}/record/attempt/?complaint=C1"' in page


def test_each_complaint_says_where_its_chain_stands(technician, order, complaint):
    ComplaintFactory(order=order, ref="C2", text="The radio hums.", position=1)
    page = page_of(technician, order)

    assert page.count("not found, watching") >= 2
    assert "Its chain is broken at attempt." in page


def test_an_advisor_sees_the_gaps_but_no_diagnosis_forms(signed_in, maud, order, step):
    page = page_of(signed_in(maud), order)

    assert "/record/reading/" not in page
    assert "/record/work/" not in page
    assert f"/orders/{order.pk}/record/attempt/" in page


def test_closing_lists_what_is_open_and_is_never_locked(technician, order, step):
    page = page_of(technician, order)

    assert "You can still close." in page
    assert f'action="/orders/{order.pk}/record/hand-back/"' in page


def test_a_job_closes_with_gaps_open_from_the_page(technician, order, step):
    data = {"outcome": "monitor", "reason": "The customer needs it"}
    technician.post(f"/orders/{order.pk}/record/hand-back/", data)

    order.refresh_from_db()
    assert (order.outcome, order.closing_reason, order.closed_by) == (
        "monitor",
        "The customer needs it",
        "Tobin Marl",
    )


def test_closing_without_a_reason_comes_back_filled(technician, order, step):
    response = technician.post(
        f"/orders/{order.pk}/record/hand-back/", {"outcome": "monitor", "odometer_out": "61204"}
    )

    page = response.content.decode()
    assert "gaps stay open. It stays with the job, under your name" in page
    assert 'value="61204"' in page


def test_a_gap_left_open_says_who_left_it_and_why(technician, order, step, tobin, now):
    closing.hand_back(order, by=tobin, at=now, outcome="monitor", reason="The customer needs it")
    page = page_of(technician, order)

    assert "closed with it open" in page
    assert "“The customer needs it”" in page
    assert "/record/suspect/" not in page


def test_an_explained_gap_stays_in_sight(technician, order, complaint, tobin, now):
    recording.explain(order, by=tobin, at=now, rule="R1", subject="C1", reason="Too far to drive")
    page = page_of(technician, order)

    assert "“Too far to drive”" in page
    assert 'data-state="explained"' in page


def test_a_second_person_is_offered_the_approval_a_first_signed(signed_in, order, step, bram):
    RequiredStep.objects.filter(pk=step.pk).update(
        is_waived=True, waiver_reason="Gone", waiver_by="Tobin Marl"
    )
    page = page_of(signed_in(bram), order)

    assert f"/orders/{order.pk}/record/waiver-approval/{step.pk}/" in page


def test_a_superseded_reading_is_kept_in_sight(technician, order, step, tobin, now):
    run = recording.record_test(
        order,
        by=tobin,
        at=now,
        code="standing_draw",
        phase="before",
        kind="numeric",
        value=Decimal("1.21"),
        unit="A",
    )
    recording.supersede_test(run, by=tobin, at=now, reason="Misread the range", value=Decimal("0.121"))

    assert "Misread the range" in page_of(technician, order)


@pytest.fixture
def came_back(shop, tobin, now, draw_kind):
    """An order that came back 16 days after one that left a step, a part and its proof open."""
    vehicle = VehicleFactory()
    today = now.date()
    first = OrderFactory(
        number="1042",
        vehicle=vehicle,
        location=shop,
        odo_unit="mi",
        opened_on=today - timedelta(days=20),
        returned_on=today - timedelta(days=16),
        outcome="repaired",
    )
    complaint = ComplaintFactory(order=first, ref="C1", system="battery", symptom="flat")
    RequiredStep.objects.create(complaint=complaint, code="standing_draw")
    WorkItemFactory(order=first, ref="W1", complaint_ref="C1", done_on=today - timedelta(days=16))
    later = OrderFactory(number="1058", vehicle=vehicle, location=shop, odo_unit="mi", opened_on=today)
    ComplaintFactory(order=later, ref="C1", system="battery", symptom="flat")
    for order, moment, value in ((first, "out", 61204), (later, "in", 61516)):
        OdometerReading.objects.create(
            vehicle=vehicle, order=order, moment=moment, value=Decimal(value), unit="mi", read_on=today
        )
    watching.refresh([vehicle.pk], at=now)
    return later


def test_a_comeback_is_said_before_anything_else(technician, came_back):
    page = page_of(technician, came_back)

    assert "This job came back" in page
    assert "16\xa0days, 312\xa0miles" in page
    assert page.index("This job came back") < page.index("Repair order")


def test_a_comeback_says_what_the_earlier_job_left_unproved(technician, came_back):
    page = page_of(technician, came_back)

    assert "Not tested: Draw on the battery lead, asleep." in page
    assert "Replaced without a failing reading: battery." in page
    assert "The complaint was not tried often enough after the repair." in page


def test_a_first_visit_has_no_notice(technician, order, complaint):
    assert "came back" not in page_of(technician, order)


def test_a_closed_job_is_shown_whole(technician, order, complaint):
    RepairOrder.objects.filter(pk=order.pk).update(returned_on=date(2026, 3, 3), outcome="repaired")
    page = page_of(technician, order)

    assert "Handed back" in page
    assert 'id="close-' not in page


def test_a_step_after_the_repair_is_asked_for_once_there_is_one(technician, order, complaint, draw_kind):
    RequiredStep.objects.create(complaint=complaint, code="standing_draw", phase="after")
    before = page_of(technician, order)
    WorkItemFactory(order=order, complaint_ref="C1")
    after = page_of(technician, order)

    assert "Asked after the repair: Draw on the battery lead, asleep." in before
    assert 'name="reading"' not in before
    assert 'name="reading"' in after


def test_a_cause_says_in_words_which_readings_prove_it(technician, order, step, tobin, now):
    recording.record_test(
        order,
        by=tobin,
        at=now,
        code="standing_draw",
        phase="before",
        kind="numeric",
        value=Decimal("1.21"),
        unit="A",
    )
    recording.name_cause(
        order, by=tobin, at=now, complaint_ref="C1", component="module", evidence=["T1", "T9"]
    )

    page = page_of(technician, order)
    assert "Proved by Draw on the battery lead, asleep (1.21\xa0A, not judged (no limit)) and T9." in page


def test_each_name_of_the_chain_leads_to_its_part_of_the_page(technician, order, complaint):
    page = page_of(technician, order)

    for name in ("reported", "seen", "measured", "cause", "repair", "proved", "papers"):
        assert f'href="#{name}">' in page
        assert f'id="{name}"' in page


def tried(complaint, clean, **series):
    order = complaint.order
    Complaint.objects.filter(pk=complaint.pk).update(pattern="intermittent")
    AttemptFactory(complaint=complaint, n=10, k=3, conditions="wet morning")
    TrialSeries.objects.create(
        order=order, complaint_ref=complaint.ref, n=clean, done_on=order.opened_on, **series
    )


def test_the_proof_says_the_rule_the_prediction_and_what_is_still_open(technician, order, complaint):
    tried(complaint, 9)

    page = page_of(technician, order).replace("\xa0", " ")

    assert "9 of 9 clean trials done" in page
    assert "a run this clean would still be seen about 7 times in 100." in page
    assert "Up to 29 in 100 tries could still show it" in page
    assert "the rule would ask for 4 to 27." in page
    assert "With that counted in, 11 tries: 2 more to do." in page


def test_a_complaint_that_always_shows_asks_for_no_arithmetic(technician, order, complaint):
    AttemptFactory(complaint=complaint, n=3, k=3)

    page = page_of(technician, order).replace("\xa0", " ")

    assert "0 of 1 clean trials done" in page
    assert "With that counted in" not in page


def test_after_a_recurrence_no_number_is_shown(technician, order, complaint):
    tried(complaint, 9, recurrences=1)

    page = page_of(technician, order).replace("\xa0", " ")

    assert "It came back 1 time: it is not fixed." in page
    assert "could still show it" not in page


def test_the_customers_own_trials_stand_apart_and_do_not_count(technician, order, complaint):
    tried(complaint, 2)
    CustomerTrialFactory(order=order, starts=22, distance=310, distance_unit="mi", note="Not once.")

    page = page_of(technician, order).replace("\xa0", " ")

    assert "2 of 9 clean trials done" in page
    assert "The customer’s own: 14 days, 22 starts and 310 miles, did not come back." in page
    assert "told by Hanne Orrick, taken down by Maud Kerrow" in page
    assert "Counted apart from the shop&#x27;s trials." in page


def test_a_reversal_says_what_chance_alone_makes_of_it(technician, order, complaint):
    plugged = [("plugged in", True), ("unplugged", False), ("plugged in", True)]
    phases = [{"condition": name, "present": present, "n": 1} for name, present in plugged]
    Reversal.objects.create(order=order, event_ref="E1", phases=phases)

    page = page_of(technician, order)

    assert "Plugged in: 2 of 2; unplugged: 0 of 1." in page
    assert "about 33 times in 100: too few tries to tell." in page


def test_attempts_with_and_without_equipment_are_compared(technician, order, complaint):
    AttemptFactory(complaint=complaint, n=5, k=0, equipment_connected=True)
    AttemptFactory(complaint=complaint, n=5, k=3)

    assert "With test equipment: 0 of 5; without: 3 of 5." in page_of(technician, order)


def test_odd_counts_that_were_imported_do_not_break_the_page(technician, order, complaint):
    AttemptFactory(complaint=complaint, n=3, k=7)
    AttemptFactory(complaint=complaint, n=10**9, k=-4)

    page_of(technician, order)


def test_closing_names_a_missing_test_once_and_says_the_rest_in_full(technician, order, step):
    page = page_of(technician, order)
    closing = page[page.index('class="closing-list"') :]
    form = technician.post(f"/orders/{order.pk}/record/hand-back/", {"outcome": "monitor"}).content.decode()

    assert "Draw on the battery lead, asleep: not done" in closing
    assert "was not done; do it, or waive it" not in closing
    assert "No attempt to see" in closing
    assert "was not done; do it, or waive it" in form


@pytest.mark.parametrize(
    ("value", "words", "probability"),
    [
        ("0.02", "within, proved", "over 99.9 % that it conforms"),
        ("0.045", "within, not proved", "81 % that it conforms"),
        ("1.21", "outside, above, proved", "under 0.1 % that it conforms"),
    ],
)
def test_a_verdict_says_whether_it_is_proved_and_why(technician, order, meter, value, words, probability):
    type(meter).objects.update(accuracy=Decimal("0.01"))
    TestRunFactory(
        order=order, code="standing_draw", value=Decimal(value), unit="A", hi=Decimal("0.05"), limit_unit="A",
        limit_says="shop limit", instrument=meter, instrument_ref=meter.code,
    )  # fmt: skip

    page = technician.get(f"/orders/{order.pk}/").content.decode()

    assert words in page
    assert f"<summary>{probability}</summary>" in page
    assert "the limit 0.05\u00a0A (shop limit)" in page


def test_without_a_known_accuracy_nothing_is_said_about_proof(technician, order, meter):
    named = {"instrument": meter, "instrument_ref": meter.code}
    TestRunFactory(order=order, code="draw", value=Decimal("0.02"), unit="A", hi=Decimal("0.05"), **named)

    assert "that it conforms" not in technician.get(f"/orders/{order.pk}/").content.decode()
