"""Quarry Road Garage on record for the browser: the stories and the open jobs, or the whole demo."""

from __future__ import annotations

import io
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from decimal import Decimal
from functools import cached_property

from django.utils import timezone

from diagnostics import demo, recording
from diagnostics.circuits import acts
from diagnostics.codes.scan_text import read_scan
from diagnostics.demo import learning, reviews
from diagnostics.isolation.circuit import template
from diagnostics.models import (
    Calibration,
    Capture,
    CircuitMap,
    FaultSearch,
    Instrument,
    InstrumentRange,
    Protocol,
    ReturnVisit,
    Scan,
)
from diagnostics.protocols import load_catalogue
from diagnostics.recording.captures import READ_CAPTURE
from diagnostics.recording.searches import Posed
from invoicing import demo as record
from invoicing import issuing
from invoicing.models import IssuedDocument
from shared import outbox
from shared.models import OutboxRow
from shop.models import Complaint, DeclinedItem, RepairOrder, StaffMember, Vehicle
from tests.diagnostics.searching.example import components, example, listens

REPORTS = (
    "Engine control module:\n  P0171-00 lean, confirmed\n  P1133 stored\nBrakes: no response\n"
    "Radio: no codes\n",
    "Engine control module:\n  P0171-00 lean, pending\nPO300\nDTC bytes: C1 40\nCatalyst: not ready\n",
)


def told(shop: demo.Shop) -> demo.Shop:
    """Return the part of the demo that tells a story or is still open."""
    numbers = set(shop.story_orders.values())
    orders = tuple(order for order in shop.orders if order["id"] in numbers)
    used = {order["vehicle"] for order in orders}
    vehicles = tuple(vehicle for vehicle in shop.vehicles if vehicle["id"] in used)
    return replace(shop, orders=orders, vehicles=vehicles)


def open_shop(*, everything: bool = False) -> Places:
    """Put the shop on record, make the papers that were issued, and return where things stand."""
    at = timezone.now()
    shop = demo.build(timezone.localdate())
    load_catalogue(at=at)
    record.put_on_record(shop if everything else told(shop), at=at)
    reviews.put_on_record(shop.story_orders, at=at)
    places = Places(shop.story_orders, at)
    _record_signals(places)
    _draw_circuits(places)
    _begin_searches(places)
    learning.put_on_record(today=timezone.localdate(), at=at)
    _leave_a_call_due(places)
    return places


def _leave_a_call_due(places: Places) -> None:
    """The stories leave no call due on every day of the year, so one more item is declined."""
    today = places.at.date()
    DeclinedItem.objects.create(
        order=places.order("bus_resistor.only"),
        ref="D9",
        position=9,
        component="rear brake hose",
        risk="safety",
        informed_on=today - timedelta(days=30),
        follow_up_on=today - timedelta(days=3),
    )


SEARCHES = {
    "begun": (),
    "mid": (("bar_b_out", "alive"), ("unplug_U10", "dead")),
    "contradictory": (("unplug_U4", "alive"), ("unplug_U5", "alive")),
    "isolated": (("bar_b_out", "alive"), ("half_b", "dead"), ("unplug_U7", "dead"), ("unplug_U8", "dead")),
    "ended": (("bar_b_out", "alive"), ("unplug_U9", "dead")),
}


def _begin_searches(places: Places) -> None:
    """A search for a fault in each state, each on a job and a vehicle of its own."""
    by, at = places.person("isa"), places.at
    for name, readings in SEARCHES.items():
        vehicle = Vehicle.objects.create(code=f"search-{name}", make="Norvane", model="Tarn", plate="SE 4471")
        order = RepairOrder.objects.create(
            number=f"S-{name}", location=by.location, vehicle=vehicle, opened_on=at.date(), opened_at=at
        )
        text = "Several functions drop out together."
        complaint = Complaint.objects.create(order=order, ref="c1", text=text)
        search = recording.start_search(complaint, by=by, at=at, posed=posed(name))
        for test, outcome in readings:
            read(search, test, outcome, by=by, at=at)
        if name == "ended":
            recording.stop_search(search, by=by, at=at, reason="It rests for the day.")


def posed(name: str) -> Posed:
    """The two-hub star line of the reference note, under the name of a state."""
    document = example(hard=True) | {"title": f"Two-hub star line, {name}"}
    return Posed(document=document, components=components(document), listens=listens(document))


def read(search: FaultSearch, test: str, outcome: str, **act) -> None:
    """Record a reading as the button of its outcome does."""
    one = search.listens[test]
    recording.take_reading(
        search, test=test, code=one["code"], point=one["point"], kind="attribute", repeatable=False,
        result=one["says"][outcome], observation=one["observation"][outcome], minutes=Decimal(9), **act,
    )  # fmt: skip


def _draw_circuits(places: Places) -> None:
    """A map with two hubs, one that cannot be used as it stands, and one that is not used any more."""
    given = {"by": places.person("isa"), "at": places.at}
    front = [f"front unit {n} @ left sill 6+4" for n in range(1, 7)]
    rear = ["roof unit @ headliner 15+12", "trailer unit ?", "rear wiper unit", "park unit", "lamp unit"]
    names = "\n".join(["hub A:", *front, "", "hub B:", *rear])
    about = {"title": "Body line, two hubs", "make": "Norvane", "system": "network", "note": "Seen once."}
    acts.make_map(about=about, circuit=template("joined_stars", names), **given)
    broken = acts.make_map(about={"title": "Half drawn"}, circuit=template("joined_stars", names), **given)
    acts.remove_part(broken.places.get(label="hub B"), **given)
    feed = template("feed_chain", "battery\nF12\nswitch\nwiper motor\nground")
    retired = acts.make_map(about={"title": "Wiper feed"}, circuit=feed, **given)
    acts.set_state(retired, state="retired", **given)


def _record_signals(places: Places) -> None:
    """Two recordings of one line, a broken file, and one that nobody has read yet."""
    order, by = places.order("battery_draw.return"), places.person("isa")

    def add(title: str, content: bytes, **about) -> None:
        given = {"phase": "before", "name": f"{title}.csv", "file": io.BytesIO(content), **about}
        recording.add_capture(order, by=by, at=places.at, title=title, **given)

    pins = {"points": ["trailer socket feed, to battery negative", "battery"], "battery_v": "12.6"}
    add("Wake line, module plugged in", signal_text(0.6), **pins, equipment_connected=True)
    add("Wake line, module unplugged", signal_text(0.1), **pins)
    add("Not a recording", b"time,V\nx,y\n")
    for row in OutboxRow.objects.filter(kind=READ_CAPTURE):
        outbox.do(row.pk)
    add("Just uploaded", signal_text(0.2))


def signal_text(level: float) -> bytes:
    """A line that wakes every 40 ms, and the battery behind it, as an instrument exports them."""
    lines = ["Time (ms),A (V),B (V)"]
    for n in range(4000):
        awake = 12 * level if n % 800 < 120 else 0.02
        lines.append(f"{n / 20:.2f},{awake + 0.01 * (n % 3):.3f},{12.6 - awake * 0.05:.3f}")
    return "\n".join(lines).encode()


def make_papers() -> None:
    """Make the PDFs that are asked for."""
    outbox.drain()


@dataclass(frozen=True)
class Places:
    """Finds records of the shop by what they are called in the stories."""

    stories: dict[str, str]
    at: datetime

    def order(self, story: str) -> RepairOrder:
        return RepairOrder.objects.select_related("vehicle", "location").get(number=self.stories[story])

    def person(self, username: str) -> StaffMember:
        return StaffMember.objects.get(username=username)

    def return_visit(self, story: str) -> ReturnVisit:
        return ReturnVisit.objects.filter(return_order__number=self.stories[story]).latest("counts")

    def document(self, story: str, kind: str = "findings") -> IssuedDocument:
        return IssuedDocument.objects.filter(order__number=self.stories[story], kind=kind).first()

    def search(self, state: str) -> FaultSearch:
        return FaultSearch.objects.get(document__title=f"Two-hub star line, {state}")

    def capture(self, title: str) -> Capture:
        return Capture.objects.get(title=title)

    def circuit(self, title: str) -> CircuitMap:
        return CircuitMap.objects.get(title=title)

    @cached_property
    def protocol(self) -> Protocol:
        return Protocol.objects.get(symptom="flat_after_standing", is_current=True)

    @cached_property
    def instrument(self) -> Instrument:
        return Instrument.objects.get(code="meter 2")

    @cached_property
    def range(self) -> InstrumentRange:
        return InstrumentRange.objects.filter(instrument=self.instrument).first()

    @cached_property
    def calibration(self) -> Calibration:
        return Calibration.objects.get(in_tolerance=False)

    def scan(self, story: str) -> Scan:
        """The later of two scans of an order; the earlier one has more codes and one unit more."""
        order = self.order(story)
        kept = Scan.objects.filter(order=order).order_by("pk").last()
        for text in () if kept else REPORTS:
            by = {"by": self.person("tobin"), "at": timezone.now()}
            kept = recording.keep_scan(order, read_scan(text), text=text, phase="before", **by)
        return kept

    def customer_path(self, story: str) -> str:
        """A new link of the customer to the findings of an order."""
        order = self.order(story)
        _, token = issuing.make_link(order, by=self.person("maud"), at=timezone.now())
        return f"/c/{token}/"
