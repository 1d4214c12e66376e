"""The rows that the audit counts: what they say, and that they say it by every way they are made."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from io import BytesIO

import pytest
import simplejson
from django.db.models import Q

from diagnostics import recording, returns, watching
from diagnostics.comebacks import Window, vehicle_pairs
from diagnostics.comebacks.rate import is_mature, rate
from diagnostics.evidence import chain_statuses, evaluate
from diagnostics.exchange.importing import import_jobs
from diagnostics.models import KeptAudit, RequiredStep, ReturnVisit, WatchedCheck, WatchedJob
from diagnostics.reading import read_instruments, read_order, read_orders
from diagnostics.snapshot import Vehicle as SnapshotVehicle
from diagnostics.watching import recounting
from diagnostics.watching.reading import read_visits
from shared.models import OutboxRow
from shop import intake
from shop.models import Location, RepairOrder, Vehicle
from tests.diagnostics.visits import first_visit, later_visit, on
from tests.factories import (
    AttemptFactory,
    CauseFactory,
    KeptAuditFactory,
    OwnerFactory,
    TechnicianFactory,
    TestRunFactory,
    WorkItemFactory,
)
from tests.second_opinion import generate

pytestmark = pytest.mark.django_db

NOON = datetime(2026, 6, 1, 12, tzinfo=UTC)
LATER = NOON + timedelta(days=1)


def take_in(seed, vehicles):
    lines = generate.history(seed, vehicles)
    text = b"\n".join(simplejson.dumps(line, use_decimal=True).encode() for line in lines)
    import_jobs(BytesIO(text), by="the test", at=NOON, report=lambda refusal: None)


def everything():
    """All computed rows, without the moment they were made and the keys that counting gives them."""
    left_out = ("id", "computed_at")
    return [
        sorted(
            str({name: value for name, value in row.items() if name not in left_out})
            for row in model.objects.order_by().values()
        )
        for model in (ReturnVisit, WatchedJob, WatchedCheck)
    ]


def checks(order):
    found = WatchedCheck.objects.filter(job=order.pk).values_list("code", "phase", "complaint_ref", "state")
    return {(code, phase, ref): state for code, phase, ref, state in found}


# --- the same by every way ------------------------------------------------------------------------------


def test_a_whole_count_a_refresh_and_one_order_at_a_time_come_to_the_same(monkeypatch):
    take_in(3, 25)
    refreshed = everything()
    assert all(refreshed), "the import refreshes what it took in"

    assert not watching.recount(at=LATER), "counting again finds nothing that differs"
    for model in (ReturnVisit, WatchedCheck, WatchedJob):
        model.objects.all().delete()
    monkeypatch.setattr(recounting, "ORDERS_A_SPAN", 17)
    watching.recount(at=LATER)
    assert everything() == refreshed

    for model in (ReturnVisit, WatchedCheck, WatchedJob):
        model.objects.all().delete()
    for vehicle in Vehicle.objects.order_by("-pk"):
        watching.refresh([vehicle.pk], at=LATER)
    assert everything() == refreshed

    _visits_are_the_whole_orders_but_for_what_no_rule_here_reads()
    _pairs_are_those_of_the_whole_orders()
    _jobs_add_up_to_the_rate()
    _chains_are_those_of_the_rules()


def _visits_are_the_whole_orders_but_for_what_no_rule_here_reads():
    whole = {order.id: order for order in read_orders(RepairOrder.objects.order_by("pk"))}
    for visit in read_visits(Q()):
        order = whole.pop(visit.order.id)
        vehicle = SnapshotVehicle(order.vehicle.id, year=order.vehicle.year, left_on=order.vehicle.left_on)
        without = {"customer": None, "charges": None, "time": (), "handoffs": (), "authorisations": ()}
        work = tuple(replace(item, part=None) for item in order.work)
        assert visit.order == replace(order, vehicle=vehicle, work=work, **without)
    assert not whole


def _pairs_are_those_of_the_whole_orders():
    on_record = {
        (visit.index_order.number, visit.return_order.number): (visit.verdict, visit.reason, visit.counts)
        for visit in ReturnVisit.objects.select_related("index_order", "return_order")
    }
    by_vehicle = _by_vehicle()
    found = {
        (pair.index_order, pair.return_order): (pair.verdict, pair.reason, pair.counts)
        for visits in by_vehicle.values()
        for pair in vehicle_pairs(visits)
        if pair.days is None or pair.days >= 0
    }
    assert on_record.items() <= found.items()
    left_out = {found[key][1] for key in found.keys() - on_record.keys()}
    assert left_out <= {"index_not_eligible", "no_symptom_complaint", "unrelated"}


def _jobs_add_up_to_the_rate():
    """The rate of the notes, by the pairs themselves, is the share of ripe rows with days to a return."""
    as_of = date(2027, 12, 31)
    by_vehicle = _by_vehicle()
    orders = [order for visits in by_vehicle.values() for order in visits]
    pairs = [pair for visits in by_vehicle.values() for pair in vehicle_pairs(visits)]
    rates = rate(pairs, orders, as_of=as_of)
    ripe = WatchedJob.objects.filter(mature_on__lte=as_of)
    assert ripe.count() == rates.all_orders.index_orders == sum(is_mature(o, as_of=as_of) for o in orders)
    assert ripe.exclude(back_days=None).count() == rates.all_orders.provisional.count
    assert ripe.exclude(low_days=None).count() == rates.all_orders.reviewed_lower.count
    for job in ripe.select_related("order__location", "order__vehicle"):
        of_order = [pair for pair in pairs if pair.index_order == job.order.number and pair.counts]
        comebacks = [pair.days for pair in of_order if pair.verdict == "comeback"]
        assert job.back_days == min(comebacks, default=None)
        location = job.order.location
        year = Window(365, location.window_km * 365 / location.window_days)
        within = [
            pair.days
            for pair in vehicle_pairs(by_vehicle[job.order.vehicle.code], window=year)
            if pair.index_order == job.order.number and pair.counts and pair.verdict == "comeback"
        ]
        if len({order.location for order in by_vehicle[job.order.vehicle.code]}) == 1:
            assert job.year_days == min(within, default=None)


def _chains_are_those_of_the_rules():
    instruments = read_instruments()
    for order in read_orders(RepairOrder.objects.filter(watched__isnull=False)):
        job = WatchedJob.objects.get(order__number=order.id)
        findings = evaluate(order, instruments=instruments)
        chains = list(chain_statuses(order, findings).values())
        assert (job.chain, job.chain_link) == ((chains[0].status, chains[0].link) if chains else ("", ""))
        steps = {
            (f"{check.complaint_ref}:{check.code}", check.state)
            for check in WatchedCheck.objects.filter(job=job).exclude(phase="")
        }
        gaps = {f.subject for f in findings if f.rule == "R4" and f.state == "gap"}
        assert gaps == {subject for subject, state in steps if state == "skipped"}


def _by_vehicle():
    found = {}
    for order in read_orders(RepairOrder.objects.order_by("pk")):
        found.setdefault(order.vehicle.id, []).append(order)
    return found


# --- what a row says ------------------------------------------------------------------------------------


def test_a_job_that_came_back_says_after_how_many_days_by_each_way_of_counting():
    first = first_visit(technician="Isa Renk")
    Vehicle.objects.update(year=2015, left_on=on(40))
    later_visit(first, day=10)
    watching.refresh([first.vehicle_id], at=NOON)

    job = WatchedJob.objects.get(order=first)
    assert (job.technician, job.returned_on, job.mature_on) == ("Isa Renk", on(0), on(91))
    assert (job.system, job.symptom, job.vehicle_years, job.left_on) == ("cooling", "overheats", 11, on(40))
    assert (job.back_days, job.low_days, job.up_days, job.year_days) == (10, 10, 10, 10)
    assert (job.chain, job.chain_link) == ("broken", "attempt")

    KeptAuditFactory()
    visit = ReturnVisit.objects.get()
    returns.review(visit, state="undetermined", by=OwnerFactory(), at=LATER, note="No paper is left.")
    job.refresh_from_db()
    assert (job.back_days, job.low_days, job.up_days) == (10, None, 10)
    assert KeptAudit.objects.get().is_stale


def test_a_return_after_the_window_counts_within_the_year_alone():
    first = first_visit(odo_out=100_000)
    later_visit(first, day=200, odo_in=112_000)
    watching.refresh([first.vehicle_id], at=NOON)

    job = WatchedJob.objects.get(order=first)
    assert (job.back_days, job.up_days, job.year_days) == (None, None, 200)


def test_an_open_job_and_one_with_everything_declined_cannot_be_come_back_from():
    first_visit(outcome="declined_all")
    still_here = later_visit(first_visit())
    watching.recount(at=NOON)

    assert WatchedJob.objects.count() == 1
    assert not WatchedJob.objects.filter(order=still_here).exists()


def test_a_window_that_ends_after_the_calendar_does_no_harm():
    first = first_visit()
    Location.objects.update(window_days=2_000_000_000)

    watching.refresh([first.vehicle_id], at=NOON)

    assert WatchedJob.objects.get().mature_on == date.max


def test_each_thing_a_job_was_asked_for_is_done_waived_or_skipped():
    first = first_visit()
    complaint = first.complaint_set.get()
    for code, more in (
        ("seen", {}),
        ("left", {}),
        ("excused", {"is_waived": True, "waiver_reason": "Read last week.", "waiver_by": "Isa Renk"}),
    ):
        RequiredStep.objects.create(complaint=complaint, code=code, phase="before", **more)
    usual = {"order": first, "complaint_ref": "C1", "done_on": on(-1), "entered_on": on(-1), "unit": "V"}
    TestRunFactory(**usual, ref="T1", code="seen", value=Decimal("0.1"), hi=Decimal("0.2"), phase="before")
    TestRunFactory(
        **usual,
        ref="T2",
        code="drop",
        point="feed",
        value=Decimal("0.9"),
        hi=Decimal("0.2"),
        isolates="feed",
        phase="before",
    )
    CauseFactory(order=first, ref="K1", complaint_ref="C1", component="feed", evidence=["T2"])
    WorkItemFactory(
        order=first,
        ref="W1",
        complaint_ref="C1",
        kind="replace",
        component="feed",
        reason="cause",
        cause_ref="K1",
    )
    watching.refresh([first.vehicle_id], at=NOON)

    assert checks(first) == {
        ("seen", "before", "C1"): "done",
        ("left", "before", "C1"): "skipped",
        ("excused", "before", "C1"): "waived",
        ("R1", "", "C1"): "skipped",
        ("R11", "", "C1"): "done",
        ("R17", "", "C1"): "skipped",
        ("R19", "", "C1"): "skipped",
    }
    row = WatchedCheck.objects.get(code="left")
    assert (row.system, row.symptom) == ("cooling", "overheats")


# --- kept up to date ------------------------------------------------------------------------------------


def fresh(order):
    """What the rows of this vehicle say, and what they would say if they were made anew."""
    kept = everything()
    watching.refresh([order.vehicle_id], at=LATER)
    return kept, everything()


def test_an_act_on_a_job_handed_back_is_followed_at_once():
    hand, owner = TechnicianFactory(), OwnerFactory()
    order = first_visit()
    complaint = order.complaint_set.get()
    attempt = AttemptFactory(complaint=complaint, conditions="")
    step = RequiredStep.objects.create(complaint=complaint, code="left", phase="before")
    work = WorkItemFactory(order=order, ref="W1", complaint_ref="C1", reason="cause", kind="replace")
    watching.refresh([order.vehicle_id], at=NOON)
    why = {"at": LATER, "by": hand}

    for act in (
        lambda: recording.amend_attempt(attempt, why="Asked again", conditions="Cold start", **why),
        lambda: recording.explain(order, rule="R19", subject="C1", reason="Sold at once", **why),
        lambda: recording.waive_step(step, reason="No adapter", **why),
        lambda: recording.amend_work(work, why="Wrong word", reason="customer_request", **why),
        lambda: intake.keep_vehicle(_gone(order), by=owner),
    ):
        before = everything()
        act()
        kept, made_anew = fresh(order)
        assert kept == made_anew
        assert kept != before


def _gone(order):
    vehicle = Vehicle.objects.get(pk=order.vehicle_id)
    vehicle.left_on = on(30)
    return vehicle


def test_an_import_follows_a_vehicle_that_is_gone_and_asks_for_a_recount_after_another_window():
    take_in(5, 3)
    job = WatchedJob.objects.select_related("vehicle").first()
    location = Location.objects.order_by("code").first()
    lines = [
        {"record": "vehicle", "id": job.vehicle.code, "left_on": job.returned_on.isoformat()},
        {"record": "location", "id": location.code, "window_days": 30},
    ]
    text = b"\n".join(simplejson.dumps(line).encode() for line in lines)
    import_jobs(BytesIO(text), by="the test", at=LATER, report=lambda refusal: None)

    job.refresh_from_db()
    assert job.left_on == job.returned_on
    assert OutboxRow.objects.filter(kind="recount").count() == 1


def test_what_was_changed_during_a_recount_is_looked_at_again(monkeypatch):
    first = first_visit()
    complaint = first.complaint_set.get()
    attempt = AttemptFactory(complaint=complaint)
    changes_of = recounting.changes_of

    def meanwhile(chosen):
        found = changes_of(chosen)
        recording.amend_attempt(attempt, why="Slip", n=9, k=1, by=TechnicianFactory(), at=NOON)
        return found

    monkeypatch.setattr(recounting, "changes_of", meanwhile)
    watching.recount(at=NOON)

    kept, made_anew = fresh(first)
    assert kept == made_anew
    assert read_order(first.pk).complaints[0].attempts[0].n == 9
