from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from diagnostics import returns, watching
from diagnostics.models import ReturnVisit
from shop.models import OutsideEvent
from tests.diagnostics.test_returns import MONDAY
from tests.diagnostics.visits import first_visit, later_visit, on
from tests.factories import AdvisorFactory, OwnerFactory, TechnicianFactory, VehicleFactory, WorkItemFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client):
    person = OwnerFactory()
    client.force_login(person)
    return person


def a_return(*, day=10, first=None, **more):
    """One stored return; `first` are values of the earlier visit, the rest of the later one."""
    earlier = first_visit(**(first or {}))
    later = later_visit(earlier, day=day, **more)
    watching.refresh([earlier.vehicle_id], at=MONDAY)
    return ReturnVisit.objects.get(return_order=later)


def listed(client, **query):
    """The numbers of the returning jobs that the list shows, in its order."""
    response = client.get(reverse("return-list"), query)
    assert response.status_code == 200
    return [visit.return_order.number for visit in response.context["rows"]]


def csv_rows(client, **query):
    response = client.get(reverse("return-list"), query | {"format": "csv"})
    text = b"".join(response.streaming_content).decode("utf-8-sig")
    return [line.split(",") for line in text.splitlines()]


def numbers(*visits):
    return [visit.return_order.number for visit in visits]


@pytest.mark.parametrize("person", [AdvisorFactory, TechnicianFactory, OwnerFactory])
def test_everybody_of_the_shop_may_see_the_returns(client, person):
    client.force_login(person())

    assert listed(client) == []


def test_a_stranger_is_sent_to_the_sign_in(client):
    assert client.get(reverse("return-list")).status_code == 302


@pytest.mark.usefixtures("owner")
def test_the_usual_list_shows_what_counts_and_leaves_late_returns_apart(client):
    counted, late = a_return(), a_return(day=91)

    assert listed(client) == numbers(counted)
    assert listed(client, counts="late") == numbers(late)
    assert sorted(listed(client, counts="any")) == sorted(numbers(counted, late))
    assert listed(client, verdict="not_candidate") == numbers(late)


@pytest.mark.usefixtures("owner")
def test_a_related_pair_that_is_counted_elsewhere_can_be_shown(client):
    oldest = first_visit()
    newer = first_visit(oldest.vehicle, symptom="loses_coolant", day=1, opened_on=on(1))
    later_visit(newer, day=10, number="1057")
    watching.recount(at=MONDAY)

    response = client.get(reverse("return-list"), {"counts": "no"})

    assert {visit.counts for visit in response.context["rows"]} == {False}
    assert "1057" in listed(client, counts="no")


@pytest.mark.usefixtures("owner")
@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ({"verdict": "comeback"}, ["S"]),
        ({"verdict": "needs_review"}, ["Y", "X"]),
        ({"level": "S"}, ["S", "X"]),
        ({"level": "Y"}, ["Y"]),
        ({"system": "battery"}, ["X"]),
        ({"symptom": "loses_coolant"}, ["Y"]),
        ({"state": "confirmed"}, ["Y"]),
        ({"state": "waiting"}, ["S", "X"]),
        ({"exclusion": "X3"}, ["X"]),
        ({"opened_from": on(12).isoformat()}, ["Y", "X"]),
        ({"opened_until": on(12).isoformat()}, ["S", "Y"]),
        ({"q": "thermostat"}, ["S"]),
        ({"q": "QX 4471"}, ["Y"]),
        ({"q": "tolmer"}, ["X"]),
        ({"technician": "Isa Renk"}, ["S"]),
        ({"q": "no such thing"}, []),
    ],
)
def test_each_filter_narrows_the_list(client, query, expected):
    same = a_return(day=11, number="S", first={"technician": "Isa Renk"})
    WorkItemFactory(order=same.index_order, component="thermostat")
    alike = a_return(
        day=12, number="Y", symptom="loses_coolant", first={"vehicle": VehicleFactory(plate="QX 4471")}
    )
    returns.review(alike, state="confirmed", by=OwnerFactory(), at=MONDAY)
    battery = {"system": "battery", "symptom": "flat"}
    claimed = a_return(
        day=13, number="X", first=battery | {"vehicle": VehicleFactory(make="Tolmer")}, **battery
    )
    OutsideEvent.objects.create(
        order=claimed.return_order, kind="damage", happened_on=on(5), system="battery", evidence=""
    )
    watching.recount(at=MONDAY)

    assert sorted(listed(client, **query)) == sorted(expected)


@pytest.mark.usefixtures("owner")
def test_the_newest_return_comes_first_and_columns_sort_both_ways(client):
    early, late = a_return(day=5), a_return(day=50)

    assert listed(client) == numbers(late, early)
    assert listed(client, sort="days") == numbers(early, late)
    assert listed(client, sort="-days") == numbers(late, early)


@pytest.mark.usefixtures("owner")
def test_a_filter_that_finds_nothing_says_so(client):
    a_return()

    assert "No return matches" in client.get(reverse("return-list"), {"level": "W"}).content.decode()


@pytest.mark.usefixtures("owner")
def test_a_shop_without_returns_is_told_when_they_appear(client):
    assert "No vehicle has come back" in client.get(reverse("return-list")).content.decode()


@pytest.mark.usefixtures("owner")
def test_a_long_list_has_pages(client):
    for _ in range(51):
        a_return()

    assert len(listed(client)) == 50
    assert len(listed(client, page=2)) == 1
    assert len(listed(client, page=99)) == 1


@pytest.mark.usefixtures("owner")
def test_the_list_as_a_file_has_the_same_rows(client):
    visit = a_return(number="1057", first={"number": "1042"})

    head, row = csv_rows(client)

    named = dict(zip(head, row, strict=True))
    assert named["return_order"] == "1057"
    assert named["index_order"] == "1042"
    assert (named["days"], named["km"], named["verdict"], named["state"]) == (
        "10",
        "500",
        "comeback",
        "unreviewed",
    )
    assert named["came_back"] == visit.return_order.opened_on.isoformat()


# --- people: the owner alone sees whose job came back ---------------------------------------------


@pytest.mark.usefixtures("owner")
def test_the_owner_sees_and_may_ask_for_the_technician(client):
    a_return(first={"technician": "Isa Renk"})

    text = client.get(reverse("return-list")).content.decode()

    assert "Isa Renk" in text
    assert 'name="technician"' in text
    assert csv_rows(client)[0][-1] == "technician"


@pytest.mark.parametrize("person", [AdvisorFactory, TechnicianFactory])
@pytest.mark.parametrize(
    "query", [{}, {"technician": "Isa Renk"}, {"sort": "technician"}, {"sort": "-technician"}]
)
def test_nobody_else_sees_the_technician(client, person, query):
    client.force_login(person(signs_as="Somebody Else"))
    a_return(first={"technician": "Isa Renk"})

    text = client.get(reverse("return-list"), query).content.decode()

    assert "Isa Renk" not in text.replace("?technician=Isa", "")
    assert 'name="technician"' not in text
    assert "Earlier job by" not in text


@pytest.mark.parametrize("person", [AdvisorFactory, TechnicianFactory])
def test_nobody_else_can_narrow_sort_or_search_by_the_technician(client, person):
    client.force_login(person())
    one = a_return(day=5, first={"technician": "Zoe"})
    two = a_return(day=6, first={"technician": "Abe"})

    assert sorted(listed(client, technician="Abe")) == sorted(numbers(one, two))
    assert listed(client, sort="technician") == listed(client, sort="nothing")
    assert listed(client, q="Abe") == []


@pytest.mark.parametrize("person", [AdvisorFactory, TechnicianFactory])
def test_the_file_of_nobody_else_has_the_technician(client, person):
    client.force_login(person())
    a_return(first={"technician": "Isa Renk"})

    rows = csv_rows(client, technician="Isa Renk", sort="technician")

    assert "technician" not in rows[0]
    assert not any("Isa Renk" in cell for row in rows for cell in row)


@pytest.mark.usefixtures("owner")
def test_the_queries_of_the_list_do_not_grow_with_the_rows(client):
    def queries():
        with CaptureQueriesContext(connection) as captured:
            listed(client)
        return len(captured)

    for _ in range(2):
        a_return()
    few = queries()
    for _ in range(12):
        a_return()

    assert queries() == few <= 16


@pytest.mark.usefixtures("owner")
def test_what_is_no_date_shows_nothing_and_says_why(client):
    a_return()

    response = client.get(reverse("return-list"), {"opened_from": date(2026, 1, 1).strftime("%d someday")})

    assert response.status_code == 200
    assert "Enter a valid date" in response.content.decode()
