"""The demo shop on record: the exchange lines through the ordinary import, then logins, waits and papers."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

import simplejson
from django.db import transaction

from diagnostics import demo, recording
from diagnostics.circuits import acts
from diagnostics.codes.scan_text import read_scan
from diagnostics.demo import circuits, evidence, learning, register, reviews
from diagnostics.demo.garage import LOCATION_ID
from diagnostics.demo.people import OWNER
from diagnostics.exchange.importing import Summary, import_jobs
from diagnostics.isolation.circuit import template
from diagnostics.models import Calibration, Instrument, InstrumentRange
from diagnostics.searching.posing import pose
from invoicing.issuing import issue
from invoicing.models import IssuedDocument
from shop.models import Location, RepairOrder, StaffMember, Vehicle

BY = "demo"
PASSWORD = "quarry-road"  # For the demo's logins only, and printed where the demo is loaded.
HOURS_WAITED = {"advisor": 2, "technician": 20, "parts": 26, "customer": 41}
PLACE = {
    "address": "Quarry Road 14\nUpper Haddock",
    "phone": "01632 960 144",  # A number kept free for stories.
    "email": "desk@quarryroad.example",
    "currency": "GBP",
    "distance_unit": "mi",
    "loaded_rate": reviews.RATE,
    "warranty_months": 12,
    "warranty_distance": 12_000,
}


class DemoRefused(Exception):
    """The shop has jobs of its own."""


@dataclass(frozen=True, slots=True)
class Loaded:
    """What was put on record; nothing where the demo was there already."""

    summary: Summary | None
    papers: int = 0


def load(
    *,
    today: date,
    at: datetime,
    seed: int = demo.DEFAULT_SEED,
    progress: Callable[[int], None] = lambda lines: None,
) -> Loaded:
    """Put the demo shop on record, once. A shop that has jobs of its own is left alone."""
    if Location.objects.filter(code=LOCATION_ID).exists():
        return Loaded(None)
    if RepairOrder.objects.exists():
        raise DemoRefused("This shop has jobs of its own, so the demo is left out.")
    shop = demo.build(today, seed)
    loaded = put_on_record(shop, at=at, progress=progress)
    add_evidence(shop, at)
    draw_circuits(shop, at)
    reviews.put_on_record(shop.story_orders, at=at)
    learning.put_on_record(today=today, at=at)
    return loaded


def put_on_record(
    shop: demo.Shop, *, at: datetime, progress: Callable[[int], None] = lambda lines: None
) -> Loaded:
    """Put a shop on record: its history, its logins, who its open jobs wait on, its papers."""
    summary = _take(shop, at, progress)
    _furnish(shop, at)
    return Loaded(summary, _issue_papers(shop, at))


def add_evidence(shop: demo.Shop, at: datetime) -> None:
    """Add what is not exchanged: a recorded signal, read in the background, and a scan."""
    for one in evidence.recordings():
        order, by = _order_and_technician(shop, one.story)
        recording.add_capture(
            order,
            by=by,
            at=at,
            file=io.BytesIO(one.content),
            name=one.name,
            title=one.title,
            phase="before",
            points=list(one.points),
            battery_v=one.battery_v,
        )
    order, by = _order_and_technician(shop, "open.half_measured")
    report = evidence.FAN_REPORT
    recording.keep_scan(order, read_scan(report), text=report, phase="before", by=by, at=at)


def draw_circuits(shop: demo.Shop, at: datetime) -> None:
    """Add the maps that the shop has drawn, and the search for a fault that is under way on one of them."""
    begun = circuits.search()
    order, by = _order_and_technician(shop, begun.story)
    drawn = {
        one.about["title"]: acts.make_map(
            by=by, at=at, about=one.about, circuit=template(one.shape, one.names)
        )
        for one in circuits.maps()
    }
    complaint = order.complaint_set.get(kind="symptom")
    posed = pose(order, complaint, drawn[begun.title], options=begun.options)
    recording.start_search(complaint, by=by, at=at, posed=posed)


def _order_and_technician(shop: demo.Shop, story: str) -> tuple[RepairOrder, StaffMember]:
    order = RepairOrder.objects.get(number=shop.story_orders[story])
    return order, StaffMember.objects.get(signs_as=order.technician)


def _take(shop: demo.Shop, at: datetime, progress: Callable[[int], None]) -> Summary:
    records = [shop.location, *shop.instruments, *shop.vehicles, *shop.orders]
    text = "\n".join(simplejson.dumps(record, use_decimal=True) for record in records)
    faults: list[str] = []
    summary = import_jobs(
        io.BytesIO(text.encode()),
        by=BY,
        at=at,
        report=lambda refusal: faults.append(str(refusal)),
        progress=lambda lines, position: progress(lines),
        all_or_nothing=True,
    )
    if faults:
        raise DemoRefused(f"The demo does not fit the exchange form: {faults[0]}")
    return summary


@transaction.atomic
def _furnish(shop: demo.Shop, at: datetime) -> None:
    """Add what the exchange form has no place for: the paper head, logins, who a job waits on."""
    Location.objects.filter(code=LOCATION_ID).update(**PLACE)
    location = Location.objects.get(code=LOCATION_ID)
    for login in demo.staff():
        StaffMember.objects.create_user(
            login.username,
            password=PASSWORD,
            signs_as=login.signs_as,
            location=location,
            **{f"is_{role}": True for role in login.roles},
        )
    for number, (waiting_on, note) in shop.waiting.items():
        RepairOrder.objects.filter(number=number, returned_on__isnull=True).update(
            waiting_on=waiting_on,
            waiting_note=note,
            waiting_since=at - timedelta(hours=HOURS_WAITED[waiting_on], minutes=int(number) % 60),
        )
    _give_keepers()
    _give_register(at)


def _give_register(at: datetime) -> None:
    """Ranges and calibrations, which are the shop's own and are not exchanged."""
    tools = {tool.code: tool for tool in Instrument.objects.all()}
    InstrumentRange.objects.bulk_create(
        InstrumentRange(
            instrument=tools[one.tool],
            unit=one.unit,
            low=one.low,
            high=one.high,
            resolution=one.resolution,
            accuracy_text=one.accuracy_text,
        )
        for one in register.RANGES
    )
    Calibration.objects.bulk_create(
        Calibration(
            instrument=tools[found.tool],
            done_on=at.date() - timedelta(days=found.days_ago),
            in_tolerance=found.error is None,
            found_error=found.error,
            error_unit=found.unit,
            error_of=found.of_unit,
            note=found.note,
            kept_by=OWNER,
            kept_at=at - timedelta(days=found.days_ago),
        )
        for found in register.CALIBRATIONS
    )


def _give_keepers() -> None:
    """The customer of the newest visit keeps the vehicle."""
    visits = RepairOrder.objects.filter(customer__isnull=False, vehicle__keeper__isnull=True)
    newest = dict(visits.order_by("opened_on", "pk").values_list("vehicle_id", "customer_id"))
    vehicles = list(Vehicle.objects.filter(pk__in=newest))
    for vehicle in vehicles:
        vehicle.keeper_id = newest[vehicle.pk]
    Vehicle.objects.bulk_update(vehicles, ["keeper"], batch_size=200)


def _issue_papers(shop: demo.Shop, at: datetime) -> int:
    """Issue the papers of the stories that were handed back; the PDFs are made in the background."""
    told = RepairOrder.objects.handed_back().filter(number__in=shop.story_orders.values())
    owner = StaffMember.objects.filter(is_owner=True).first()
    for order in told.order_by("opened_on"):
        issue(order, kind=IssuedDocument.Kind.FINDINGS, by=owner, at=at)
        if order.outcome == RepairOrder.Outcome.REPAIRED:
            issue(order, kind=IssuedDocument.Kind.WARRANTY, by=owner, at=at)
    return IssuedDocument.objects.count()
