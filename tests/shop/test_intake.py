from datetime import UTC, datetime
from decimal import Decimal

import pytest

from diagnostics.protocols import load_catalogue
from shared.models import AuditEntry
from shop import intake
from shop.models import Authorisation, RepairOrder, Vehicle
from tests.factories import (
    AdvisorFactory,
    CustomerFactory,
    LocationFactory,
    OrderFactory,
    StaffFactory,
    VehicleFactory,
)

pytestmark = pytest.mark.django_db

NOON = datetime(2026, 10, 17, 11, 0, tzinfo=UTC)


def open_order(**changes):
    by = changes.pop("by", None) or AdvisorFactory()
    given = {
        "location": by.location,
        "vehicle": VehicleFactory(),
        "customer": CustomerFactory(),
        "complaints": [intake.ComplaintEntry("It is flat after two nights.")],
        "by": by,
        "at": NOON,
    }
    return intake.open_order(**given | changes)


def test_an_order_is_opened_on_the_shops_calendar_date():
    by = AdvisorFactory(location=LocationFactory(time_zone="Pacific/Auckland"))

    order = open_order(by=by, at=datetime(2026, 10, 17, 23, 0, tzinfo=UTC))

    assert order.opened_on.isoformat() == "2026-10-18"


def test_numbers_rise_and_are_never_given_twice():
    first = open_order()
    first_number = int(first.number)
    RepairOrder.objects.filter(pk=first.pk).delete()

    assert int(open_order().number) == first_number + 1


def test_a_number_goes_on_above_imported_ones():
    OrderFactory(number="1001")
    OrderFactory(number="7020")

    assert open_order().number == "7021"


def test_opening_leaves_an_entry():
    order = open_order()

    assert AuditEntry.objects.filter(action="open", order_number=order.number).count() == 1


def test_the_complaint_keeps_the_protocol_in_force():
    load_catalogue(at=NOON)
    entry = intake.ComplaintEntry("Flat.", system="battery", symptom="flat_after_standing")

    order = open_order(complaints=[entry])

    required = order.complaint_set.get().required.all()
    assert len(required) >= 2
    assert {step.protocol.version for step in required} == {1}


def test_a_reading_that_goes_backwards_is_kept_and_marked():
    vehicle = VehicleFactory()
    open_order(vehicle=vehicle, odometer=Decimal(61_516))

    open_order(vehicle=vehicle, odometer=Decimal(60_000), odometer_explanation="Instrument replaced")

    last = vehicle.odometer_readings.last()
    assert (last.value, last.is_backwards, last.explanation) == (60_000, True, "Instrument replaced")


def test_a_new_vehicle_gets_an_id_that_is_free():
    VehicleFactory(code="V1")

    kept = intake.keep_vehicle(Vehicle(plate="QX 4471"), by=StaffFactory())

    assert kept.code == "V2"


def test_a_change_of_a_customer_keeps_before_and_after():
    customer, by = CustomerFactory(name="H. Orrick"), StaffFactory()
    customer.name = "Hanne Orrick"

    intake.keep_customer(customer, by=by)

    entry = AuditEntry.objects.get(action="change")
    assert (entry.before, entry.after) == ({"name": "H. Orrick"}, {"name": "Hanne Orrick"})


def test_a_change_that_changes_nothing_leaves_no_entry():
    intake.keep_customer(CustomerFactory(), by=StaffFactory())

    assert not AuditEntry.objects.exists()


def test_a_vehicle_that_came_in_before_it_was_written_down_opens_on_its_own_day():
    order = open_order(arrived_at=datetime(2026, 9, 30, 7, 20, tzinfo=UTC))

    assert order.opened_on.isoformat() == "2026-09-30"
    assert order.waiting_since == datetime(2026, 9, 30, 7, 20, tzinfo=UTC)
    assert order.complaint_set.get().taken_at == NOON


def test_minutes_agreed_at_the_desk_are_on_record_with_an_entry():
    order = open_order(minutes_agreed=60)

    agreed = Authorisation.objects.get(order=order)
    assert (agreed.minutes, agreed.given_at) == (60, NOON)
    assert AuditEntry.objects.filter(action="authorise minutes", order_number=order.number).count() == 1


def test_without_minutes_nothing_is_agreed():
    open_order()

    assert not Authorisation.objects.exists()
