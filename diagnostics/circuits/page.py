"""What the page of one map shows."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from django.urls import reverse

from diagnostics.circuits.minutes import Offer, timings_of, zone_offer, zone_source
from diagnostics.circuits.reading import circuit_of
from diagnostics.isolation.circuit import Circuit, Wrong, check
from diagnostics.isolation.drawing import Mark, Marks
from diagnostics.models import CircuitMap, FaultSearch, MapPhoto, MapPlace, MapWire, MapZone
from shared.models import AuditEntry
from shared.wording import count_text

JOBS_SHOWN = 12
CHANGES_SHOWN = 12
MOST_DEPTH = 4  # Steps to the right in the list; a phone has room for no more.
JOINTS = ("hub", "splice", "connector", "fuse", "source", "switch")


@dataclass(frozen=True)
class PlaceRow:
    """One place in the list: how deep it hangs, and on what."""

    place: MapPlace
    depth: int
    wires: tuple[MapWire, ...]
    photos: tuple[MapPhoto, ...]
    fault: str = ""

    @property
    def can_carry(self) -> bool:
        return self.place.kind in JOINTS


@dataclass(frozen=True)
class ZoneRow:
    zone: MapZone
    count: int
    source: str
    offer: Offer | None


@dataclass(frozen=True)
class Fault:
    """One thing wrong with the drawing, and where it is put right."""

    name: str
    message: str
    url: str


class MapPage:
    """A map with everything on it, in a constant number of queries."""

    def __init__(self, drawn: CircuitMap, *, can_keep: bool) -> None:
        self.drawn, self.can_keep = drawn, can_keep

    @cached_property
    def circuit(self) -> Circuit:
        return circuit_of(self.drawn)

    @cached_property
    def places(self) -> list[MapPlace]:
        return list(self.drawn.places.all())

    @cached_property
    def wires(self) -> list[MapWire]:
        return list(self.drawn.wires.all())

    @cached_property
    def found(self) -> tuple[Wrong, ...]:
        return check(self.circuit)

    @property
    def faults(self) -> list[Fault]:
        return [self._fault(wrong) for wrong in self.found]

    def _fault(self, wrong: Wrong) -> Fault:
        for kind, rows in (("place", self.places), ("wire", self.wires), ("zone", self.zones)):
            for row in rows:
                if row.key == wrong.where:
                    return Fault(
                        str(row), wrong.message, reverse("circuit-part", args=[self.drawn.pk, kind, row.pk])
                    )
        return Fault("", wrong.message, "")

    @property
    def marks(self) -> Marks:
        """Each place and wire leads to where it is changed."""
        if not self.can_keep:
            return Marks()
        return Marks(
            {row.key: Mark(href=self._part("place", row)) for row in self.places},
            {row.key: Mark(href=self._part("wire", row)) for row in self.wires},
        )

    def _part(self, kind, row):
        return reverse("circuit-part", args=[self.drawn.pk, kind, row.pk])

    @cached_property
    def rows(self) -> list[PlaceRow]:
        """The places in the order in which they hang on each other, from where the work starts."""
        photos: dict[int, list[MapPhoto]] = {}
        for photo in MapPhoto.objects.filter(place__circuit_map=self.drawn):
            photos.setdefault(photo.place_id, []).append(photo)
        by_pk = {place.pk: place for place in self.places}
        zones = {zone.pk: zone for zone in self.zones}
        wires: dict[int, list[MapWire]] = {}
        for wire in self.wires:
            wire.start, wire.end = by_pk[wire.start_id], by_pk[wire.end_id]
            for end in (wire.start_id, wire.end_id):
                wires.setdefault(end, []).append(wire)
        for place in self.places:
            place.zone = zones.get(place.zone_id)
        return [
            PlaceRow(
                place, min(depth, MOST_DEPTH), tuple(wires.get(place.pk, ())), tuple(photos.get(place.pk, ()))
            )
            for place, depth in in_order(self.places, wires)
        ]

    @cached_property
    def zones(self) -> list[MapZone]:
        return list(self.drawn.zones.all())

    @cached_property
    def timings(self):
        return timings_of(self.drawn, self.zones)

    @property
    def zone_rows(self) -> list[ZoneRow]:
        names = {zone.pk: zone for zone in self.zones}
        rows = []
        for zone in self.zones:
            zone.inside = names.get(zone.inside_id)
            count = sum(place.zone_id == zone.pk for place in self.places)
            rows.append(ZoneRow(zone, count, zone_source(zone), zone_offer(zone, self.timings)))
        return rows

    @property
    def timed(self) -> int:
        """How many tests of this map have been timed."""
        return len(self.timings.of_test)

    @cached_property
    def search_count(self) -> int:
        return FaultSearch.objects.filter(circuit_map=self.drawn).count()

    @cached_property
    def searches(self) -> list[FaultSearch]:
        found = FaultSearch.objects.filter(circuit_map=self.drawn).select_related("order__vehicle")
        return list(found.defer("document", "listens").order_by("-started_at", "-pk")[:JOBS_SHOWN])

    @property
    def lines_words(self) -> str:
        return "of two wires" if self.drawn.lines == 2 else ""

    @property
    def used_in(self) -> str:
        return f"used in {count_text(self.search_count, 'search', 'searches')}"

    @cached_property
    def changes(self) -> list[AuditEntry]:
        entries = AuditEntry.objects.filter(record=CircuitMap._meta.label, record_id=str(self.drawn.pk))
        return list(entries[:CHANGES_SHOWN])


def in_order(places: list[MapPlace], wires: dict[int, list[MapWire]]) -> list[tuple[MapPlace, int]]:
    """Return the places from the test socket or the supply on, with how deep they hang; loose ones last."""
    roots = [place for place in places if place.kind in ("tester_port", "source")]
    by_pk = {place.pk: place for place in places}
    seen: set[int] = set()
    ordered: list[tuple[MapPlace, int]] = []
    for root in [*roots, *places]:
        ahead = [(root.pk, 0)]
        while ahead:
            pk, depth = ahead.pop()
            if pk in seen:
                continue
            seen.add(pk)
            ordered.append((by_pk[pk], depth))
            others = [wire.end_id if wire.start_id == pk else wire.start_id for wire in wires.get(pk, ())]
            ahead += [(other, depth + 1) for other in reversed(others) if other not in seen]
    return ordered


def behind(page: MapPage, place: MapPlace) -> list[MapPlace]:
    """Return the places that no wire leads to any more when this one is taken off the map."""
    before = _reached(page, None)
    return [each for each in page.places if each.pk in before - _reached(page, place) and each.pk != place.pk]


def _reached(page: MapPage, without: MapPlace | None) -> set[int]:
    roots = [
        place.pk for place in page.places if place.kind in ("tester_port", "source") and place != without
    ]
    seen, ahead = set(roots), list(roots)
    while ahead:
        here = ahead.pop()
        for wire in page.wires:
            ends = {wire.start_id, wire.end_id}
            if here in ends and not (without and without.pk in ends):
                for end in ends - seen:
                    seen.add(end)
                    ahead.append(end)
    return seen
