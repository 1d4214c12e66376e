"""Between the rows of a circuit map and the plain circuit that everything is computed from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal

from django.db import transaction

from diagnostics.isolation.circuit import Circuit, Override, Place, Wire, Zone
from diagnostics.models import CircuitMap, MapPlace, MapTest, MapWire, MapZone


def circuit_of(drawn: CircuitMap) -> Circuit:
    """Return the circuit that a map holds, in the order drawn. Three queries, none where they are prefetched.

    It may be half drawn: ask `diagnostics.isolation.circuit.check`. A zone that takes no minutes and lies
    inside no other stands open.
    """
    zones, places = list(drawn.zones.all()), list(drawn.places.all())
    zone_key = {zone.pk: zone.key for zone in zones}
    place_key = {place.pk: place.key for place in places}
    return Circuit(
        topology=drawn.topology,
        places=tuple(_place(row, zone_key) for row in places),
        wires=tuple(_wire(row, place_key, zone_key) for row in drawn.wires.all()),
        zones=tuple(_zone(row, zone_key) for row in zones),
        lines=drawn.lines,
    )


def overrides_of(drawn: CircuitMap) -> dict[str, Override]:
    """Return what the shop knows better about the tests of a map, by test id: `Options.tests`."""
    return {row.key: _override(row) for row in drawn.tests.all()}


@transaction.atomic
def keep(circuit: Circuit, drawn: CircuitMap) -> None:
    """Write a whole circuit into an empty map. Four queries at most for rows of any number."""
    zones = _zones(circuit.zones, drawn)
    places = MapPlace.objects.bulk_create(
        MapPlace(
            circuit_map=drawn,
            key=place.id,
            label=place.label,
            position=position,
            kind=place.kind,
            zone=zones.get(place.zone),
            fitted=place.fitted,
        )
        for position, place in enumerate(circuit.places)
    )
    by_key = {place.key: place for place in places}
    MapWire.objects.bulk_create(
        MapWire(
            circuit_map=drawn,
            key=wire.id,
            label=wire.label,
            position=position,
            start=by_key[wire.start],
            end=by_key[wire.end],
            zone=zones.get(wire.zone),
            is_removable=wire.removable,
        )
        for position, wire in enumerate(circuit.wires)
    )


def _zones(zones: Iterable[Zone], drawn: CircuitMap) -> dict[str, MapZone]:
    rows = MapZone.objects.bulk_create(
        MapZone(
            circuit_map=drawn,
            key=zone.id,
            label=zone.label,
            position=position,
            open_minutes=_exact(zone.open_minutes),
            close_minutes=_exact(zone.close_minutes),
        )
        for position, zone in enumerate(zones)
    )
    by_key = {row.key: row for row in rows}
    inner = [zone for zone in zones if zone.inside]
    for zone in inner:
        by_key[zone.id].inside = by_key[zone.inside]
    if inner:
        MapZone.objects.bulk_update([by_key[zone.id] for zone in inner], ["inside"])
    return by_key


def _zone(row: MapZone, keys: Mapping[int, str]) -> Zone:
    inside = keys.get(row.inside_id, "")
    return Zone(
        row.key,
        row.label,
        float(row.open_minutes),
        float(row.close_minutes),
        inside,
        already_open=not (inside or row.open_minutes or row.close_minutes),
    )


def _place(row: MapPlace, zones: Mapping[int, str]) -> Place:
    return Place(row.key, row.kind, row.label, zones.get(row.zone_id, ""), row.fitted)


def _wire(row: MapWire, places: Mapping[int, str], zones: Mapping[int, str]) -> Wire:
    return Wire(
        row.key,
        places[row.start_id],
        places[row.end_id],
        row.label,
        zones.get(row.zone_id, ""),
        row.is_removable,
    )


def _override(row: MapTest) -> Override:
    minutes = None if row.minutes is None else float(row.minutes)
    return Override(minutes=minutes, caution=row.caution, offered=row.is_offered)


def _exact(minutes: float) -> Decimal:
    """The minutes as they would be typed: 12, not 12.0."""
    return Decimal(f"{minutes:g}")
