from datetime import timedelta

import pytest
from django.utils import timezone

from diagnostics import returns
from diagnostics.front.board import board
from tests.factories import (
    AdvisorFactory,
    ComplaintFactory,
    OrderFactory,
    TechnicianFactory,
    VehicleFactory,
)

pytestmark = pytest.mark.django_db

NOW = timezone.now()


def waiting(on, hours=1, **changes):
    order = OrderFactory(
        waiting_on=on, waiting_since=NOW - timedelta(hours=hours), opened_on=NOW.date(), **changes
    )
    ComplaintFactory(order=order, system="battery", symptom="flat", text="It is flat again.")
    return order


def numbers(waits):
    return {wait.key: [job.order.number for job in wait.jobs] for wait in waits}


def test_what_waits_on_the_reader_comes_first():
    waiting("advisor")
    waiting("technician")

    waits = board(roles=["technician"], now=NOW)

    assert [(wait.key, wait.title) for wait in waits] == [
        ("technician", "On you"),
        ("advisor", "On the desk"),
    ]


def test_the_oldest_wait_comes_first():
    waiting("parts", hours=1, number="1")
    waiting("parts", hours=9, number="2")

    assert numbers(board(roles=[], now=NOW)) == {"parts": ["2", "1"]}


def test_a_job_that_names_nobody_waits_on_the_desk():
    OrderFactory(number="7")

    assert numbers(board(roles=[], now=NOW)) == {"advisor": ["7"]}


def test_a_job_handed_back_waits_on_nobody():
    OrderFactory(returned_on=NOW.date())

    assert board(roles=[], now=NOW) == []


def test_a_promise_that_has_passed_is_late():
    waiting("technician", promised_at=NOW - timedelta(minutes=1))
    waiting("technician", promised_at=NOW + timedelta(minutes=1))

    (wait,) = board(roles=[], now=NOW)

    assert [job.is_late for job in wait.jobs] == [True, False]


def test_a_job_that_came_back_says_from_which():
    vehicle = VehicleFactory()
    day = NOW.date()
    first = OrderFactory(
        vehicle=vehicle, opened_on=day - timedelta(20), returned_on=day - timedelta(16), outcome="repaired"
    )
    ComplaintFactory(order=first, system="battery", symptom="flat")
    waiting("technician", vehicle=vehicle)
    returns.refresh_vehicles([vehicle.pk], at=NOW)

    (wait,) = board(roles=[], now=NOW)

    assert wait.jobs[0].came_back.index_order == first


def test_the_page_of_an_empty_shop_says_so(client):
    client.force_login(AdvisorFactory())

    assert "No job is open" in client.get("/").content.decode()


def test_the_page_takes_as_many_queries_for_many_jobs_as_for_one(
    client, django_assert_num_queries, django_assert_max_num_queries
):
    client.force_login(TechnicianFactory())
    waiting("technician")
    with django_assert_max_num_queries(40) as few:
        client.get("/")
    for _ in range(12):
        waiting("technician")

    with django_assert_num_queries(len(few)):
        client.get("/")
