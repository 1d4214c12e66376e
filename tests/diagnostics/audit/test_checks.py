"""Checks counted in the database, from rows to what stands in the table."""

from dataclasses import replace
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from diagnostics.audit.checks import check_rows
from diagnostics.audit.scope import Scope
from diagnostics.models import ReturnVisit
from tests.diagnostics.audit.watched import AS_OF, HANDED_BACK, checks, jobs, table
from tests.factories import OrderFactory, ReturnCostFactory, ReturnVisitFactory, TestKindFactory

pytestmark = pytest.mark.django_db
SCOPE = Scope(as_of=AS_OF)


def the_row(scope=SCOPE, kind="steps"):
    (row,) = check_rows(scope, kind).rows
    return row


def test_kidney_stones_turn_round_within_strata():
    # Charig et al. 1986, BMJ 292:879, from memory: open surgery fails more often in all, and less often among
    # small and among large stones. The pooled ratio and difference are those of statistics.md section 7,
    # mh-rr-kidney-stones, computed there by two routes.
    table(("charging", 1, (6, 81), (36, 234)), ("charging", 3, (71, 192), (25, 55)))

    row = the_row()

    assert (row.when_skipped.count, row.when_skipped.of) == (77, 350)
    assert (row.when_done.count, row.when_done.of) == (61, 350)
    assert row.ratio.value > 1.2
    adjusted = row.adjusted
    assert adjusted.ratio.value == pytest.approx(0.75504355, abs=1e-8)
    assert (adjusted.ratio.low, adjusted.ratio.high) == pytest.approx((0.53044317, 1.0747443), abs=1e-7)
    assert adjusted.difference.value == pytest.approx(-0.05383557, abs=1e-8)
    assert (row.p_by, row.answer) == ("Mantel-Haenszel", "no_difference")


def test_times_are_counted_by_complaint_and_jobs_once():
    first, second, third, fourth = jobs(4, back=1)
    checks([first], "skipped", complaint_ref="C2", difficulty=2)
    checks([first, second], "done", difficulty=1)
    checks([second], "done", complaint_ref="C2", difficulty=3)
    checks([third], "waived")
    checks([third, fourth], "waived", complaint_ref="C2")

    row = the_row()

    assert (row.counts.required, row.counts.done, row.counts.waived, row.counts.skipped) == (7, 3, 3, 1)
    assert (row.when_skipped.count, row.when_skipped.of) == (1, 1)
    assert (row.when_done.count, row.when_done.of) == (0, 1)
    assert (row.when_waived.count, row.when_waived.of) == (0, 2)
    assert [(cell.difficulty, cell.skipped, cell.done) for cell in row.counts.cells] == [(1, 0, 1), (2, 1, 0)]


def test_only_jobs_whose_window_has_run_count():
    checks(jobs(3), "skipped")
    checks(jobs(2, on=AS_OF.replace(day=1)), "skipped")

    assert the_row().when_skipped.of == 3
    assert check_rows(SCOPE).jobs == 3


def test_gaps_stand_apart_from_steps():
    some = jobs(3)
    checks(some[:2], "skipped", code="R17", phase="")
    checks(some, "done")

    gap = the_row(kind="gaps")

    assert (gap.code, gap.is_gap, gap.counts.skipped) == ("R17", True, 2)
    assert the_row().code == "standing_draw"


def test_a_system_narrows_the_checks_to_its_complaints_and_is_one_more_comparison():
    (job,) = jobs(1)
    OrderFactory()
    job.order.complaint_set.create(ref="C1", text="It hums.", kind="symptom", system="cooling")
    checks([job], "skipped", system="cooling", code="pressure_hold")
    checks([job], "skipped", system="battery", complaint_ref="C2")

    found = check_rows(replace(SCOPE, system="cooling"))

    assert [row.code for row in found.rows] == ["pressure_hold"]
    assert found.filters == ("system",)


def test_a_technician_is_one_more_comparison():
    checks(jobs(2, technician="Isa Renk"), "skipped")
    checks(jobs(3, technician="Tobin Ash"), "skipped")

    found = check_rows(replace(SCOPE, technician="Isa Renk"))

    assert found.rows[0].when_skipped.of == 2
    assert found.filters == ("technician",)


def test_the_mean_comeback_prices_a_row_and_knows_what_it_does_not_know():
    TestKindFactory(code="standing_draw", minutes=20)
    table(("charging", 1, (20, 80), (10, 90)))
    for job, minutes in zip(jobs(3, back=3), (60, 120, None), strict=True):
        back = OrderFactory(vehicle=job.vehicle, unbilled_minutes=minutes)
        ReturnVisitFactory(index_order=job.order, return_order=back, days=10, counts=True)
    ReturnCostFactory(visit=ReturnVisit.objects.first(), parts=Decimal("40.00"), goodwill=Decimal("10.00"))

    found = check_rows(SCOPE)

    mean, price = found.mean, found.rows[0].price
    assert (mean.of, mean.minutes, mean.minutes_of) == (33, 90.0, 2)
    assert (mean.money, mean.money_of, mean.currency) == (Decimal("50.00"), 1, "GBP")
    assert price.test_minutes == 20
    assert price.extra[0] == pytest.approx(10)
    assert price.extra_minutes[0] == pytest.approx(900)
    assert price.extra_money[0] == Decimal("500.00")


def test_as_reviewed_counts_by_the_review():
    some = jobs(4, back=4)
    checks(some, "skipped")
    type(some[0]).objects.filter(pk=some[0].pk).update(low_days=10)

    assert the_row(replace(SCOPE, counted="reviewed_low")).when_skipped.count == 1
    assert the_row(replace(SCOPE, since=HANDED_BACK)).when_skipped.count == 4


def test_the_same_few_queries_whatever_there_is():
    def queries():
        with CaptureQueriesContext(
            connection,
        ) as seen:
            check_rows(SCOPE)
        return len(seen)

    table(("charging", 1, (1, 2), (1, 2)))
    few = queries()
    for code in ("rest_voltage", "pressure_hold"):
        table(("cooling", 2, (5, 20), (3, 30)), ("battery", None, (2, 9), (2, 9)), code=code)

    assert queries() == few <= 6
