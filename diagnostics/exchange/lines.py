"""One line of a job history as a frozen value, and back.

Reading is tolerant where practice.md section 4 is: a cited id may name nothing, an unknown
instrument is kept, dates may be in any order. It is strict about form: a line with a fault
gives no record, and `BadLine.faults` names every fault of it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import MISSING, dataclass, field, fields, replace
from datetime import date
from decimal import Decimal
from functools import cache
from types import NoneType
from typing import Any, TypeAlias, get_args, get_origin, get_type_hints
from zoneinfo import ZoneInfo

import simplejson
from fastjsonschema import JsonSchemaValueException

from diagnostics.exchange.decoding import Document, decode_line, doubts
from diagnostics.exchange.faults import BadLine, Fault
from diagnostics.exchange.form import (
    KINDS,
    LISTS_WITH_OWN_IDS,
    date_exists,
    fast_check,
    schema_faults,
    schema_of,
    time_zones,
)
from diagnostics.snapshot import Customer, Instrument, Location, Order, Vehicle
from shared.moments import Moment, read_moment, write_moment

MAX_FAULTS = 200  # Of one line; more of them help nobody and take long to name.

Record: TypeAlias = Location | Instrument | Vehicle | Order

_CLASSES: dict[str, type[Any]] = {
    "location": Location,
    "instrument": Instrument,
    "vehicle": Vehicle,
    "order": Order,
}
_ATTRIBUTES = {"from": "giver", "to": "receiver"}  # `from` is a keyword of Python.


@dataclass(frozen=True, slots=True)
class Known:
    """What earlier lines and the site say about the ids that an order refers to."""

    locations: Mapping[str, Location] = field(default_factory=dict)
    vehicles: Mapping[str, Vehicle] = field(default_factory=dict)
    home: Location = field(default_factory=lambda: Location(""))

    def location(self, id: str) -> Location:
        """Return the location of this id; one never heard of has the defaults of the form, none is home."""
        return (self.locations.get(id) or Location(id)) if id else self.home

    def vehicle(self, given: str | Vehicle) -> Vehicle:
        """Return the vehicle of an id or description; what is described wins over what was known."""
        if isinstance(given, str):
            return self.vehicles.get(given) or Vehicle(given)
        earlier = self.vehicles.get(given.id)
        if earlier is None:
            return given
        return replace(
            earlier, **{part.name: value for part in fields(Vehicle) if (value := getattr(given, part.name))}
        )


NOTHING_KNOWN = Known()


def read_line(line: bytes | str, known: Known = NOTHING_KNOWN) -> Record | None:
    """Return the record that one line of a job history holds, or None for a blank line.

    Parameters
    ----------
    line : bytes or str
        One JSON object of the exchange form, UTF-8; line end and byte order mark are skipped.
    known : Known
        Locations and vehicles by id. The time zone of an order's location decides on which
        calendar date something was done, so the location must be known before the order.

    Returns
    -------
    Location, Instrument, Vehicle or Order, or None
        Text as written, numbers as the decimals written, "not given" as `diagnostics.snapshot` says.

    Raises
    ------
    BadLine
        With all faults of the line, at most `MAX_FAULTS`.

    References
    ----------
    .. [1] diagnostics/exchange/job-history.schema.json. Read.
    .. [2] RFC 8259, The JavaScript Object Notation Data Interchange Format. From memory.
    """
    document = decode_line(line)
    return None if document is None else read_document(document, known)


def read_document(document: Document, known: Known = NOTHING_KNOWN) -> Record:
    """Return the record of a decoded line. See `read_line`."""
    kind = kind_of(document)
    if not document.doubtful:
        try:
            fast_check(kind)(document.root)
            return _read_record(kind, document.root, known)
        except (JsonSchemaValueException, ValueError):
            pass
    faults = _faults(document, kind)
    if faults:
        raise BadLine(faults)
    return _read_record(kind, document.root, known)


def kind_of(document: Document) -> str:
    """Return the record kind of a decoded line, or raise `BadLine`."""
    if not isinstance(document.root, dict):
        raise BadLine(
            [*_at_most(doubts(document)), Fault("", "is not an object", "one JSON object on a line")]
        )
    kind = document.root.get("record")
    if kind in KINDS:
        return str(kind)
    wrong = (
        "is missing"
        if kind is None
        else f"{simplejson.dumps(kind, default=str)[:60]} is not a kind of record"
    )
    raise BadLine(
        [*_at_most(doubts(document)), Fault("record", wrong, "location, instrument, vehicle or order")]
    )


def write_line(record: Record, *, vehicle_by_id: bool = False) -> str:
    """Return a record as the one canonical line, without line end.

    Keys stand in the order of the form; what has its default is left out; decimals keep
    their digits; date-times are local to the order's location, with offset.

    Parameters
    ----------
    record : Location, Instrument, Vehicle or Order
        What `read_line` gives.
    vehicle_by_id : bool
        Write only the id of an order's vehicle, because a vehicle line of its own tells the rest.

    Returns
    -------
    str
        `read_line` of it, with the order's location known, equals `record`.
    """
    form = _form(type(record).__name__.lower())
    if not isinstance(record, Order):
        return _dumps({"record": form.kind, **form.write(record, UTC_ZONE)})
    written = form.write(record, zone_of(record.location))
    if vehicle_by_id or written["vehicle"].keys() == {"id"}:
        written["vehicle"] = record.vehicle.id
    return _dumps({"record": form.kind, **written})


def _faults(document: Document, kind: str) -> list[Fault]:
    """All faults: those the schema cannot see first, then the schema's own on other fields."""
    faults = _at_most(doubts(document))
    if any(not fault.field for fault in faults):
        return faults
    doubted = {fault.field for fault in faults}
    faults += [fault for fault in _at_most(schema_faults(kind, document.root)) if fault.field not in doubted]
    return faults


def _at_most(faults: Iterable[Fault]) -> list[Fault]:
    return [fault for fault, _ in zip(faults, range(MAX_FAULTS), strict=False)]


def _dumps(written: dict[str, Any]) -> str:
    text: str = simplejson.dumps(written, use_decimal=True, ensure_ascii=False, separators=(",", ":"))
    return text


# Zones and moments

UTC_ZONE = ZoneInfo("UTC")
_AS_WRITTEN = ZoneInfo.no_cache("UTC")  # For records of no location: the date as it was written.


@cache
def _zone(name: str) -> ZoneInfo:
    return ZoneInfo(name)


def zone_of(location: Location) -> ZoneInfo:
    """Return the time zone of a location; one that names none keeps UTC."""
    return _zone(location.time_zone or "UTC")


def _read_moment(text: str, zone: ZoneInfo) -> Moment:
    if len(text) > 10 and not date_exists(text):
        raise ValueError(text)
    return read_moment(text, zone)


def _read_date(text: str, zone: ZoneInfo) -> date:
    moment = _read_moment(text, zone)
    return date.fromisoformat(text[:10]) if zone is _AS_WRITTEN else moment.on


# One table for reading and writing, made from the snapshot classes and the schema

Reader: TypeAlias = Callable[[Any, ZoneInfo], Any]


@dataclass(frozen=True, slots=True)
class _Field:
    key: str
    attribute: str
    read: Reader | None  # None: the value itself
    write: Reader | None
    default: Any  # MISSING for a field that is always written


@dataclass(frozen=True, slots=True)
class _Form:
    kind: str
    made: type[Any]
    by_key: dict[str, _Field]

    def read(self, value: dict[str, Any], zone: ZoneInfo, **given: Any) -> Any:
        for key, part in value.items():
            if part is not None:
                into = self.by_key[key]
                given[into.attribute] = part if into.read is None else into.read(part, zone)
        return self.made(**given)

    def write(self, record: Any, zone: ZoneInfo) -> dict[str, Any]:
        written = {}
        for key, part in self.by_key.items():
            value = getattr(record, part.attribute)
            if part.default is MISSING or value != part.default:
                written[key] = value if part.write is None else part.write(value, zone)
        return written


@cache
def _form(kind: str) -> _Form:
    return _make_form(kind, _CLASSES[kind], schema_of(kind))


def _make_form(kind: str, made: type[Any], schema: dict[str, Any]) -> _Form:
    hints = get_type_hints(made)
    defaults = {part.name: _default(part) for part in fields(made)}
    by_key = {}
    for key, part in schema["properties"].items():
        if key == "record":
            continue
        attribute = _ATTRIBUTES.get(key, key)
        default = MISSING if key in schema.get("required", ()) else defaults[attribute]
        by_key[key] = _Field(key, attribute, *_ways(key, hints[attribute], part), default)
    return _Form(kind, made, by_key)


def _default(part: Any) -> Any:
    return part.default if part.default_factory is MISSING else part.default_factory()


def _ways(key: str, hint: Any, schema: dict[str, Any]) -> tuple[Reader | None, Reader | None]:
    """Return how a value of this type is read and written."""
    if key == "location":
        return None, lambda location, zone: location.id
    plain = _without_none(hint)
    if get_origin(plain) is tuple:
        return _ways_of_list(key, get_args(plain)[0], schema["items"])
    if plain in (Vehicle, Customer) or plain.__module__ == Order.__module__:
        form = _make_form(key, plain, schema)
        return form.read, form.write
    return {
        str: (None, None),
        bool: (None, None),
        int: (lambda value, zone: int(value), None),
        Decimal: (lambda value, zone: Decimal(value), None),
        date: (_read_date, lambda value, zone: value.isoformat()),
        Moment: (_read_moment, write_moment),
    }[plain]


def _ways_of_list(key: str, item: Any, schema: dict[str, Any]) -> tuple[Reader, Reader]:
    if item is str:
        return (lambda values, zone: tuple(values)), (lambda values, zone: list(values))
    form = _make_form(key, item, schema)

    def read(values: list[Any], zone: ZoneInfo) -> tuple[Any, ...]:
        return tuple([form.read(value, zone) for value in values])

    def read_with_own_ids(values: list[Any], zone: ZoneInfo) -> tuple[Any, ...]:
        if len({value["id"] for value in values}) < len(values):
            raise ValueError(key)
        return read(values, zone)

    def write(values: tuple[Any, ...], zone: ZoneInfo) -> list[Any]:
        return [form.write(value, zone) for value in values]

    return (read_with_own_ids if key in LISTS_WITH_OWN_IDS else read), write


def _without_none(hint: Any) -> Any:
    choices = [choice for choice in get_args(hint) if choice is not NoneType]
    return choices[0] if NoneType in get_args(hint) else hint


# The four kinds


def _read_record(kind: str, record: dict[str, Any], known: Known) -> Record:
    form = _form(kind)
    given = {key: value for key, value in record.items() if key != "record"}
    if kind == "order":
        return _read_order(form, given, known)
    read: Record = form.read(given, _AS_WRITTEN)
    if isinstance(read, Location) and read.time_zone and read.time_zone not in time_zones():
        raise ValueError(read.time_zone)
    return read


def _read_order(form: _Form, given: dict[str, Any], known: Known) -> Order:
    location = known.location(given.pop("location", None) or "")
    vehicle: str | Vehicle | dict[str, Any] = given.pop("vehicle")
    zone = zone_of(location)
    if isinstance(vehicle, dict):
        vehicle = _read_vehicle(vehicle)
    order: Order = form.read(given, zone, location=location, vehicle=known.vehicle(vehicle))
    return order


def _read_vehicle(given: dict[str, Any]) -> Vehicle:
    read: Vehicle = _form("vehicle").read(given, _AS_WRITTEN)
    return read
