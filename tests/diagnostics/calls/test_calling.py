"""Writing down a call, on the pages and in the record."""

from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from diagnostics.calls.acts import record_call
from diagnostics.calls.answered import answered
from diagnostics.models import CustomerTrial, FollowUp
from shared.models import AuditEntry
from tests.diagnostics.calls.test_due import unproved
from tests.factories import AdvisorFactory, CustomerFactory, FollowUpFactory, OrderFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def advisor(client):
    person = AdvisorFactory(signs_as="Maud Kerrow")
    client.force_login(person)
    return person


def job_of_today(days_ago=20):
    day = timezone.localdate() - timedelta(days=days_ago)
    order = OrderFactory(opened_on=day, returned_on=day, outcome="repaired", customer=CustomerFactory())
    return unproved(order=order)


def address(job, subject="C1"):
    return reverse("call", args=[job.pk, "unproved", subject])


def test_that_it_has_not_come_back_is_the_customers_own_trial(client, advisor):
    job, today = job_of_today(), timezone.localdate()

    answer = client.post(
        address(job), {"outcome": "gone", "said": "Runs well.", "called_on": today.isoformat()}
    )

    assert answer.url == f"{reverse('calls')}?kept=1"
    call, trial = FollowUp.objects.get(), CustomerTrial.objects.get()
    assert (call.due_on, call.outcome, call.called_by) == (
        job.returned_on + timedelta(days=14),
        "gone",
        "Maud Kerrow",
    )
    assert (trial.complaint_ref, trial.days, trial.recurrences, trial.note) == ("C1", 20, 0, "Runs well.")
    assert list(AuditEntry.objects.order_by("pk").values_list("action", flat=True)) == [
        "record call",
        "record customer's trial",
    ]
    page = client.get(reverse("order", args=[job.pk])).content.decode()
    assert "Called: it has not come back." in page


def test_that_it_came_back_offers_a_job_with_their_words(client, advisor):
    job, today = job_of_today(), timezone.localdate()

    answer = client.post(
        address(job), {"outcome": "still_there", "times": "2", "said": "Twice.", "called_on": today}
    )

    assert CustomerTrial.objects.get().recurrences == 2
    page = client.get(answer.url).content.decode()
    assert (
        f"/orders/new/?vehicle={job.vehicle_id}&amp;customer={job.order.customer_id}&amp;text=Twice." in page
    )
    form = client.get(f"/orders/new/?vehicle={job.vehicle_id}&text=Twice.&since_repair=on").content.decode()
    assert "Twice.</textarea>" in form


def test_a_sold_vehicle_is_kept_with_the_vehicle_and_its_jobs_are_counted_anew(client, advisor):
    job, today = job_of_today(), timezone.localdate()

    client.post(address(job), {"outcome": "left", "called_on": today, "left_on": today - timedelta(days=4)})

    job.vehicle.refresh_from_db()
    assert job.vehicle.left_on == today - timedelta(days=4)
    assert not CustomerTrial.objects.exists()


def test_another_garage_is_shown_on_the_vehicle(client, advisor):
    job = job_of_today()
    record_call(
        job.order, kind="unproved", subject="C1", outcome="elsewhere", said="They changed a relay.",
        called_on=timezone.localdate(), by=advisor, at=timezone.now(),
    )  # fmt: skip

    page = client.get(reverse("vehicle", args=[job.vehicle_id])).content.decode()

    assert "Another garage had it" in page
    assert "They changed a relay." in page


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        ({}, "Choose what came of the call."),
        ({"outcome": "gone", "called_on": "2020-01-01"}, "Write a day since then."),
        ({"outcome": "no_answer", "again_on": "2020-01-01"}, "Call again on a later day than this call."),
        ({"outcome": "left", "left_on": "2020-01-01"}, "Write a day from hand-over to the call."),
    ],
)
def test_what_cannot_be_is_refused_in_words(client, advisor, sent, words):
    job = job_of_today()

    answer = client.post(address(job), {"called_on": timezone.localdate(), **sent})

    assert words in answer.content.decode()
    assert not FollowUp.objects.exists()


def test_no_answer_comes_back_in_two_days_and_an_open_job_is_not_called_about(client, advisor):
    job, today = job_of_today(), timezone.localdate()
    client.post(address(job), {"outcome": "no_answer", "called_on": today})

    assert FollowUp.objects.get().again_on == today + timedelta(days=2)
    assert client.get(address(job, "C7")).status_code == 404
    assert client.get(reverse("call", args=[job.pk, "nothing", "C1"])).status_code == 404


def test_the_list_takes_as_many_queries_for_many_calls_as_for_one(
    client, advisor, django_assert_max_num_queries
):
    job_of_today()
    client.get(reverse("calls"))
    with django_assert_max_num_queries(18) as few:
        assert client.get(reverse("calls")).context["total"] == 1
    for days in range(21, 41):
        job_of_today(days)
    with django_assert_max_num_queries(len(few)):
        page = client.get(reverse("calls"))
    assert page.context["total"] == 21
    assert [call.due for call in page.context["calls"]] == sorted(call.due for call in page.context["calls"])
    assert "21\u00a0calls" in client.get(reverse("front")).content.decode()


def test_nobody_to_call_says_so(client, advisor):
    assert "Nobody is to be called." in client.get(reverse("calls")).content.decode()


def test_how_many_answered_is_counted_by_job():
    first, _ = FollowUpFactory(outcome="no_answer"), FollowUpFactory(outcome="no_answer")
    FollowUpFactory(order=first.order, outcome="gone", called_on=date(2026, 3, 20))

    found = answered(date(2026, 3, 1), date(2026, 3, 31))

    assert (found.called, found.answered, found.gone) == (2, 1, 1)
    assert found.words.startswith("1 of 2 jobs called about were answered: 1 not back")
    assert answered(date(2025, 1, 1), date(2025, 1, 2)).words == ""
