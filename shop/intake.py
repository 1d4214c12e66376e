"""Taking a vehicle in: who, which vehicle, what is wrong, in one transaction."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import models, transaction
from django.db.models import Max
from django.db.models.functions import Cast, Length
from django.utils import timezone

from shared import audit
from shared.moments import Moment, moment_at
from shop import hooks
from shop.models import (
    Authorisation,
    Complaint,
    Customer,
    Location,
    NumberSeries,
    OdometerReading,
    RepairOrder,
    StaffMember,
    Vehicle,
)

FIRST_NUMBER = 1001


@dataclass(frozen=True, slots=True)
class ComplaintEntry:
    """What the desk took down about one complaint."""

    text: str
    kind: str = "symptom"
    system: str = ""
    symptom: str = ""
    pattern: str = ""
    is_safety: bool = False
    difficulty: int | None = None
    intake: dict[str, Any] = field(default_factory=dict)


@transaction.atomic
def open_order(
    *,
    location: Location,
    vehicle: Vehicle,
    customer: Customer | None,
    complaints: list[ComplaintEntry],
    by: StaffMember,
    at: datetime,
    arrived_at: datetime | None = None,
    odometer: Decimal | None = None,
    odometer_explanation: str = "",
    promised_at: datetime | None = None,
    visit: str = "symptom",
    planned_ref: str = "",
    since_repair: bool = False,
    waiting_on: str = "technician",
    technician: str = "",
    minutes_agreed: int | None = None,
) -> RepairOrder:
    """Open a repair order with its complaints and return it.

    `arrived_at` is when the vehicle came in, where it is written down later than that.
    """
    opened = moment_at(arrived_at or at, location.zone)
    order = RepairOrder.objects.create(
        number=_next_number(),
        location=location,
        vehicle=vehicle,
        customer=customer,
        opened_on=opened.on,
        opened_at=opened.instant,
        odo_unit=location.distance_unit,
        promised_at=promised_at,
        visit=visit,
        planned_ref=planned_ref,
        since_repair=since_repair,
        opened_by=by.signs_as,
        entered_by=by,
        waiting_on=waiting_on,
        waiting_since=arrived_at or at,
        technician=technician,
    )
    if odometer is not None:
        read_odometer(order, moment="in", value=odometer, explanation=odometer_explanation)
    if customer and vehicle.keeper_id != customer.pk:
        vehicle.keeper = customer
        vehicle.save(update_fields=["keeper"])
    for position, entry in enumerate(complaints):
        _add_complaint(order, entry, position, by=by, at=at)
    if minutes_agreed:
        _agree(order, minutes_agreed, opened, by=by)
    audit.record("open", order, by=by, after=audit.values(order), order_number=order.number)
    hooks.vehicles_changed([vehicle.pk], at=at)
    return order


@transaction.atomic
def add_complaint(order: RepairOrder, entry: ComplaintEntry, *, by: StaffMember, at: datetime) -> Complaint:
    """Add a complaint to an open order and return it."""
    complaint = _add_complaint(order, entry, order.complaint_set.count(), by=by, at=at)
    hooks.vehicles_changed([order.vehicle_id], at=at)
    return complaint


def read_odometer(
    order: RepairOrder, *, moment: str, value: Decimal, explanation: str = ""
) -> OdometerReading:
    """Keep an odometer reading of the order; one that goes backwards is marked."""
    day = order.opened_on if moment == "in" else order.returned_on
    reading, _ = OdometerReading.objects.update_or_create(
        order=order,
        moment=moment,
        defaults={
            "vehicle_id": order.vehicle_id,
            "value": value,
            "unit": order.odo_unit,
            "read_on": day,
            "is_backwards": goes_backwards(order.vehicle, value, order.odo_unit),
            "explanation": explanation,
        },
    )
    return reading


def goes_backwards(vehicle: Vehicle, value: Decimal, unit: str) -> bool:
    """Say whether a reading is below the last one of the vehicle in the same unit."""
    last = vehicle.odometer_readings.filter(unit=unit).order_by("-read_on", "-pk").first()
    return last is not None and last.value is not None and value < last.value


def _add_complaint(order, entry: ComplaintEntry, position: int, *, by, at) -> Complaint:
    complaint = Complaint.objects.create(
        order=order,
        ref=f"C{position + 1}",
        position=position,
        kind=entry.kind,
        text=entry.text,
        system=entry.system,
        symptom=entry.symptom,
        pattern=entry.pattern,
        is_safety=entry.is_safety,
        difficulty=entry.difficulty,
        intake=entry.intake,
        taken_by=by.signs_as,
        taken_at=at,
    )
    audit.record(
        "enter complaint", complaint, by=by, after=audit.values(complaint), order_number=order.number
    )
    hooks.complaint_entered(complaint, at=at)
    return complaint


@transaction.atomic
def keep_customer(customer: Customer, *, by: StaffMember) -> Customer:
    """Save a new or changed customer; a new one gets the next id."""
    return _keep(customer, "K", by=by)


@transaction.atomic
def keep_vehicle(vehicle: Vehicle, *, by: StaffMember) -> Vehicle:
    """Save a new or changed vehicle; a new one gets the next id."""
    is_new = vehicle.pk is None
    _keep(vehicle, "V", by=by)
    if not is_new:
        hooks.vehicles_changed([vehicle.pk], at=timezone.now())
    return vehicle


def _agree(order: RepairOrder, minutes: int, given: Moment, *, by: StaffMember) -> None:
    """Keep the minutes of diagnosis that the customer agrees to while the key is handed over."""
    agreed = Authorisation(order=order, position=0, minutes=minutes)
    agreed.given = given
    agreed.save()
    audit.record("authorise minutes", agreed, by=by, after=audit.values(agreed), order_number=order.number)


def _keep(record, letter: str, *, by: StaffMember):
    if record.pk is None:
        record.code = record.code or _free_code(type(record), letter)
    audit.keep(record, by=by)
    return record


def _free_code(model, letter: str) -> str:
    # Imported records bring ids of their own, so a number of the series may be taken already.
    while True:
        code = f"{letter}{NumberSeries.take(model.__name__.lower())}"
        if not model.objects.filter(code=code).exists():
            return code


def _next_number() -> str:
    number = NumberSeries.take("order", above=FIRST_NUMBER - 1)
    if RepairOrder.objects.filter(number=str(number)).exists():
        # Imported orders use numbers of their own; go on above the highest of them.
        number = NumberSeries.take("order", above=_highest_number())
    return str(number)


def _highest_number() -> int:
    written_as_digits = RepairOrder.objects.annotate(digits=Length("number")).filter(
        number__regex=r"^[0-9]+$", digits__lte=12
    )
    highest = written_as_digits.aggregate(highest=Max(Cast("number", models.BigIntegerField())))["highest"]
    return highest or 0
