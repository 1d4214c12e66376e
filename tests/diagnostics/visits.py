"""The least records that make a return: one vehicle, handed back on 2 March 2026, and back again."""

from datetime import date, timedelta
from decimal import Decimal

from shop.models import OdometerReading
from tests.factories import ComplaintFactory, OrderFactory, VehicleFactory

HANDED_BACK = date(2026, 3, 2)


def on(day):
    """That many days after the first hand-over."""
    return HANDED_BACK + timedelta(days=day)


def first_visit(vehicle=None, *, system="cooling", symptom="overheats", odo_out=100_000, day=0, **more):
    """One visit that was handed back."""
    order = OrderFactory(
        **{"opened_on": on(day - 2), "returned_on": on(day), "outcome": "repaired"}
        | ({"vehicle": vehicle} if vehicle else {"vehicle": VehicleFactory()})
        | more
    )
    ComplaintFactory(order=order, ref="C1", system=system, symptom=symptom)
    if odo_out is not None:
        _odometer(order, "out", odo_out)
    return order


def later_visit(first, *, day=10, system="cooling", symptom="overheats", odo_in=100_500, **more):
    """One more visit of the same vehicle, still open."""
    usual = {"vehicle": first.vehicle, "location": first.location, "opened_on": on(day)}
    order = OrderFactory(**usual | more)
    ComplaintFactory(order=order, ref="C1", system=system, symptom=symptom)
    if odo_in is not None:
        _odometer(order, "in", odo_in)
    return order


def _odometer(order, moment, km):
    OdometerReading.objects.create(
        vehicle=order.vehicle,
        order=order,
        moment=moment,
        value=Decimal(km),
        unit="km",
        read_on=order.opened_on,
    )
