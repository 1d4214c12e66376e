"""The figures of the audit on a generated history, against the pairs themselves and the jobs behind a row."""

from collections import defaultdict
from datetime import UTC, datetime, timedelta
from io import BytesIO, StringIO

import pytest
import simplejson
from django.core.management import call_command
from django.db import transaction
from statsmodels.duration.survfunc import SurvfuncRight

from diagnostics.audit.breakdown import BY, breakdown
from diagnostics.audit.csv_rows import csv_rows
from diagnostics.audit.curve import cohort_counts, curve
from diagnostics.audit.jobs import NoSuchJobs, jobs_behind
from diagnostics.audit.people import own, people
from diagnostics.audit.rates import headline
from diagnostics.audit.scope import Scope
from diagnostics.comebacks import as_it_stood, vehicle_pairs
from diagnostics.comebacks.pairs import LEVEL_REASONS, can_be_index
from diagnostics.comebacks.rate import is_mature, rate
from diagnostics.exchange.importing import import_jobs
from diagnostics.models import ReturnVisit, WatchedJob
from diagnostics.reading import read_orders
from diagnostics.watching import refresh
from shop.models import RepairOrder, Vehicle
from tests.second_opinion import generate

pytestmark = pytest.mark.django_db

NOON = datetime(2026, 6, 1, 12, tzinfo=UTC)


@pytest.fixture(scope="module")
def history(django_db_setup, django_db_blocker):
    """One generated history on record for all tests here, which only read: its orders by vehicle."""
    with django_db_blocker.unblock(), transaction.atomic():
        lines = generate.history(11, 40)
        text = b"\n".join(simplejson.dumps(line, use_decimal=True).encode() for line in lines)
        import_jobs(BytesIO(text), by="the test", at=NOON, report=lambda refusal: None)
        _review_some()
        by_vehicle = defaultdict(list)
        for order in read_orders(RepairOrder.objects.order_by("pk")):
            by_vehicle[order.vehicle.id].append(order)
        yield by_vehicle
        transaction.set_rollback(True)


def _review_some():
    counting = ReturnVisit.objects.filter(counts=True).order_by("pk")
    states = ("confirmed", "unrelated", "undetermined", "in_review")
    for number, visit in enumerate(counting):
        visit.state, visit.reviewed_by = states[number % len(states)], "Gwen"
        visit.save()
    refresh(Vehicle.objects.values_list("pk", flat=True), at=NOON)


def _days(count):
    days = WatchedJob.objects.order_by("returned_on").values_list("returned_on", flat=True)
    span = (days.last() - days.first()).days + 400
    return [days.first() + timedelta(days=span * n // count) for n in range(1, count + 1)]


def test_a_past_day_gives_what_was_known_then(history):
    """As `rate` does with the pairs of that day; the levels and the naive share by the pairs alone."""
    orders = [order for visits in history.values() for order in visits]
    reviews = {
        (visit.index_order.number, visit.return_order.number): visit.state
        for visit in ReturnVisit.objects.select_related("index_order", "return_order")
    }
    seen = 0
    for as_of in _days(6):
        pairs = [pair for visits in history.values() for pair in vehicle_pairs(visits, as_of=as_of)]
        wanted = rate(pairs, orders, as_of=as_of, reviews=reviews)
        found = headline(Scope(as_of=as_of))
        assert found.provisional == wanted.all_orders.provisional
        assert found.reviewed_low == wanted.all_orders.reviewed_lower
        assert found.reviewed_high == wanted.all_orders.reviewed_upper
        assert found.no_fault_found == wanted.no_fault_found.provisional
        handed_back = [order for order in orders if can_be_index(as_it_stood(order, as_of))]
        assert found.jobs == len(handed_back)
        assert found.too_young == sum(not is_mature(order, as_of=as_of) for order in handed_back)
        back = {pair.index_order for pair in pairs if pair.counts and pair.verdict == "comeback"}
        assert (found.naive.count, found.naive.of) == (len(back), len(handed_back))
        _check_levels(as_of, pairs, orders)
        _check_curve(as_of, pairs, handed_back)
        seen += len(back)
    assert seen > 10


def _check_levels(as_of, pairs, orders):
    levels = frozenset("SWYP")
    mature = {order.id for order in orders if is_mature(order, as_of=as_of)}
    back = {
        pair.index_order
        for pair in pairs
        if pair.counts and pair.in_window == "true" and pair.reason in LEVEL_REASONS.values()
    }
    found = headline(Scope(as_of=as_of, levels=levels)).provisional
    assert (found.count, found.of) == (len(back & mature), len(mature))


def _check_curve(as_of, pairs, handed_back):
    """Kaplan-Meier of statsmodels on the list of jobs, each watched to the end of its own shop's window."""
    first = {}
    for pair in pairs:
        if pair.counts and pair.verdict == "comeback":
            first[pair.index_order] = min(pair.days, first.get(pair.index_order, pair.days))
    times, events = [], []
    for order in handed_back:
        watched = min((as_of - order.returned.on).days, order.location.window_days)
        event = order.id in first
        times.append(first[order.id] if event else watched)
        events.append(event)
    wanted = SurvfuncRight(times, events)
    found = curve(Scope(as_of=as_of))
    for day, survival, at_risk in zip(wanted.surv_times, wanted.surv_prob, wanted.n_risk, strict=True):
        point = found.at(int(day))
        if point and day <= found.window_days:
            assert (1 - point.value, point.at_risk) == (pytest.approx(survival), at_risk)
    assert found.jobs == len(handed_back)
    months = cohort_counts(Scope(as_of=as_of))
    assert sum(c.events + c.leavers + c.departures for m in months.values() for c in m) == found.jobs


@pytest.mark.parametrize("levels", [frozenset("SW"), frozenset("SWYP")])
def test_every_row_counts_the_jobs_behind_it(history, levels):
    scope = Scope(as_of=_days(1)[0], levels=levels, counted="reviewed_high")
    whole = headline(scope).reviewed_high
    for by, field in BY.items():
        rows = breakdown(scope, by)
        assert len({row.key for row in rows}) == len(rows), by
        for row in rows:
            jobs = list(jobs_behind(scope, row.query).values_list("pk", "event"))
            assert len(jobs) == len(set(jobs))
            assert (row.share.count, row.share.of) == (sum(e is not None for _, e in jobs), len(jobs)), row
            assert row.too_few == (row.share.of < 30) == (row.limits == ())
        if not field.many:
            assert sum(row.share.of for row in rows) == whole.of, by
            assert sum(row.share.count for row in rows) == whole.count, by
        if by != "month":
            assert [row.label.lower() for row in rows] == sorted(row.label.lower() for row in rows), by


def test_rows_of_many_values_are_those_of_the_orders_themselves(history):
    """Systems and causes counted in Python from the orders."""
    as_of = _days(1)[0]
    orders = {o.id: o for visits in history.values() for o in visits if is_mature(o, as_of=as_of)}
    wanted = {"system": defaultdict(set), "component": defaultdict(set)}
    for order in orders.values():
        for system in {complaint.system for complaint in order.complaints} or {""}:
            wanted["system"][system].add(order.id)
        for item in order.work:
            if item.reason == "cause":
                wanted["component"][item.component].add(order.id)
    for by, rows in wanted.items():
        found = {row.key: row.share.of for row in breakdown(Scope(as_of=as_of), by)}
        assert found == {key: len(numbers) for key, numbers in rows.items()}, by


def test_a_question_the_audit_does_not_know_is_refused(history):
    scope = Scope(as_of=_days(1)[0])
    for params in (
        {"by": "colour"},
        {"by": "batch", "key": "a/b/c"},
        {"by": "month", "key": "May"},
        {"back": "maybe"},
        {"check": "standing_draw", "state": "undone"},
    ):
        with pytest.raises(NoSuchJobs):
            jobs_behind(scope, params)


def test_people_are_counted_by_the_job_that_was_come_back_from(history):
    as_of = _days(1)[0]
    pairs = [pair for visits in history.values() for pair in vehicle_pairs(visits, as_of=as_of)]
    back = {pair.index_order for pair in pairs if pair.counts and pair.verdict == "comeback"}
    mature = [o for visits in history.values() for o in visits if is_mature(o, as_of=as_of)]
    found = people(Scope(as_of=as_of))
    for unit in found.rows:
        own_jobs = [order for order in mature if order.technician == unit.id]
        assert unit.eligible == len(own_jobs)
        assert unit.comebacks == sum(order.id in back for order in own_jobs)
        assert (unit.adjusted is None) == (unit.flag == "too few") == (unit.eligible < 30)
    assert found.found.whole == headline(Scope(as_of=as_of)).provisional
    mine = own(Scope(as_of=as_of), found.rows[0].id)
    assert mine.unit == found.rows[0] or mine.unit.adjusted is None
    assert own(Scope(as_of=as_of), "").unit is None


def test_the_number_of_questions_does_not_grow(history, django_assert_max_num_queries):
    scope = Scope(as_of=_days(1)[0], system="charging")
    every = [
        (headline, 6),
        (curve, 2),
        (people, 3),
        *((lambda scope, by=by: breakdown(scope, by), 5) for by in BY),
    ]
    for ask, most in every:
        with django_assert_max_num_queries(most):
            ask(scope)


def test_the_command_prints_the_same_figures_and_writes_nothing(history):
    as_of = _days(3)[1]
    before = list(WatchedJob.objects.order_by("pk").values())
    said = StringIO()
    call_command("audit", "--as-of", as_of.isoformat(), "--by", "system", "--json", stdout=said)
    found = simplejson.loads(said.getvalue())

    share = headline(Scope(as_of=as_of)).provisional
    assert found["as_of"] == as_of.isoformat()
    assert found["rate"]["provisional"] == {
        "events": share.count,
        "eligible": share.of,
        "value": share.share,
        "low": share.low,
        "high": share.high,
    }
    assert {"days", "value", "low", "high", "at_risk"} <= found["curve"][0].keys()
    for row in found["skipped"]:
        assert {"step", "done", "skipped", "risk_ratio", "risk_ratio_mh", "p", "q"} <= row.keys()
        assert row["skipped"].keys() == {"n", "comebacks"}
    assert {"id", "eligible", "comebacks", "adjusted", "low", "high", "flag"} <= found["technicians"][
        0
    ].keys()
    assert found["by"]["field"] == "system"
    assert sum(row["eligible"] for row in found["by"]["rows"]) >= share.of

    period = StringIO()
    args = [
        "--from",
        "2020-01-01",
        "--to",
        as_of.isoformat(),
        "--levels",
        "s, w,y",
        "--counted",
        "reviewed_low",
    ]
    call_command("audit", *args, stdout=period)
    assert "Jobs handed back from 2020-01-01" in period.getvalue()
    assert list(WatchedJob.objects.order_by("pk").values()) == before


def test_each_table_is_a_file_and_names_can_stay_out(history):
    scope = Scope(as_of=_days(1)[0])
    for table in ("rate", "curve", "people", "shops"):
        head, *rows = csv_rows(scope, table)
        assert rows
        assert all(len(row) == len(head) for row in rows)
    names = set(WatchedJob.objects.values_list("technician", flat=True))
    for rows in (
        csv_rows(scope, "people", with_names=False),
        csv_rows(scope, "breakdown", by="technician", with_names=False),
    ):
        assert not names & {row[0] for row in rows}
    with pytest.raises(KeyError):
        list(csv_rows(scope, "breakdown", by="colour"))
