from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from diagnostics import watching
from diagnostics.front import board as board_module
from diagnostics.front.board import board
from diagnostics.models import HandOff
from shop.models import RepairOrder
from tests.factories import (
    AdvisorFactory,
    ComplaintFactory,
    DocumentFactory,
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
    watching.refresh([vehicle.pk], at=NOW)

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


def test_the_page_shows_the_longest_waits_of_each_and_the_way_to_all(client, monkeypatch):
    monkeypatch.setattr("diagnostics.front.board.JOBS_A_WAIT", 2)
    client.force_login(AdvisorFactory())
    for hours in (1, 2, 3):
        waiting("parts", hours=hours, number=f"{hours}0{hours}")
    waiting("customer", number="900")

    response = client.get("/")

    page = response.content.decode().replace("\xa0", " ")
    assert numbers(response.context["waits"]) == {"parts": ["303", "202"], "customer": ["900"]}
    assert "4 jobs, and who each one waits on" in page
    assert 'href="?waiting=parts">Show all 3' in page
    assert "The 2 that wait longest are shown." in page
    assert "?waiting=customer" not in page


def test_all_that_wait_on_one_come_in_pages(client, monkeypatch):
    monkeypatch.setattr("diagnostics.front.board.JOBS_A_PAGE", 2)
    client.force_login(AdvisorFactory())
    for hours in (1, 2, 3):
        waiting("parts", hours=hours, number=f"{hours}0{hours}")
    waiting("technician", number="900")

    pages = [client.get(f"/?waiting=parts&page={page}") for page in (1, 2)]

    assert [numbers([page.context["wait"]]) for page in pages] == [
        {"parts": ["303", "202"]},
        {"parts": ["101"]},
    ]
    assert "On parts: 3 jobs" in pages[0].content.decode().replace("\xa0", " ")


def test_a_job_that_names_nobody_is_among_all_that_wait_on_the_desk(client):
    client.force_login(AdvisorFactory())
    OrderFactory(number="7")

    assert numbers([client.get("/?waiting=advisor").context["wait"]]) == {"advisor": ["7"]}


def test_a_wait_on_nobody_known_shows_the_front_page(client):
    client.force_login(AdvisorFactory())
    waiting("parts")

    assert "waits" in client.get("/?waiting=nobody").context


def test_only_the_jobs_that_are_shown_are_assessed(monkeypatch):
    assessed = []
    real = board_module.assess_snapshot
    monkeypatch.setattr(board_module, "JOBS_A_WAIT", 3)
    monkeypatch.setattr(
        board_module, "assess_snapshot", lambda order, **kw: assessed.append(order.id) or real(order, **kw)
    )
    vehicle, location = VehicleFactory(), LocationFactory()
    RepairOrder.objects.bulk_create(
        OrderFactory.build(vehicle=vehicle, location=location, number=f"{n}") for n in range(201)
    )

    (wait,) = board(roles=[], now=NOW)

    assert (wait.total, assessed) == (201, ["0", "1", "2"])


def test_a_job_whose_findings_sheet_is_issued_has_its_papers_joined():
    issued, not_issued = waiting("customer", hours=2), waiting("customer", hours=1)
    DocumentFactory(order=issued, kind="findings")
    DocumentFactory(order=not_issued, kind="warranty")

    (wait,) = board(roles=[], now=NOW)

    assert [job.rings[-1].state for job in wait.jobs] == ["joined", "ahead"]


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


def test_all_of_one_wait_take_as_many_queries_for_many_jobs_as_for_one(client, django_assert_num_queries):
    client.force_login(TechnicianFactory())
    waiting("technician")
    with CaptureQueriesContext(connection) as few:
        client.get("/?waiting=technician")
    for _ in range(12):
        waiting("technician")

    with django_assert_num_queries(len(few)):
        client.get("/?waiting=technician")


def test_a_job_that_is_handed_over_says_so_until_it_is_taken():
    order = waiting("technician", technician="Isa Renk", waiting_note="Measure at the end plug")
    HandOff.objects.create(
        order=order, position=0, giver="Isa Renk", receiver="Tobin Marl", known="-", next_step="-",
        done_on=NOW.date(),
    )  # fmt: skip

    (wait,) = board(roles=[], now=NOW)
    HandOff.objects.update(acknowledged_by="Tobin Marl")
    (later,) = board(roles=[], now=NOW)

    assert wait.jobs[0].next == "Isa Renk hands it to Tobin Marl, who has not taken it over yet."
    assert later.jobs[0].next == "Measure at the end plug"


def test_one_job_alone_is_not_each_one(client):
    client.force_login(AdvisorFactory())
    waiting("parts")

    assert "1 job, and who it waits on" in client.get("/").content.decode()
