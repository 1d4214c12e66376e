"""The list of all jobs: each filter, the order of the table, the CSV."""

from datetime import date

import pytest

from shop.models import Symptom, System
from tests.factories import ComplaintFactory, CustomerFactory, OrderFactory, VehicleFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def wanted(shop, tobin):
    """The job that each filter must find."""
    order = OrderFactory(
        number="1057",
        location=shop,
        opened_on=date(2026, 3, 2),
        technician="Tobin Marl",
        waiting_on="parts",
        customer=CustomerFactory(name="Hanne Orrick"),
        vehicle=VehicleFactory(plate="QX 4471", vin="00ZNV4T27HR104219"),
    )
    ComplaintFactory(order=order, text="It is flat again.", system="battery", symptom="flat")
    ComplaintFactory(order=order, text="It hums.", system="battery", symptom="flat", position=1)
    battery = System.objects.create(code="battery", name="Battery")
    Symptom.objects.create(code="flat", system=battery, name="Flat after standing")
    return order


@pytest.fixture
def other(shop):
    order = OrderFactory(
        number="2001",
        location=shop,
        opened_on=date(2025, 1, 2),
        returned_on=date(2025, 1, 3),
        outcome="monitor",
        customer=CustomerFactory(name="Piet Sarle"),
    )
    System.objects.create(code="steering", name="Steering")
    ComplaintFactory(order=order, system="steering")
    return order


@pytest.mark.parametrize(
    "query",
    [
        "q=1057",
        "q=qx4471",
        "q=00ZNV4T27HR104219",
        "q=orrick",
        "state=open",
        "waiting_on=parts",
        "system=battery",
        "symptom=flat",
        "technician=Tobin+Marl",
        "opened_from=2026-03-01&opened_to=2026-03-31",
    ],
)
def test_a_filter_finds_the_job_once_and_no_other(technician, wanted, other, query):
    response = technician.get(f"/orders/?{query}")

    assert [order.number for order in response.context["rows"]] == ["1057"]


@pytest.mark.parametrize(
    "query", ["state=closed", "outcome=monitor", "system=steering", "opened_to=2025-12-31"]
)
def test_a_filter_finds_the_closed_job(technician, wanted, other, query):
    response = technician.get(f"/orders/?{query}")

    assert [order.number for order in response.context["rows"]] == ["2001"]


def test_the_newest_job_stands_first(technician, wanted, other):
    response = technician.get("/orders/")

    assert [order.number for order in response.context["rows"]] == ["1057", "2001"]


@pytest.mark.parametrize(
    "key", ["number", "opened", "vehicle", "customer", "technician", "waiting_on", "returned", "outcome"]
)
def test_each_column_with_a_link_sorts(technician, wanted, other, key):
    up = technician.get(f"/orders/?sort={key}").context["rows"]
    down = technician.get(f"/orders/?sort=-{key}").context["rows"]

    assert [order.pk for order in up] == [order.pk for order in reversed(down)]


def test_the_customers_words_stand_in_the_list(technician, wanted):
    assert "It is flat again." in technician.get("/orders/").content.decode()


def test_the_csv_has_what_the_filter_shows(technician, wanted, other):
    response = technician.get("/orders/?format=csv&state=open")

    lines = b"".join(response.streaming_content).decode("utf-8-sig").splitlines()
    assert lines[0].startswith("number,opened,said,vehicle,customer")
    assert len(lines) == 2
    assert lines[1].startswith("1057,2026-03-02,It is flat again.")


def test_a_list_without_a_match_says_so(technician, wanted):
    assert "No job matches." in technician.get("/orders/?q=zzzz").content.decode()


def test_an_empty_list_offers_the_way_on(technician):
    assert "No job yet." in technician.get("/orders/").content.decode()
