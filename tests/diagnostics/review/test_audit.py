from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from diagnostics import returns, watching
from diagnostics.assessment import assess
from diagnostics.models import Assumption, Explanation, RequiredStep, ReturnVisit
from diagnostics.review.audit import audit, last_year
from diagnostics.review.facts import read_facts
from tests.diagnostics.test_returns import MONDAY
from tests.diagnostics.visits import HANDED_BACK, first_visit, later_visit, on
from tests.factories import (
    AdvisorFactory,
    ComplaintFactory,
    LocationFactory,
    OwnerFactory,
    TechnicianFactory,
    TestRunFactory,
)

pytestmark = pytest.mark.django_db

LATE_ENOUGH = date(2026, 10, 1)


def counted(as_of=LATE_ENOUGH, system="", since=date(2026, 1, 1), until=date(2026, 12, 31)):
    watching.recount(at=MONDAY)
    return audit(read_facts(since, until), as_of=as_of, system=system)


def shown(found):
    rate = found.rates.all_orders
    return [(s.count, s.of) for s in (rate.provisional, rate.reviewed_lower, rate.reviewed_upper)]


def test_the_rate_counts_orders_whose_window_has_passed():
    first_visit()
    later_visit(first_visit())
    first_visit(day=200)

    found = counted(as_of=on(201))

    assert shown(found)[0] == (1, 2)
    assert found.too_young == 1


def test_on_its_last_day_a_window_has_not_passed():
    first_visit()

    assert counted(as_of=on(90)).rates.all_orders.provisional is None
    assert shown(counted(as_of=on(91)))[0] == (0, 1)


def test_a_review_changes_the_reviewed_rate_and_leaves_the_provisional_one():
    for state in ("confirmed", "unrelated", "undetermined", "in_review"):
        first = first_visit()
        later_visit(first)
        watching.recount(at=MONDAY)
        visit = ReturnVisit.objects.get(index_order=first)
        returns.review(visit, state=state, by=OwnerFactory(), at=MONDAY)

    assert shown(counted()) == [(4, 4), (2, 4), (3, 4)]


def test_an_excluded_return_stays_below_the_line_only():
    first = first_visit()
    later_visit(first)
    watching.recount(at=MONDAY)
    returns.review(ReturnVisit.objects.get(), state="excluded", exclusion="X4", by=OwnerFactory(), at=MONDAY)

    assert shown(counted()) == [(1, 1), (0, 1), (0, 1)]


def test_no_fault_found_has_its_own_row_and_stays_in_the_whole():
    later_visit(first_visit(outcome="no_fault_found"))
    first_visit()

    found = counted()

    assert shown(found)[0] == (1, 2)
    row = found.rates.no_fault_found.provisional
    assert (row.count, row.of) == (1, 1)


def test_all_work_declined_is_no_index_order():
    first_visit(outcome="declined_all")

    assert counted().rates.all_orders.provisional is None


def test_only_orders_of_the_period_are_counted():
    first_visit(day=0)
    first_visit(day=10)

    assert shown(counted(since=on(1), until=on(10)))[0] == (0, 1)
    assert shown(counted(since=on(0), until=on(9)))[0] == (0, 1)


def test_a_system_narrows_orders_and_steps():
    first = first_visit()
    later_visit(first)
    other = ComplaintFactory(order=first, ref="C2", system="battery", symptom="flat")
    first_visit(system="battery", symptom="flat")
    RequiredStep.objects.create(complaint=first.complaint_set.get(ref="C1"), code="pressure_hold")
    RequiredStep.objects.create(complaint=other, code="draw")

    found = counted(system="cooling")

    assert shown(found)[0] == (1, 1)
    assert [step.code for step in found.steps] == ["pressure_hold"]


def test_each_system_has_its_count():
    later_visit(first_visit())
    first_visit(system="battery", symptom="flat")

    rows = {row.system: (row.share.count, row.share.of, row.too_few) for row in counted().by_system}

    assert rows == {"battery": (0, 1, True), "cooling": (1, 1, True)}


def _steps_of(order):
    """What the rule says of each required step, read from the whole order."""
    findings = {f.subject: f.state for f in assess(order.pk).findings if f.rule == "R4"}
    words = {None: "done", "gap": "skipped", "explained": "waived"}
    return {
        step.code: words[findings.get(f"{step.complaint.ref}:{step.code}")]
        for step in RequiredStep.objects.filter(complaint__order=order)
    }


def test_the_steps_are_counted_as_the_rule_says():
    order = first_visit(technician="Isa Renk")
    complaint = order.complaint_set.get()
    waived = {"is_waived": True, "waiver_reason": "no need", "waiver_by": "Isa Renk"}
    leaning = waived | {"waiver_assumption": "A1"}
    RequiredStep.objects.create(complaint=complaint, code="done")
    RequiredStep.objects.create(complaint=complaint, code="done_late")
    RequiredStep.objects.create(complaint=complaint, code="not_applicable")
    RequiredStep.objects.create(complaint=complaint, code="other_complaint")
    RequiredStep.objects.create(complaint=complaint, code="skipped")
    RequiredStep.objects.create(complaint=complaint, code="waived", **waived)
    RequiredStep.objects.create(complaint=complaint, code="nameless", is_waived=True, waiver_reason="no need")
    RequiredStep.objects.create(complaint=complaint, code="critical", critical=True, **waived)
    RequiredStep.objects.create(
        complaint=complaint, code="approved", critical=True, waiver_approved_by="Maud Tarrant", **waived
    )
    RequiredStep.objects.create(complaint=complaint, code="leaning", **leaning)
    RequiredStep.objects.create(complaint=complaint, code="explained")
    RequiredStep.objects.create(complaint=complaint, code="after_only", phase="after")
    Assumption.objects.create(order=order, ref="A1", text="-", status="open")
    Explanation.objects.create(
        order=order, rule="R4", subject="C1:explained", reason="-", signed_by="Isa Renk"
    )
    TestRunFactory(order=order, code="done ", complaint_ref="C1", done_on=HANDED_BACK)
    TestRunFactory(order=order, code="done_late", complaint_ref="C1", done_on=on(1))
    TestRunFactory(order=order, code="not_applicable", complaint_ref="C1", status="not_applicable")
    TestRunFactory(order=order, code="other_complaint", complaint_ref="C9")
    TestRunFactory(order=order, code="after_only", complaint_ref="C1", phase="before")

    found = {step.code: step.state for step in read_facts(HANDED_BACK, HANDED_BACK).steps}

    assert found == _steps_of(order)
    assert set(found.values()) == {"done", "skipped", "waived"}
    assert [code for code, state in found.items() if state == "waived"] == ["waived", "approved", "explained"]


def test_an_assumption_settled_by_a_test_carries_a_waiver():
    order = first_visit()
    RequiredStep.objects.create(
        complaint=order.complaint_set.get(),
        code="draw",
        is_waived=True,
        waiver_reason="-",
        waiver_by="Isa Renk",
        waiver_assumption="A1",
    )
    Assumption.objects.create(order=order, ref="A1", text="-", status="confirmed", evidence=["T1"])
    TestRunFactory(order=order, ref="T1", code="look")

    assert [step.state for step in read_facts(HANDED_BACK, HANDED_BACK).steps] == ["waived"]


def test_the_queries_of_the_audit_do_not_grow_with_the_orders():
    def queries():
        with CaptureQueriesContext(connection) as captured:
            read_facts(date(2026, 1, 1), date(2026, 12, 31))
        return len(captured)

    def visits(count):
        for _ in range(count):
            first = first_visit()
            complaint = first.complaint_set.get()
            RequiredStep.objects.create(
                complaint=complaint, code="draw", is_waived=True, waiver_reason="-", waiver_by="Isa"
            )
            later_visit(first)
        watching.recount(at=MONDAY)

    visits(1)
    few = queries()
    visits(10)

    assert queries() == few <= 10


@pytest.mark.parametrize(
    ("today", "expected"),
    [
        (date(2026, 10, 30), (date(2025, 8, 1), date(2026, 7, 31))),
        (date(2024, 5, 30), (date(2023, 3, 1), date(2024, 2, 29))),
    ],
)
def test_the_usual_period_is_the_newest_twelve_months_that_can_be_counted(today, expected):
    assert last_year(today, 90) == expected


# --- the page ---------------------------------------------------------------------------------------


@pytest.fixture
def owner(client):
    person = OwnerFactory(location=LocationFactory(code="Q"))
    client.force_login(person)
    return person


def page(client, **query):
    usual = {"since": "2026-01-01", "until": "2026-12-31"}
    response = client.get(reverse("audit"), usual | query)
    assert response.status_code == 200
    return response.content.decode()


@pytest.mark.parametrize("person", [AdvisorFactory, TechnicianFactory])
def test_only_the_owner_sees_the_audit(client, person):
    client.force_login(person())

    assert client.get(reverse("audit")).status_code == 403


def test_an_empty_shop_is_told_what_will_be_counted(client, owner):
    text = client.get(reverse("audit")).content.decode()

    assert "No job to count yet" in text
    assert "No return waits for review" in text


@pytest.mark.usefixtures("owner")
def test_few_jobs_show_the_count_and_no_rate(client, time_machine):
    time_machine.move_to(MONDAY.replace(month=11))
    later_visit(first_visit())
    watching.recount(at=MONDAY)

    text = page(client)

    assert "1 of 1 <small>jobs came back" in text
    assert "Too few to compare" in text
    assert "the true rate is likely" not in text


@pytest.mark.usefixtures("owner")
def test_thirty_jobs_show_the_rate_with_its_interval(client, time_machine):
    time_machine.move_to(MONDAY.replace(month=11))
    for _ in range(30):
        first_visit()
    watching.recount(at=MONDAY)

    text = page(client)

    # 0 of 30 is 0 to 11.4 %: practice.md section 8, computed there.
    assert "the true rate is likely between 0.0 and 11.4" in text


@pytest.mark.usefixtures("owner")
def test_skipped_steps_are_called_an_association(client, time_machine):
    time_machine.move_to(MONDAY.replace(month=11))
    first = first_visit()
    RequiredStep.objects.create(complaint=first.complaint_set.get(), code="pressure_hold")
    later_visit(first)
    watching.recount(at=MONDAY)

    text = page(client)

    assert "an association, not a cause" in text
    assert "pressure hold" in text
    assert "Skipped in 1 of 1 that came back and in 0 of 0 others." in text


@pytest.mark.usefixtures("owner")
def test_returns_that_wait_are_shown_until_they_are_reviewed(client):
    later_visit(first_visit())
    watching.recount(at=MONDAY)
    visit = ReturnVisit.objects.get()
    assert visit.get_absolute_url() in page(client)

    returns.review(visit, state="confirmed", by=OwnerFactory(), at=MONDAY)

    assert visit.get_absolute_url() not in page(client)


@pytest.mark.usefixtures("owner")
def test_late_returns_are_counted_apart(client, time_machine):
    time_machine.move_to(MONDAY.replace(month=11))
    later_visit(first_visit(), day=91)
    watching.recount(at=MONDAY)

    assert "1\u00a0late return</a>" in page(client)


@pytest.mark.usefixtures("owner")
def test_a_period_that_ends_before_it_begins_is_refused_in_words(client):
    text = page(client, since="2026-05-01", until="2026-04-01")

    assert "The period ends before it begins" in text


@pytest.mark.usefixtures("owner")
def test_what_is_no_date_is_refused_and_the_usual_period_counted(client):
    assert "Enter a valid date" in page(client, since="yesterday")


@pytest.mark.usefixtures("owner")
def test_no_person_is_named_in_the_audit(client):
    later_visit(first_visit(technician="Corin Hesk", opened_by="Tobin Marl"))
    watching.recount(at=MONDAY)

    text = page(client)

    assert "Corin Hesk" not in text
    assert "Tobin Marl" not in text


@pytest.mark.usefixtures("owner")
def test_the_queries_of_the_page_do_not_grow_with_the_orders(client):
    def queries():
        with CaptureQueriesContext(connection) as captured:
            page(client)
        return len(captured)

    def visits(count):
        for _ in range(count):
            first = first_visit()
            RequiredStep.objects.create(complaint=first.complaint_set.get(), code="draw")
            later_visit(first)
        watching.recount(at=MONDAY)

    visits(3)
    few = queries()
    visits(12)

    assert queries() == few <= 24
