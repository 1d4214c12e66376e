from datetime import UTC, datetime

import pytest
from django.db import connection
from django.db.utils import IntegrityError
from django.test.utils import CaptureQueriesContext

from diagnostics import returns, watching
from diagnostics.models import RequiredStep, ReturnVisit
from shared.models import AuditEntry
from shop.models import Complaint
from tests.diagnostics.visits import first_visit, later_visit
from tests.factories import OwnerFactory, WorkItemFactory

pytestmark = pytest.mark.django_db

MONDAY = datetime(2026, 3, 16, 9, 0, tzinfo=UTC)
TUESDAY = datetime(2026, 3, 17, 9, 0, tzinfo=UTC)


def only_pair():
    return ReturnVisit.objects.get()


def test_a_return_is_stored_with_its_verdict_and_what_was_left():
    first = first_visit()
    RequiredStep.objects.create(complaint=first.complaint_set.get(), code="pressure_hold", phase="before")
    WorkItemFactory(order=first, ref="W1", component="thermostat")
    later = later_visit(first)

    changed = watching.refresh([first.vehicle_id], at=MONDAY)

    pair = only_pair()
    assert changed.pairs == 1
    assert (pair.index_order, pair.return_order, pair.counts) == (first, later, True)
    assert (pair.verdict, pair.reason, pair.level) == ("comeback", "same_complaint", "S")
    assert (pair.days, pair.km, pair.in_window) == (10, 500, "true")
    assert (pair.system, pair.symptom, pair.level_complaint) == ("cooling", "overheats", "C1")
    assert (pair.skipped, pair.unsupported_parts) == (["pressure_hold"], ["W1"])
    assert pair.policy == {"window_days": 90, "window_km": "6000"}
    assert pair.computed_at == MONDAY


def test_a_pair_follows_the_facts():
    first = first_visit()
    later = later_visit(first)
    watching.refresh([first.vehicle_id], at=MONDAY)

    Complaint.objects.filter(order=later).update(symptom="loses_coolant")
    watching.refresh([first.vehicle_id], at=TUESDAY)

    pair = only_pair()
    assert (pair.level, pair.verdict, pair.symptom) == ("Y", "needs_review", "loses_coolant")
    assert pair.computed_at == TUESDAY


def test_a_second_refresh_writes_nothing():
    first = first_visit(odo_out=100_000)
    later_visit(first)
    watching.recount(at=MONDAY)

    assert not watching.recount(at=TUESDAY)
    assert only_pair().computed_at == MONDAY


def test_a_pair_that_is_none_any_more_is_dropped():
    first = first_visit()
    later = later_visit(first)
    watching.refresh([first.vehicle_id], at=MONDAY)

    Complaint.objects.filter(order=later).update(system="lighting", symptom="lamp_out")
    changed = watching.refresh([first.vehicle_id], at=TUESDAY)

    assert changed.pairs == 1
    assert not ReturnVisit.objects.exists()


def test_a_reviewed_pair_stays_on_record_when_it_is_no_candidate_any_more():
    first = first_visit()
    later = later_visit(first)
    watching.refresh([first.vehicle_id], at=MONDAY)
    returns.review(only_pair(), state="confirmed", by=OwnerFactory(), at=MONDAY, note="The cap was weak.")

    Complaint.objects.filter(order=later).update(system="lighting", symptom="lamp_out")
    watching.refresh([first.vehicle_id], at=TUESDAY)

    pair = only_pair()
    assert (pair.verdict, pair.reason, pair.counts) == ("not_candidate", "unrelated", False)
    assert (pair.state, pair.review_note) == ("confirmed", "The cap was weak.")
    assert not watching.refresh([first.vehicle_id], at=TUESDAY)


def test_a_reviewed_pair_becomes_a_candidate_again_with_its_review():
    first = first_visit()
    later = later_visit(first)
    watching.refresh([first.vehicle_id], at=MONDAY)
    returns.review(only_pair(), state="unrelated", by=OwnerFactory(), at=MONDAY)
    complaint = Complaint.objects.filter(order=later)
    complaint.update(system="lighting", symptom="lamp_out")
    watching.refresh([first.vehicle_id], at=TUESDAY)

    complaint.update(system="cooling", symptom="overheats")
    watching.refresh([first.vehicle_id], at=TUESDAY)

    pair = only_pair()
    assert (pair.verdict, pair.counts, pair.state) == ("comeback", True, "unrelated")


def test_a_return_moves_to_another_earlier_order_and_back():
    oldest = first_visit()
    newer = first_visit(oldest.vehicle, symptom="loses_coolant", day=5)
    later = later_visit(newer, day=10)
    watching.refresh([oldest.vehicle_id], at=MONDAY)
    assert ReturnVisit.objects.get(counts=True, return_order=later).index_order == oldest

    Complaint.objects.filter(order=newer).update(symptom="overheats")
    watching.refresh([oldest.vehicle_id], at=MONDAY)
    assert ReturnVisit.objects.get(counts=True, return_order=later).index_order == newer

    Complaint.objects.filter(order=newer).update(symptom="loses_coolant")
    watching.refresh([oldest.vehicle_id], at=MONDAY)
    assert ReturnVisit.objects.get(counts=True, return_order=later).index_order == oldest


def test_two_pairs_of_one_return_cannot_both_count():
    oldest = first_visit()
    newer = first_visit(oldest.vehicle, day=5)
    later_visit(newer)
    watching.refresh([oldest.vehicle_id], at=MONDAY)

    with pytest.raises(IntegrityError, match="return_order"):
        ReturnVisit.objects.filter(return_order__returned_on=None).update(counts=True)


def test_a_related_visit_after_the_window_is_kept_as_a_late_return():
    first = first_visit()
    later_visit(first, day=91)

    watching.refresh([first.vehicle_id], at=MONDAY)

    pair = only_pair()
    assert (pair.verdict, pair.reason, pair.level) == ("not_candidate", "outside_window", "S")
    assert not pair.counts


def test_an_unrelated_visit_is_not_kept():
    first = first_visit()
    later_visit(first, system="lighting", symptom="lamp_out")

    watching.refresh([first.vehicle_id], at=MONDAY)

    assert not ReturnVisit.objects.exists()


def test_the_queries_of_a_refresh_do_not_grow_with_the_orders():
    def queries_of(vehicles):
        for _ in range(vehicles):
            later_visit(first_visit())
        with CaptureQueriesContext(
            connection,
        ) as queries:
            watching.recount(at=MONDAY)
        return len(queries)

    few = queries_of(2)
    ReturnVisit.objects.all().delete()

    assert queries_of(15) == few


def test_all_orders_are_counted_and_told_about():
    for _ in range(3):
        later_visit(first_visit())
    told = []

    changed = watching.recount(at=MONDAY, progress=lambda done, total: told.append((done, total)))

    assert changed.pairs == 3
    assert told == [(6, 6)]


def test_a_review_leaves_an_entry_with_what_was_said_before_and_after():
    first = first_visit()
    later = later_visit(first)
    watching.refresh([first.vehicle_id], at=MONDAY)
    owner = OwnerFactory(signs_as="Gwen Aldrake")

    returns.review(only_pair(), state="excluded", exclusion="X3", note="Tow report.", by=owner, at=MONDAY)

    entry = AuditEntry.objects.get(action="review")
    assert (entry.actor_name, entry.order_number, entry.reason) == (
        "Gwen Aldrake",
        later.number,
        "Tow report.",
    )
    assert (entry.before["state"], entry.after["state"]) == ("unreviewed", "excluded")
    assert entry.after["review_exclusion"] == "X3"


def test_an_exclusion_is_forgotten_when_the_review_says_something_else():
    first = first_visit()
    later_visit(first)
    watching.refresh([first.vehicle_id], at=MONDAY)
    owner = OwnerFactory()
    returns.review(only_pair(), state="excluded", exclusion="X3", by=owner, at=MONDAY)

    returns.review(only_pair(), state="confirmed", exclusion="X3", by=owner, at=TUESDAY)

    assert (only_pair().state, only_pair().review_exclusion) == ("confirmed", "")


def test_an_exclusion_must_be_named():
    first = first_visit()
    later_visit(first)
    watching.refresh([first.vehicle_id], at=MONDAY)

    with pytest.raises(IntegrityError, match="return_review_excluded_says_which"):
        returns.review(only_pair(), state="excluded", by=OwnerFactory(), at=MONDAY)
