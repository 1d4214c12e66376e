from datetime import timedelta

import pytest
from django.utils import timezone

from diagnostics.protocols import load_catalogue
from shared.models import AuditEntry
from shop.models import Customer, RepairOrder, Vehicle
from tests.factories import (
    AdvisorFactory,
    ComplaintFactory,
    CustomerFactory,
    OrderFactory,
    TechnicianFactory,
    VehicleFactory,
)
from tests.shop.test_intake import NOON

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(client):
    load_catalogue(at=NOON)
    client.force_login(AdvisorFactory())
    return client


def answers(**changes):
    return {
        "complaint-text": "It's flat again after standing two nights.",
        "complaint-kind": "symptom",
        "complaint-safety": "no",
        "complaint-symptom": "flat_after_standing",
        "visit-visit": "symptom",
        "visit-waiting_on": "technician",
        "visit-odometer": "61516",
    } | changes


NEW_VEHICLE = {"vehicle-plate": "qx 4471", "vehicle-make": "Norvane", "customer-name": "Hanne Orrick"}


def test_a_job_opens_with_a_new_vehicle_and_customer_on_one_page(desk):
    response = desk.post("/orders/new/", answers(**NEW_VEHICLE))

    order = RepairOrder.objects.get()
    assert response.status_code == 302
    assert (order.vehicle.plate, order.customer.name, order.waiting_on) == (
        "QX 4471",
        "Hanne Orrick",
        "technician",
    )


def test_the_system_follows_from_the_symptom(desk):
    desk.post("/orders/new/", answers(**NEW_VEHICLE))

    assert RepairOrder.objects.get().complaint_set.get().system == "battery"


def test_a_known_vehicle_is_not_asked_for_again(desk):
    vehicle = VehicleFactory(keeper=CustomerFactory())

    desk.post(f"/orders/new/?vehicle={vehicle.pk}", answers())

    assert RepairOrder.objects.get().vehicle == vehicle
    assert (Vehicle.objects.count(), Customer.objects.count()) == (1, 1)


def test_the_past_of_the_vehicle_is_shown_before_the_job_is_open(desk):
    vehicle = VehicleFactory()
    ComplaintFactory(order=OrderFactory(vehicle=vehicle, number="1042"), text="It was flat on Monday.")

    page = desk.get(f"/orders/new/?vehicle={vehicle.pk}").content.decode()

    assert "1042" in page
    assert "It was flat on Monday." in page


def test_a_vehicle_handed_back_inside_the_window_is_named_before_the_key_is_taken(desk):
    vehicle = VehicleFactory()
    today = timezone.localdate()
    OrderFactory(
        vehicle=vehicle, number="1042", opened_on=today - timedelta(20), returned_on=today - timedelta(16)
    )

    page = desk.get(f"/orders/new/?vehicle={vehicle.pk}").content.decode()

    assert "was handed back 16 days ago" in page.replace("\xa0", " ")


def test_a_vehicle_handed_back_longer_ago_is_not_called_a_return(desk):
    vehicle = VehicleFactory()
    long_ago = timezone.localdate() - timedelta(91)
    OrderFactory(vehicle=vehicle, opened_on=long_ago, returned_on=long_ago)

    assert "not long ago</h2>" not in desk.get(f"/orders/new/?vehicle={vehicle.pk}").content.decode()


def test_safety_cannot_be_skipped(desk):
    response = desk.post("/orders/new/", answers(**NEW_VEHICLE, **{"complaint-safety": ""}))

    assert "Ask about safety first." in response.content.decode()
    assert not RepairOrder.objects.exists()


def test_nothing_typed_is_lost_when_an_entry_is_refused(desk):
    response = desk.post("/orders/new/", answers(**NEW_VEHICLE, **{"vehicle-vin": "TOO-SHORT"}))

    page = response.content.decode()
    assert "This VIN has 8 characters, not 17." in page
    assert "It&#x27;s flat again after standing two nights." in page
    assert 'value="61516"' in page


def test_nothing_is_half_written_when_an_entry_is_refused(desk):
    desk.post("/orders/new/", answers(**NEW_VEHICLE, **{"visit-odometer": "many"}))

    assert not Vehicle.objects.exists()
    assert not AuditEntry.objects.exists()


def test_a_second_complaint_joins_an_open_job(desk):
    order = OrderFactory()
    only_complaint = {k.removeprefix("complaint-"): v for k, v in answers().items() if "complaint-" in k}

    desk.post(f"/orders/{order.pk}/complaints/new/", only_complaint)

    assert order.complaint_set.count() == 1


def test_a_technician_opens_no_jobs(client):
    client.force_login(TechnicianFactory())

    assert client.get("/orders/new/").status_code == 403


def test_somebody_who_has_not_signed_in_is_sent_to_sign_in(client):
    assert client.get("/vehicles/")["Location"] == "/signin/?next=/vehicles/"


@pytest.mark.parametrize("path", ["/vehicles/", "/customers/", "/find/?q=AB"])
def test_a_list_takes_as_many_queries_for_many_rows_as_for_one(
    desk, path, django_assert_num_queries, django_assert_max_num_queries
):
    OrderFactory(vehicle=VehicleFactory(plate="AB 0", keeper=CustomerFactory()))
    with django_assert_max_num_queries(9) as few:
        desk.get(path)
    for number in range(1, 15):
        OrderFactory(vehicle=VehicleFactory(plate=f"AB {number}", keeper=CustomerFactory()))

    with django_assert_num_queries(len(few)):
        desk.get(path)


def test_a_number_out_of_form_says_what_it_may_be_and_how_to_keep_it(desk):
    response = desk.post("/orders/new/", answers(**NEW_VEHICLE, **{"vehicle-vin": "1M8GDM9AXKPO42788"}))

    page = response.content.decode()
    assert "Position 12: a VIN has no O; it may be 0." in page
    assert "tick that it is written like this" in page
    assert "vehicle-vin_as_written" in page


def test_a_number_out_of_form_is_kept_when_it_is_written_like_this(desk):
    old = {"vehicle-vin": "abc 123-456", "vehicle-vin_as_written": "on"}

    desk.post("/orders/new/", answers(**NEW_VEHICLE, **old))

    assert Vehicle.objects.get().vin == "ABC123456"


def test_nobody_is_asked_how_a_number_is_written_that_has_its_form(desk):
    assert "vin_as_written" not in desk.get("/orders/new/").content.decode()


def test_a_number_whose_check_digit_disagrees_is_kept(desk):
    desk.post("/orders/new/", answers(**NEW_VEHICLE, **{"vehicle-vin": "1M8GDM9A1KP042788"}))

    assert Vehicle.objects.get().vin == "1M8GDM9A1KP042788"


def test_an_odd_number_on_record_does_not_stop_another_change(desk):
    vehicle = VehicleFactory(vin="ABC123", make="Norvane")

    desk.post(f"/vehicles/{vehicle.pk}/edit/", {"vin": "ABC123", "make": "Haldmark"})

    vehicle.refresh_from_db()
    assert (vehicle.vin, vehicle.make) == ("ABC123", "Haldmark")


def test_the_desk_is_told_what_a_number_says_while_it_is_typed(desk):
    page = desk.get("/vehicles/number/", {"vin": "1m8gdm9axkp042788"}).content.decode()

    assert "Small letters are read as capitals." in page
    assert "The check digit agrees." in page
    assert 'data-fill-year="1989"' in page
    assert "<html" not in page


@pytest.mark.parametrize("typed", ["", "   ", "<script>", "\x00", "x" * 5000, "1M8GDM9AXKPO42788", "\u200b"])
def test_any_text_as_a_number_is_answered(desk, typed):
    assert desk.get("/vehicles/number/", {"vin": typed}).status_code == 200


def test_the_page_of_a_vehicle_says_what_its_number_says(desk):
    vehicle = VehicleFactory(vin="1Z9AB1E37DB000001", year=1999)

    page = desk.get(f"/vehicles/{vehicle.pk}/").content.decode()

    assert "What its number says" in page
    assert "Model year 2013; 1983 if it is a trailer" in page
    assert "The record says 1999." in page
    assert "It builds few vehicles" in page


def test_a_vehicle_without_a_number_says_nothing_of_it(desk):
    page = desk.get(f"/vehicles/{VehicleFactory().pk}/").content.decode()

    assert "What its number says" not in page


def test_what_was_not_found_is_not_typed_twice(desk):
    page = desk.get("/find/?q=qx+4471").content.decode()
    form = desk.get("/orders/new/?plate=QX+4471").context["vehicle_form"]

    assert 'href="/orders/new/?plate=QX+4471"' in page
    assert form["plate"].value() == "QX 4471"


def test_the_desk_gives_the_job_to_a_technician_with_the_minutes_agreed(desk):
    TechnicianFactory(signs_as="Tobin Marl")

    desk.post(
        "/orders/new/",
        answers(**NEW_VEHICLE, **{"visit-technician": "Tobin Marl", "visit-minutes_agreed": "60"}),
    )

    order = RepairOrder.objects.get()
    assert (order.technician, order.authorisation_set.get().minutes) == ("Tobin Marl", 60)


def test_a_job_from_paper_keeps_the_day_it_came_in(desk):
    desk.post("/orders/new/", answers(**NEW_VEHICLE, **{"visit-arrived_at": "2026-03-02T08:05"}))

    assert RepairOrder.objects.get().opened_on.isoformat() == "2026-03-02"


def test_a_vehicle_that_is_still_to_come_is_refused_with_the_fold_open(desk):
    response = desk.post("/orders/new/", answers(**NEW_VEHICLE, **{"visit-arrived_at": "2999-03-02T08:05"}))

    assert response.context["visit_form"].is_seldom_open
    assert "02 Mar 2999 08:05 is still to come." in response.content.decode()
    assert not RepairOrder.objects.exists()


def test_a_moment_that_is_none_is_refused(desk):
    page = desk.post("/orders/new/", answers(**NEW_VEHICLE, **{"visit-arrived_at": "last week"}))

    assert "Write it like 2026-03-09 16:50." in page.content.decode()
