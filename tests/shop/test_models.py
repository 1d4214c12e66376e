"""What can never be stored about a job, a vehicle and the people, and what their fields keep."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from shared.moments import Moment
from shop.models import Authorisation, NumberSeries, OdometerReading, RepairOrder
from tests.constraints import again, changed
from tests.factories import (
    ComplaintFactory,
    CustomerFactory,
    DeclinedItemFactory,
    LocationFactory,
    OdometerReadingFactory,
    OrderFactory,
    OutsideEventFactory,
    PartFactory,
    PhotoFactory,
    PlannedReturnFactory,
    StaffFactory,
    SymptomFactory,
    TimeEntryFactory,
    VehicleFactory,
    WorkItemFactory,
)

pytestmark = pytest.mark.django_db

MONDAY = date(2026, 3, 2)
NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
VIN = "00ZNV4T27HR104219"

BROKEN = {
    "location_compares_at_least_ten": lambda: changed(LocationFactory(), fewest_to_compare=9),
    "complaint_ref_once": lambda: again(ComplaintFactory()),
    "complaint_has_ref": lambda: changed(ComplaintFactory(), ref=""),
    "complaint_kind_known": lambda: changed(ComplaintFactory(), kind="wish"),
    "complaint_pattern_known": lambda: changed(ComplaintFactory(), pattern="seldom"),
    "complaint_plan_conditions_need_plan": lambda: changed(ComplaintFactory(), plan_conditions="cold"),
    "complaint_difficulty_1_to_3": lambda: changed(ComplaintFactory(), difficulty=4),
    "customer_has_code": lambda: changed(CustomerFactory(), code=""),
    "location_has_code": lambda: changed(LocationFactory(), code=""),
    "location_distance_unit": lambda: changed(LocationFactory(), distance_unit="m"),
    "order_has_number": lambda: changed(OrderFactory(), number=""),
    "order_returned_instant_has_day": lambda: changed(OrderFactory(), returned_at=NOON),
    "order_waits_only_while_open": lambda: changed(
        OrderFactory(waiting_on="advisor", waiting_since=NOON), returned_on=MONDAY
    ),
    "order_outcome_known": lambda: changed(OrderFactory(), outcome="perhaps"),
    "order_visit_known": lambda: changed(OrderFactory(), visit="chat"),
    "order_odo_unit": lambda: changed(OrderFactory(), odo_unit="m"),
    "staff_signs_as_something": lambda: changed(StaffFactory(), signs_as=""),
    "symptom_pattern_known": lambda: changed(SymptomFactory(), pattern="seldom"),
    "vehicle_has_code": lambda: changed(VehicleFactory(), code=""),
    "vehicle_vin_upper": lambda: changed(VehicleFactory(), vin=VIN.lower()),
    "vehicle_vin_once": lambda: changed(again(VehicleFactory(vin=VIN)), code="another"),
    "odometer_once_an_order": lambda: again(OdometerReadingFactory(order=OrderFactory(), moment="in")),
    "odometer_unit": lambda: changed(OdometerReadingFactory(), unit="m"),
    "odometer_moment_has_order": lambda: changed(OdometerReadingFactory(), moment="in"),
    "declineditem_ref_once": lambda: again(DeclinedItemFactory()),
    "declineditem_has_ref": lambda: changed(DeclinedItemFactory(), ref=""),
    "declined_risk_known": lambda: changed(DeclinedItemFactory(), risk="some"),
    "plannedreturn_ref_once": lambda: again(PlannedReturnFactory()),
    "plannedreturn_has_ref": lambda: changed(PlannedReturnFactory(), ref=""),
    "outside_event_kind_known": lambda: changed(OutsideEventFactory(), kind="weather"),
    "time_entry_kind_known": lambda: changed(TimeEntryFactory(), kind="idle"),
    "workitem_ref_once": lambda: again(WorkItemFactory()),
    "workitem_has_ref": lambda: changed(WorkItemFactory(), ref=""),
    "work_kind_known": lambda: changed(WorkItemFactory(), kind="look"),
    "work_reason_known": lambda: changed(WorkItemFactory(), reason="habit"),
    "photo_ref_once": lambda: again(PhotoFactory()),
    "photo_has_ref": lambda: changed(PhotoFactory(), ref=""),
    "photo_place_known": lambda: changed(PhotoFactory(), place="papers"),
    "photo_has_caption": lambda: changed(PhotoFactory(), caption=""),
    "photo_set_aside_is_whole": lambda: changed(PhotoFactory(), set_aside_reason="Blurred."),
    "part_condition_known": lambda: changed(PartFactory(), condition="found"),
}


def test_vehicles_without_a_vin_are_many():
    VehicleFactory()

    assert VehicleFactory().vin == ""


def test_readings_between_visits_are_many():
    vehicle = VehicleFactory()
    OdometerReadingFactory(vehicle=vehicle)

    OdometerReadingFactory(vehicle=vehicle)

    assert vehicle.odometer_readings.count() == 2


def test_two_orders_may_use_the_same_id_inside():
    ComplaintFactory(ref="C1")

    assert ComplaintFactory(ref="C1").pk


@pytest.mark.parametrize("zone", ["Lisbon", "Europe/Nowhere", "+01:00"])
def test_a_time_zone_that_is_none_is_refused_with_an_example(zone):
    location = LocationFactory.build(time_zone=zone)

    with pytest.raises(ValidationError, match=r"is not a time zone\. Write a name such as Europe/Lisbon"):
        location.full_clean()


# --- numbers --------------------------------------------------------------------------------------


def test_a_series_counts_from_one_without_a_gap():
    assert [NumberSeries.take("order") for _ in range(5)] == [1, 2, 3, 4, 5]


def test_a_series_goes_on_above_what_is_in_use_and_never_back():
    assert NumberSeries.take("order", above=7020) == 7021
    assert NumberSeries.take("order", above=3) == 7022


def test_two_series_count_apart():
    NumberSeries.take("order")

    assert NumberSeries.take("customer") == 1


# --- moments --------------------------------------------------------------------------------------


def test_a_moment_is_kept_as_its_day_and_its_instant():
    order = OrderFactory()
    order.returned = Moment(MONDAY, NOON)
    order.save()

    kept = RepairOrder.objects.get(pk=order.pk)
    assert (kept.returned_on, kept.returned_at) == (MONDAY, NOON)
    assert kept.returned == Moment(MONDAY, NOON)


def test_the_day_of_a_moment_may_differ_from_that_of_its_instant():
    """23:30 in Auckland is noon of the same day in UTC; 01:00 is of the day before."""
    order = OrderFactory()
    order.returned = Moment(date(2026, 3, 3), NOON)
    order.save()

    assert RepairOrder.objects.get(pk=order.pk).returned == Moment(date(2026, 3, 3), NOON)


def test_a_moment_of_which_only_the_day_is_known_has_no_instant():
    minutes = Authorisation(order=OrderFactory(), minutes=60)
    minutes.given = Moment(MONDAY)
    minutes.save()

    assert Authorisation.objects.get().given == Moment(MONDAY, None)


def test_no_moment_is_kept_as_no_day_and_no_instant():
    order = OrderFactory(returned_on=MONDAY, returned_at=NOON)
    order.returned = None
    order.save()

    kept = RepairOrder.objects.get(pk=order.pk)
    assert (kept.returned, kept.returned_on, kept.returned_at) == (None, None, None)


# --- decimals as written --------------------------------------------------------------------------


@pytest.mark.parametrize(
    "digits", ["12.30", "12.3", "0.000", "-0.05", "61516", "1E+3", "0.1234567890123456789"]
)
def test_a_reading_keeps_the_digits_as_written(digits):
    """SQLite and PostgreSQL both: run with DATABASE_URL for the second."""
    reading = OdometerReadingFactory(value=Decimal(digits))

    kept = OdometerReading.objects.get(pk=reading.pk).value
    assert (str(kept), kept) == (digits, Decimal(digits))


@pytest.mark.parametrize("value", [Decimal("NaN"), Decimal("Infinity"), "NaN", "-inf"])
def test_what_is_not_finite_is_never_stored(value):
    with pytest.raises(ValidationError, match="is not a finite number"):
        OdometerReadingFactory(value=value)


def test_what_is_not_a_number_is_refused_with_an_example():
    with pytest.raises(ValidationError, match=r"'12,3 V' is not a number\. Write it like 12\.31\."):
        OdometerReadingFactory(value="12,3 V")
