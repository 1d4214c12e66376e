from datetime import timedelta

import pytest
from django.utils import timezone

from diagnostics import returns
from diagnostics.front.board import MOST_JOBS, board
from shop.models import RepairOrder
from tests.factories import (
    AdvisorFactory,
    ComplaintFactory,
    LocationFactory,
    OrderFactory,
    ReturnVisitFactory,
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


def test_each_job_stands_under_the_one_it_waits_on():
    for place, who in enumerate(["customer", "parts", "technician", "advisor"]):
        waiting(who, number=str(place))

    waits = board(roles=["advisor", "owner"], now=NOW)

    assert [wait.title for wait in waits] == ["On you", "On a technician", "On parts", "On the customer"]
    assert numbers(waits) == {"advisor": ["3"], "technician": ["2"], "parts": ["1"], "customer": ["0"]}


def test_a_job_of_which_nobody_knows_since_when_it_waits_stands_first():
    waiting("advisor", hours=900, number="1")
    OrderFactory(number="2", waiting_on="advisor")

    (wait,) = board(roles=[], now=NOW)

    assert [(job.order.number, job.waits) for job in wait.jobs] == [("2", None), ("1", timedelta(hours=900))]


def test_a_job_says_in_the_customers_words_what_is_wrong_and_what_comes_next():
    waiting("technician", technician="Tobin Marl")

    (wait,) = board(roles=[], now=NOW)

    assert wait.jobs[0].words == "It is flat again."
    assert wait.jobs[0].technician == "Tobin Marl"
    assert wait.jobs[0].next == "Seen: The complaint was not verified."


def test_a_note_of_what_is_waited_for_replaces_the_next_step_and_names_nobody_twice():
    waiting("parts", waiting_note="Tobin Marl fetches the lead", technician="Tobin Marl")

    (wait,) = board(roles=[], now=NOW)

    assert (wait.jobs[0].next, wait.jobs[0].technician) == ("Tobin Marl fetches the lead", "")


@pytest.mark.parametrize(
    ("verdict", "counts", "says"),
    [
        ("comeback", True, "Came back: 16 days, job 1042"),
        ("needs_review", True, "May have come back: 16 days, job 1042"),
        ("excluded", True, ""),
        ("comeback", False, ""),
    ],
)
def test_the_page_marks_a_job_that_came_back(client, verdict, counts, says):
    client.force_login(AdvisorFactory())
    ReturnVisitFactory(
        index_order=OrderFactory(number="1042", returned_on=NOW.date()),
        return_order=waiting("advisor"),
        days=16,
        verdict=verdict,
        counts=counts,
    )

    page = client.get("/").content.decode().replace("\xa0", " ")

    assert ('class="back"' in page) is bool(says)
    assert says in page


def test_the_page_says_of_a_passed_promise_that_it_is_late(client):
    client.force_login(AdvisorFactory())
    waiting("advisor", promised_at=NOW - timedelta(days=1))

    assert ": late." in client.get("/").content.decode()


def test_the_page_shows_the_jobs_that_wait_longest_and_says_how_many_there_are(client, monkeypatch):
    monkeypatch.setattr("diagnostics.front.board.MOST_JOBS", 2)
    monkeypatch.setattr("diagnostics.front.views.MOST_JOBS", 2)
    client.force_login(AdvisorFactory())
    for hours in (1, 2, 3):
        waiting("parts", hours=hours, number=f"{hours}0{hours}")

    response = client.get("/")

    page = response.content.decode().replace("\xa0", " ")
    assert numbers(response.context["waits"]) == {"parts": ["303", "202"]}
    assert "3 jobs, and who each one waits on" in page
    assert "The 2 that wait longest are shown." in page


def test_two_hundred_jobs_are_the_most_on_one_page():
    vehicle, location = VehicleFactory(), LocationFactory()
    RepairOrder.objects.bulk_create(
        OrderFactory.build(vehicle=vehicle, location=location, number=f"{n}") for n in range(201)
    )

    (wait,) = board(roles=[], now=NOW)

    assert len(wait.jobs) == MOST_JOBS == 200


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
