"""Drawing a map: every act is one transaction, one entry in the trail of the map, and a version more."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max

from diagnostics.circuits import reading
from diagnostics.isolation.circuit import Circuit
from diagnostics.isolation.circuit.names import LONGEST_SLUG, Named, slug, unused
from diagnostics.models import CircuitMap, MapPlace, MapTest, MapWire, MapZone
from shared import audit

Part = MapZone | MapPlace | MapWire

ABOUT = ("title", "make", "model", "year_from", "year_to", "engine", "system", "note", "lines")
FIELDS: dict[type, tuple[str, ...]] = {
    MapZone: ("label", "inside", "open_minutes", "close_minutes", "learned_count", "where"),
    MapPlace: ("label", "kind", "zone", "where", "note", "fitted"),
    MapWire: ("label", "start", "end", "zone", "is_removable"),
}
WORDS: dict[type, str] = {MapZone: "zone", MapPlace: "place", MapWire: "wire"}
LETTERS: dict[type, str] = {MapZone: "z", MapPlace: "p", MapWire: "w"}


class MapIsRetired(ValidationError):
    """A map that is not used any more was to be changed."""

    def __init__(self, drawn: CircuitMap) -> None:
        super().__init__(
            f"The map “{drawn}” is not used any more. Take it up again to change it.", code="map_is_retired"
        )


@transaction.atomic
def make_map(*, by: Any, at: datetime, about: Mapping[str, Any], circuit: Circuit) -> CircuitMap:
    """Make a map of a whole circuit; `about` gives the title, the platform and the note."""
    drawn = CircuitMap(
        **about | {"lines": circuit.lines}, topology=circuit.topology, made_by=by.signs_as, made_at=at
    )
    drawn.full_clean()
    drawn.save()
    reading.keep(circuit, drawn)
    audit.record("make map", drawn, by=by, after=audit.values(drawn))
    return drawn


@transaction.atomic
def copy_map(drawn: CircuitMap, *, by: Any, at: datetime, about: Mapping[str, Any]) -> CircuitMap:
    """Make a map of the same circuit for another platform.

    Minutes, cautions and places are taken over. What was seen on one platform stands on the drawing only
    until it is seen on the other, and photos stay where they were taken.
    """
    copy = CircuitMap(**about, topology=drawn.topology, made_by=by.signs_as, made_at=at)
    copy.full_clean()
    copy.save()
    reading.keep(reading.circuit_of(drawn), copy)
    copy.places.filter(fitted=MapPlace.Fitted.VERIFIED).update(fitted=MapPlace.Fitted.ASSUMED)
    _copy_words(drawn, copy)
    MapTest.objects.bulk_create(
        MapTest(
            circuit_map=copy,
            key=test.key,
            minutes=test.minutes,
            caution=test.caution,
            is_offered=test.is_offered,
        )
        for test in drawn.tests.all()
    )
    audit.record("copy map", copy, by=by, after=audit.values(copy), reason=f"From map {drawn.pk}, {drawn}.")
    return copy


def _copy_words(drawn: CircuitMap, copy: CircuitMap) -> None:
    """Take over what the plain circuit does not carry: where a thing is, and the notes."""
    for model in (MapZone, MapPlace):
        names = [name for name in ("where", "note") if name in {field.name for field in model._meta.fields}]
        old = {row.key: row for row in model.objects.filter(circuit_map=drawn)}
        rows = list(model.objects.filter(circuit_map=copy))
        for row in rows:
            for name in names:
                setattr(row, name, getattr(old[row.key], name))
        model.objects.bulk_update(rows, names)


def change_map(drawn: CircuitMap, *, by: Any, at: datetime, changes: Mapping[str, Any]) -> CircuitMap:
    """Change the title, the platform or the note."""
    with drawing(drawn, by=by, at=at) as (locked, say):
        before = audit.values(locked, list(ABOUT))
        for name, value in changes.items():
            setattr(locked, name, value)
        locked.full_clean()
        locked.save()
        say("change map", *audit.difference(before, audit.values(locked, list(ABOUT))))
    return locked


@transaction.atomic
def set_state(drawn: CircuitMap, *, by: Any, at: datetime, state: str) -> CircuitMap:
    """Put a map out of use, or take it up again. Searches on it go on: they keep their problem."""
    locked = CircuitMap.objects.select_for_update().get(pk=drawn.pk)
    if locked.state == state:
        return locked
    before = {"state": locked.state}
    locked.state = state
    _is_changed(locked, by, at)
    locked.full_clean()
    locked.save()
    action = "retire map" if state == CircuitMap.State.RETIRED else "take map up again"
    audit.record(action, locked, by=by, before=before, after={"state": state})
    return locked


def keep_part(part: Part, *, by: Any, at: datetime) -> Part:
    """Keep a new or changed zone, place or wire; a new one gets its id from its name."""
    kind = type(part)
    with drawing(part.circuit_map, by=by, at=at) as (locked, say):
        before = _words(kind.objects.get(pk=part.pk)) if part.pk else None
        if part.pk is None:
            _number(part, locked)
        _refuse_strangers(part, locked)
        part.full_clean()
        part.save()
        after = _words(part)
        action = "change" if before else "add"
        was, now = audit.difference(before, after) if before else (None, after)
        say(f"{action} {WORDS[kind]}", was, now, str(part))
    return part


def add_branches(
    hub: MapPlace,
    names: Sequence[Named],
    *,
    by: Any,
    at: datetime,
    kind: str,
    is_removable: bool = False,
    zone: MapZone | None = None,
) -> list[MapPlace]:
    """Hang places on a hub, each with its wire, all or none. A zone that is named and new is made."""
    drawn = hub.circuit_map
    with drawing(drawn, by=by, at=at) as (locked, say):
        zones = {row.key: row for row in locked.zones.all()}
        added = []
        for named in names:
            fitted = MapPlace.Fitted.ASSUMED if named.is_assumed else MapPlace.Fitted.VERIFIED
            lies_in = _zone_of(named, locked, zones) or zone
            place = MapPlace(circuit_map=locked, label=named.name, kind=kind, zone=lies_in, fitted=fitted)
            wire = MapWire(circuit_map=locked, is_removable=is_removable)
            for part in (place, wire):
                _number(part, locked)
            place.full_clean()
            place.save()
            wire.start, wire.end = hub, place
            wire.full_clean()
            wire.save()
            added.append(place)
        names = ", ".join(map(str, added))
        say("add places", None, {place.key: _words(place) for place in added}, f"{names} at {hub}")
    return added


def remove_part(part: Part, *, by: Any, at: datetime, behind: Iterable[str] = ()) -> None:
    """Take a zone, place or wire off the map.

    Its wires go with a place, and with `behind` the places of these ids. What lies in a zone lies in the zone
    around it from then on.
    """
    kind = type(part)
    with drawing(part.circuit_map, by=by, at=at) as (locked, say):
        gone = {part.key: _words(part)}
        if kind is MapZone:
            for rows in (part.places, part.wires):
                rows.update(zone=part.inside)
            part.holds.update(inside=part.inside)
        others = locked.places.filter(key__in=list(behind)) if kind is MapPlace else MapPlace.objects.none()
        gone |= {place.key: _words(place) for place in others}
        name = str(part)
        others.delete()
        part.delete()
        say(f"remove {WORDS[kind]}", gone, {}, name)


def set_test(
    drawn: CircuitMap,
    *,
    by: Any,
    at: datetime,
    key: str,
    minutes: Decimal | None = None,
    caution: str = "",
    is_offered: bool = True,
) -> None:
    """Write down what the shop knows better about one test; a test like any other needs no row."""
    with drawing(drawn, by=by, at=at) as (locked, say):
        row = locked.tests.filter(key=key).first() or MapTest(circuit_map=locked, key=key)
        before = _of_test(row)
        if minutes != row.minutes:
            row.learned_count = 0
        row.minutes, row.caution, row.is_offered = minutes, caution.strip(), is_offered
        row.full_clean()
        if minutes is None and not row.caution and is_offered:
            if row.pk:
                row.delete()
        else:
            row.save()
        say("change test", *audit.difference(before, _of_test(row)), key)


def accept_test_minutes(
    drawn: CircuitMap, *, by: Any, at: datetime, key: str, minutes: Decimal, count: int
) -> None:
    """Plan with the minutes that a test really took here."""
    with drawing(drawn, by=by, at=at) as (locked, say):
        row = locked.tests.filter(key=key).first() or MapTest(circuit_map=locked, key=key)
        before = _of_test(row)
        row.minutes, row.learned_count = minutes, count
        row.full_clean()
        row.save()
        say("accept learned minutes", *audit.difference(before, _of_test(row)), key)


def accept_zone_minutes(zone: MapZone, *, by: Any, at: datetime, minutes: Decimal, count: int) -> None:
    """Plan with the minutes that opening a zone really took; the general value it started from is kept."""
    with drawing(zone.circuit_map, by=by, at=at) as (_, say):
        before = _words(zone)
        if zone.general_minutes is None:
            zone.general_minutes = zone.open_minutes
        zone.open_minutes, zone.learned_count = minutes, count
        zone.full_clean()
        zone.save()
        say("accept learned minutes", *audit.difference(before, _words(zone)), str(zone))


@contextmanager
def drawing(drawn: CircuitMap, *, by: Any, at: datetime) -> Iterator[tuple[CircuitMap, Any]]:
    """Give the map, locked, and a function that leaves the entry. Nothing said: nothing was changed."""
    with transaction.atomic():
        locked = CircuitMap.objects.select_for_update().get(pk=drawn.pk)
        if locked.state == CircuitMap.State.RETIRED:
            raise MapIsRetired(locked)

        def say(action: str, before: dict | None, after: dict, about: str = "") -> None:
            if before == after:
                return
            audit.record(action, locked, by=by, before=before, after=after, reason=about)
            _is_changed(locked, by, at)
            locked.save(update_fields=["version", "changed_by", "changed_at"])

        yield locked, say


def _is_changed(drawn: CircuitMap, by: Any, at: datetime) -> None:
    drawn.version += 1
    drawn.changed_by, drawn.changed_at = by.signs_as, at


def _number(part: Part, drawn: CircuitMap) -> None:
    """Give a new part its id and its place behind the others. Places and wires share their ids."""
    kind = type(part)
    rows = kind.objects.filter(circuit_map=drawn)
    last = rows.aggregate(last=Max("position"))["last"]
    part.position = 0 if last is None else last + 1
    shared = (MapZone,) if kind is MapZone else (MapPlace, MapWire)
    taken = [
        key for each in shared for key in each.objects.filter(circuit_map=drawn).values_list("key", flat=True)
    ]
    wanted = f"w{len(taken) + 1}" if kind is MapWire else slug(part.label, LETTERS[kind])[:LONGEST_SLUG]
    part.key = unused(wanted, taken)


def _zone_of(named: Named, drawn: CircuitMap, zones: dict[str, MapZone]) -> MapZone | None:
    """The zone that is written beside a name: one of the map, else a new one."""
    written = named.zone
    if written is None:
        return None
    known = next((row for row in zones.values() if str(row).casefold() == written.label.casefold()), None)
    if known:
        return known
    row = MapZone(
        circuit_map=drawn,
        label=written.label,
        open_minutes=Decimal(f"{written.open_minutes:g}"),
        close_minutes=Decimal(f"{written.close_minutes:g}"),
    )
    _number(row, drawn)
    row.full_clean()
    row.save()
    zones[row.key] = row
    return row


def _refuse_strangers(part: Part, drawn: CircuitMap) -> None:
    """Refuse a part of another map, and a zone that would lie inside itself."""
    named = [getattr(part, name, None) for name in ("zone", "inside", "start", "end")]
    if any(each and each.circuit_map_id != drawn.pk for each in named):
        raise ValidationError("Choose a part of this map.", code="of_another_map")
    if isinstance(part, MapZone):
        outer = part.inside
        while outer:
            if outer.pk == part.pk:
                raise ValidationError(
                    {"inside": "This zone would lie inside itself. Choose one that is opened before it."},
                    code="inside_itself",
                )
            outer = outer.inside


def _words(part: Part) -> dict[str, Any]:
    """The values of a part as they are read in the trail: other parts by their names."""
    return {
        name: str(value if (value := getattr(part, name)) is not None else "") for name in FIELDS[type(part)]
    }


def _of_test(row: MapTest) -> dict[str, Any]:
    minutes = "" if row.minutes is None else str(row.minutes)
    return {"minutes": minutes, "caution": row.caution, "is proposed": str(row.is_offered)}
