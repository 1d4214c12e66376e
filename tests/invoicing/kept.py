"""The same job as `jobs.PROVED`, kept in the database."""

from datetime import UTC, date, datetime
from decimal import Decimal

from diagnostics.models import Attempt, Cause, RequiredStep, TestKind, TrialSeries
from invoicing import issuing
from shop.models import OdometerReading, PartFitted, Symptom, System
from tests.factories import (
    AdvisorFactory,
    ComplaintFactory,
    CustomerFactory,
    InstrumentFactory,
    LocationFactory,
    OrderFactory,
    TestRunFactory,
    VehicleFactory,
    WorkItemFactory,
)

AT = datetime(2026, 7, 1, 15, 0, tzinfo=UTC)
MONDAY, TUESDAY, WEDNESDAY = date(2026, 6, 29), date(2026, 6, 30), date(2026, 7, 1)


def kept_job(number="1003", **fields):
    order = OrderFactory(
        number=number,
        location=LocationFactory(
            phone="01632 960 117",
            address="4 Quarry Road\nTarn Valley",
            distance_unit="mi",
            currency="GBP",
            time_zone="Europe/London",
        ),
        vehicle=VehicleFactory(make="Haldmark", model="Orrel", plate="PV 2094"),
        customer=CustomerFactory(name="Hanne Orrick"),
        technician="Isa Renk",
        **{
            "opened_on": MONDAY,
            "returned_on": WEDNESDAY,
            "odo_unit": "mi",
            "outcome": "repaired",
            **fields,
        },
    )
    _complaint(order)
    _readings(order)
    _repair(order)
    return order


def issued(order, kind="findings", *, at=AT):
    return issuing.issue(order, kind, by=AdvisorFactory(), at=at)


def _complaint(order):
    system, _ = System.objects.get_or_create(code="network", defaults={"name": "Data networks"})
    Symptom.objects.get_or_create(
        code="messages_lost", defaults={"system": system, "name": "Messages lost between units"}
    )
    complaint = ComplaintFactory(
        order=order,
        ref="C1",
        text="Half the dials went dead.",
        system="network",
        symptom="messages_lost",
        pattern="intermittent",
    )
    Attempt.objects.create(
        complaint=complaint,
        done_on=MONDAY,
        outcome="reproduced",
        conditions="Key on after ten minutes locked.",
        n=4,
        k=3,
    )
    RequiredStep.objects.create(complaint=complaint, position=0, code="bus_resistance", phase="before")


def _readings(order):
    TestKind.objects.get_or_create(
        code="bus_resistance",
        is_current=True,
        defaults={
            "system": "network",
            "name": "Bus, end to end",
            "plain": "Resistance of the data line",
            "kind": "numeric",
            "unit": "Ω",
            "lo": Decimal(50),
            "hi": Decimal(70),
            "limit_source": "P",
            "limit_says": "common practice; the maker's figure wins",
        },
    )
    meter = InstrumentFactory(cal_due=date(2027, 1, 1))
    for ref, value, phase, on in (("T1", "120.4", "before", MONDAY), ("T2", "60.3", "after", TUESDAY)):
        TestRunFactory(
            order=order,
            ref=ref,
            complaint_ref="C1",
            code="bus_resistance",
            point="pins 6 and 14",
            phase=phase,
            value=Decimal(value),
            unit="Ω",
            lo=Decimal(50),
            hi=Decimal(70),
            done_on=on,
            entered_on=on,
            done_by="Isa Renk",
            instrument=meter,
            instrument_ref=meter.code,
            isolates="end plug" if phase == "before" else "",
        )


def _repair(order):
    Cause.objects.create(
        order=order,
        ref="K1",
        complaint_ref="C1",
        component="end plug",
        statement="The end resistor was left out.",
        evidence=["T1"],
    )
    work = WorkItemFactory(
        order=order,
        ref="W1",
        complaint_ref="C1",
        component="end plug",
        cause_ref="K1",
        done_on=TUESDAY,
        done_by="Isa Renk",
    )
    PartFitted.objects.create(work=work, description="Bus end plug", condition="new")
    TrialSeries.objects.create(order=order, complaint_ref="C1", done_on=WEDNESDAY, n=5)
    for moment, value, on in (("in", 96402, MONDAY), ("out", 96409, WEDNESDAY)):
        OdometerReading.objects.create(
            vehicle=order.vehicle, order=order, moment=moment, value=Decimal(value), unit="mi", read_on=on
        )
