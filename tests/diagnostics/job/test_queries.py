"""A job with thirty of everything asks the database no more often than a job with one."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from diagnostics.models import Assumption, Attempt, Cause, Explanation, RequiredStep, Suspect, TrialSeries
from tests.factories import (
    ComplaintFactory,
    CustomerTrialFactory,
    OrderFactory,
    TestRunFactory,
    WorkItemFactory,
)

pytestmark = pytest.mark.django_db


def fill(order, count):
    for n in range(count):
        complaint = ComplaintFactory(order=order, ref=f"C{n}", position=n, system="battery", symptom="flat")
        ref = complaint.ref
        RequiredStep.objects.create(complaint=complaint, code="standing_draw")
        RequiredStep.objects.create(complaint=complaint, code="case_check", phase="after", position=1)
        Attempt.objects.create(complaint=complaint, outcome="partly", done_on=order.opened_on)
        Suspect.objects.create(complaint=complaint, component=f"relay {n}")
        TestRunFactory(order=order, ref=f"T{n}", complaint_ref=ref, value=12, unit="V", hi=10)
        WorkItemFactory(order=order, ref=f"W{n}", complaint_ref=ref, safety=True)
        Cause.objects.create(order=order, ref=f"K{n}", complaint_ref=ref, component="relay")
        Assumption.objects.create(order=order, ref=f"A{n}", text="Never opened", status="open")
        TrialSeries.objects.create(order=order, complaint_ref=ref, n=1, done_on=order.opened_on)
        CustomerTrialFactory(order=order, complaint_ref=ref)
        Explanation.objects.create(order=order, rule="R2", subject=ref, reason="Far", signed_by="Tobin Marl")


def queries(client, address):
    client.get(address)
    with CaptureQueriesContext(
        connection,
    ) as captured:
        assert client.get(address).status_code == 200
    return len(captured)


@pytest.mark.parametrize("address", ["", "bay/", "record/cause/", "record/hand-back/"])
def test_the_queries_of_a_page_do_not_grow_with_the_job(technician, shop, draw_kind, look_kind, address):
    small, large = OrderFactory(location=shop), OrderFactory(location=shop)
    fill(small, 1)
    fill(large, 30)

    asked = [queries(technician, f"/orders/{order.pk}/{address}") for order in (small, large)]
    assert asked[0] == asked[1]


def test_the_page_asks_at_most_sixty_two_times(technician, shop, draw_kind, look_kind):
    order = OrderFactory(location=shop)
    fill(order, 3)

    assert queries(technician, f"/orders/{order.pk}/") <= 62


def test_the_queries_of_the_list_do_not_grow_with_it(technician, shop):
    OrderFactory(location=shop)
    one = queries(technician, "/orders/")
    for _ in range(30):
        ComplaintFactory(order=OrderFactory(location=shop))

    assert queries(technician, "/orders/") == one
