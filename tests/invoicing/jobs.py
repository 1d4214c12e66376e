"""One job told as values: two end resistors, one left out after a body repair, as the demo tells it."""

from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from diagnostics.evidence import chain_status, evaluate
from diagnostics.snapshot import (
    Attempt,
    Cause,
    Complaint,
    Customer,
    Instrument,
    Location,
    Order,
    Part,
    RequiredStep,
    Test,
    TrialSeries,
    Vehicle,
    Work,
)
from invoicing.findings import Letterhead, LimitOrigin, Names, findings_sheet
from shared.moments import Moment

MONDAY = Moment(date(2026, 6, 29))
TUESDAY = Moment(date(2026, 6, 30))
WEDNESDAY = Moment(date(2026, 7, 1))

SHOP = Letterhead("Quarry Road Garage", ("4 Quarry Road",), "01632 960 117", "desk@example.org")
NAMES = Names(
    tests={"bus_resistance": "Resistance of the data line", "bus_signal": "Strength of the data signal"},
    systems={"network": "Data networks"},
    symptoms={"messages_lost": "Messages lost between units"},
    origins={"T1": LimitOrigin("common practice", "common practice; the maker's figure wins")},
    conditions={"T1": "battery off"},
)
METERS = {"meter 1": Instrument("meter 1", "multimeter", cal_due=date(2027, 1, 1), accuracy=Decimal("0.5"))}


def reading(ref, value, *, phase="before", on=MONDAY, **more):
    fields = {
        "code": "bus_resistance",
        "point": "pins 6 and 14",
        "complaint": "C1",
        "unit": "ohm",
        "lo": Decimal(50),
        "hi": Decimal(70),
        "instrument": "meter 1",
        "by": "Isa Renk",
        "entered_on": on,
        **more,
    }
    return Test(ref, phase=phase, kind="numeric", on=on, value=Decimal(value), **fields)


PROVED = Order(
    id="1003",
    vehicle=Vehicle("V1", "00ZHR3T20JR402094", "PV 2094", 2018, "Haldmark", "Orrel"),
    customer=Customer("C9", "Hanne Orrick"),
    location=Location("QRG", "Quarry Road Garage"),
    technician="Isa Renk",
    opened=MONDAY,
    returned=WEDNESDAY,
    odo_in=Decimal(96402),
    odo_out=Decimal(96409),
    odo_unit="mi",
    outcome="repaired",
    complaints=(
        Complaint(
            "C1",
            "symptom",
            "Half the dials went dead.",
            system="network",
            symptom="messages_lost",
            pattern="intermittent",
            attempts=(Attempt(MONDAY, "reproduced", "Key on after ten minutes locked.", n=4, k=3),),
            required=(RequiredStep("bus_resistance"),),
        ),
    ),
    tests=(
        reading("T1", "120.4", isolates="end plug"),
        reading("T2", "60.3", phase="after", on=TUESDAY),
    ),
    causes=(Cause("K1", "C1", "end plug", "The end resistor was left out.", "left out", ("T1",)),),
    work=(
        Work(
            "W1",
            "replace",
            "end plug",
            "cause",
            TUESDAY,
            complaint="C1",
            cause="K1",
            by="Isa Renk",
            note="Should have been seen by the body shop.",
            part=Part("Bus end plug with resistor", quantity="1", condition="new"),
        ),
    ),
    trials=(TrialSeries("C1", WEDNESDAY, 5, 0),),
)


@dataclass(frozen=True)
class Assessed:
    order: Order
    findings: tuple
    chains: tuple


def assessed(order):
    findings = evaluate(order, instruments=METERS)
    chains = tuple(chain_status(order, findings, c) for c in order.complaints if c.kind == "symptom")
    return Assessed(order, findings, chains)


def changed(**fields):
    return replace(PROVED, **fields)


def sheet_of(order, **more):
    return findings_sheet(assessed(order), names=NAMES, shop=SHOP, instruments=METERS, **more)


def complaint(**fields):
    return replace(PROVED.complaints[0], **fields)
