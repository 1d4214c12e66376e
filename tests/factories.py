"""The least valid record of each kind."""

from datetime import date

import factory
from factory.django import DjangoModelFactory

from diagnostics.models import Instrument, TestRun
from shop.models import Complaint, Customer, Location, RepairOrder, StaffMember, Vehicle, WorkItem


class LocationFactory(DjangoModelFactory):
    class Meta:
        model = Location

    code = factory.Sequence(lambda n: f"L{n}")
    name = "Quarry Road Garage"


class StaffFactory(DjangoModelFactory):
    class Meta:
        model = StaffMember

    username = factory.Sequence(lambda n: f"person{n}")
    signs_as = factory.Sequence(lambda n: f"Person {n}")
    location = factory.SubFactory(LocationFactory)


class AdvisorFactory(StaffFactory):
    is_advisor = True


class TechnicianFactory(StaffFactory):
    is_technician = True


class OwnerFactory(StaffFactory):
    is_owner = True


class CustomerFactory(DjangoModelFactory):
    class Meta:
        model = Customer

    code = factory.Sequence(lambda n: f"K{n}")
    name = "Hanne Orrick"


class VehicleFactory(DjangoModelFactory):
    class Meta:
        model = Vehicle

    code = factory.Sequence(lambda n: f"V{n}")


class OrderFactory(DjangoModelFactory):
    class Meta:
        model = RepairOrder

    number = factory.Sequence(lambda n: f"{5000 + n}")
    location = factory.SubFactory(LocationFactory)
    vehicle = factory.SubFactory(VehicleFactory)
    opened_on = date(2026, 3, 2)


class ComplaintFactory(DjangoModelFactory):
    class Meta:
        model = Complaint

    order = factory.SubFactory(OrderFactory)
    ref = factory.Sequence(lambda n: f"C{n}")
    text = "It will not start."


class TestRunFactory(DjangoModelFactory):
    __test__ = False

    class Meta:
        model = TestRun

    order = factory.SubFactory(OrderFactory)
    ref = factory.Sequence(lambda n: f"T{n}")
    code = "rest_voltage"
    phase = "before"
    kind = "numeric"
    done_on = date(2026, 3, 2)


class WorkItemFactory(DjangoModelFactory):
    class Meta:
        model = WorkItem

    order = factory.SubFactory(OrderFactory)
    ref = factory.Sequence(lambda n: f"W{n}")
    kind = "replace"
    component = "battery"
    reason = "cause"
    done_on = date(2026, 3, 2)


class InstrumentFactory(DjangoModelFactory):
    class Meta:
        model = Instrument

    code = factory.Sequence(lambda n: f"meter {n}")
    kind = "multimeter"
