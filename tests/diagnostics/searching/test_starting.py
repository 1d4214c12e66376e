"""A search begins on a map that fits the vehicle, with the shop's own history in its chances."""

import pytest

from diagnostics.circuits.reading import keep
from diagnostics.isolation.circuit import from_dict
from diagnostics.models import FaultSearch
from shop.models import Complaint
from tests.diagnostics.searching.example import example
from tests.factories import (
    CauseFactory,
    CircuitMapFactory,
    ComplaintFactory,
    OrderFactory,
    TestRunFactory,
    VehicleFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def drawn():
    document = example()
    drawn = CircuitMapFactory(title="Body line", make="Norvane", model="Tarn", system="network")
    keep(from_dict(document["circuit"], document["zones"]), drawn)
    return drawn


def earlier_job(shop, component, *, model="Tarn", symptom="single_wire_bus_fault"):
    order = OrderFactory(location=shop, vehicle=VehicleFactory(make="Norvane", model=model))
    ComplaintFactory(order=order, ref="C1", symptom=symptom)
    CauseFactory(order=order, complaint_ref="C1", component=component, mode="pulls the line down")


def begin(client, order, drawn, **more):
    given = {
        "complaint": "C1",
        "map": drawn.pk,
        "bus": "dead-low",
        "intermittent": "no",
        "wrong_minutes": 240,
    }
    data = given | more
    return client.post(f"/orders/{order.pk}/search/new/", data, follow=True)


def test_without_a_map_that_fits_one_is_to_be_drawn(technician, order, complaint):
    CircuitMapFactory(title="Another make", make="Haldmark")
    page = technician.get(f"/orders/{order.pk}/search/new/").content.decode()

    assert "No map fits this vehicle yet." in page
    about = f"?order={order.pk}&amp;vehicle={order.vehicle_id}&amp;complaint={complaint.ref}"
    assert f'href="/circuits/new/{about}"' in page


def test_the_pattern_of_the_complaint_is_taken_for_the_pattern_of_the_fault(
    technician, order, complaint, drawn
):
    page = technician.get(f"/orders/{order.pk}/search/new/").content.decode()

    assert '<input type="radio" name="intermittent" value="no" id="id_intermittent_0" checked>' in page


def test_a_search_begins_with_the_problem_frozen(technician, order, complaint, drawn):
    page = begin(technician, order, drawn, open=["hub_b"]).content.decode()

    search = FaultSearch.objects.get(order=order)
    assert "The search has begun." in page
    assert (search.circuit_map, search.map_version, search.started_by) == (drawn, 1, "Tobin Marl")
    assert search.components["pull_U4"] == {"component": "wiper unit", "mode": "pulls the line down"}
    assert search.listens["unplug_U4"]["point"] == "wiper unit unplugged"
    opened = {zone["id"] for zone in search.document["zones"] if zone["already_open"]}
    assert opened == {"hub_b", "bench", "socket"}


def test_earlier_causes_move_the_chances_and_are_shown(technician, order, complaint, drawn, shop):
    for _ in range(3):
        earlier_job(shop, "Wiper  unit")
    earlier_job(shop, "wiper unit", symptom="other")
    earlier_job(shop, "gearbox")
    begin(technician, order, drawn)

    search = FaultSearch.objects.get(order=order)
    prior = search.priors["pull_U4"]
    # 3 of the 4 jobs of this platform and symptom; the fourth named what is not on the map.
    assert (prior["own"], prior["jobs"]) == (3, 4)
    assert prior["prior"] > prior["on_the_map"]
    assert prior["shown"].startswith("3 of 4\xa0earlier jobs with this symptom on this platform")
    assert search.document["provenance"]["priors_from"] == "own-history"


def test_causes_of_another_system_of_the_same_car_say_nothing(technician, order, complaint, drawn, shop):
    earlier_job(shop, "wiper unit", symptom="other")
    Complaint.objects.exclude(pk=complaint.pk).update(system="battery")
    begin(technician, order, drawn)

    assert FaultSearch.objects.get(order=order).priors["pull_U4"]["own"] == 0


def test_what_nobody_could_suspect_is_refused_with_the_reason(technician, order, complaint, drawn):
    page = begin(technician, order, drawn, bus="alive").content.decode()

    assert "Tick the units that do not answer." in page
    assert not FaultSearch.objects.exists()


def test_one_search_of_a_complaint_runs_at_a_time(technician, order, complaint, drawn):
    begin(technician, order, drawn)
    page = technician.get(f"/orders/{order.pk}/search/new/", follow=True).content.decode()

    assert "is running already" in page


def test_a_failing_reading_of_the_complaint_can_be_named_as_its_symptom(technician, order, complaint, drawn):
    TestRunFactory(
        order=order, ref="T1", complaint_ref="C1", kind="attribute", result="fail", observation="Stays low."
    )
    begin(technician, order, drawn, symptom_runs=["T1"])

    assert FaultSearch.objects.get(order=order).options["symptom_runs"] == ["T1"]


def test_readings_are_heard_again_when_two_faults_are_reckoned_with(technician, order, complaint, drawn):
    begin(technician, order, drawn)
    search = FaultSearch.objects.get(order=order)
    technician.post(f"{search.get_absolute_url()}act/two-faults/")

    search.refresh_from_db()
    assert search.options["pairs"] == "all"
    assert "compound" in {each["kind"] for each in search.document["candidates"]}


def test_an_advisor_does_not_begin_a_search(client, maud, order, complaint, drawn):
    client.force_login(maud)

    assert client.get(f"/orders/{order.pk}/search/new/").status_code == 403
