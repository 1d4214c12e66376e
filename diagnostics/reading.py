"""From database rows to snapshots: what rules, comebacks, papers and exchange work on."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from decimal import Decimal
from itertools import islice
from typing import Any

from django.db.models import QuerySet

from diagnostics import rows
from diagnostics.models import Instrument, InstrumentRange
from diagnostics.snapshot import KM_PER_MILE, Charges, Customer, Location, Order, Vehicle
from diagnostics.snapshot import Instrument as InstrumentSnapshot
from diagnostics.snapshot import InstrumentRange as RangeSnapshot
from shared.moments import Moment
from shop.models import DisturbedComponent, OdometerReading, RepairOrder
from shop.models import Location as LocationRow
from shop.models import Vehicle as VehicleRow

ORDERS_A_CHUNK = 200

_LOCATION = ("code", "name", "time_zone", "single_person", "window_days", "window_km")
_VEHICLE = ("code", "vin", "plate", "year", "make", "model", "engine", "left_on")
_CUSTOMER = ("code", "name", "phone", "email")
_CHARGES = ("currency", "labour_charge", "parts_charge", "total_charge", "unbilled_minutes")
_ORDER = (
    "number",
    "technician",
    "visit",
    "planned_ref",
    "since_repair",
    "opened_on",
    "opened_at",
    "returned_on",
    "returned_at",
    "odo_unit",
    "outcome",
)
_INSTRUMENT = ("code", "kind", "cal_required", "cal_due", "withdrawn_on", "accuracy", "accuracy_text")
_RANGE = ("unit", "low", "high", "resolution", "accuracy_text")


def read_orders(orders: QuerySet[RepairOrder], *, chunk: int = ORDERS_A_CHUNK) -> Iterator[Order]:
    """Yield the orders of a queryset, whole, in its order. A constant number of queries a chunk."""
    keys = iter(list(orders.values_list("pk", flat=True)))
    while pks := list(islice(keys, chunk)):
        yield from _read_chunk(pks)


def read_order(pk: int) -> Order:
    """Return one order, whole.

    Raises
    ------
    RepairOrder.DoesNotExist
        If there is none of this key.
    """
    for order in read_orders(RepairOrder.objects.filter(pk=pk)):
        return order
    raise RepairOrder.DoesNotExist(f"There is no order with the key {pk}.")


def read_instruments() -> dict[str, InstrumentSnapshot]:
    """Return the shop's instruments by id, each with its ranges. Two queries."""
    ranges: dict[str, list[RangeSnapshot]] = defaultdict(list)
    for code, *row in InstrumentRange.objects.order_by("pk").values_list("instrument__code", *_RANGE):
        ranges[code].append(RangeSnapshot(*row))
    rows_of_list = Instrument.objects.order_by("pk").values_list(*_INSTRUMENT)
    return {row[0]: InstrumentSnapshot(*row, tuple(ranges.get(row[0], ()))) for row in rows_of_list}


def read_locations() -> dict[str, Location]:
    """Return the shops by id."""
    return {row[0]: Location(*row) for row in LocationRow.objects.order_by("pk").values_list(*_LOCATION)}


def read_vehicles(vehicles: QuerySet[VehicleRow]) -> Iterator[Vehicle]:
    """Yield the vehicles of a queryset, in its order."""
    for row in vehicles.values_list(*_VEHICLE).iterator(chunk_size=2000):
        yield Vehicle(*row)


def _read_chunk(pks: list[int]) -> Iterator[Order]:
    lists = _all_lists(pks)
    odometers = read_odometers(pks)
    heads = {
        row[0]: row
        for row in RepairOrder.objects.filter(pk__in=pks)
        .order_by()
        .values_list(
            "pk",
            *_ORDER,
            *_CHARGES,
            *[f"vehicle__{name}" for name in _VEHICLE],
            *[f"location__{name}" for name in _LOCATION],
            *[f"customer__{name}" for name in _CUSTOMER],
        )
    }
    for pk in pks:
        if pk in heads:
            inside = {name: tuple(values[pk]) for name, values in lists.items() if pk in values}
            yield _order(heads[pk], odometers.get(pk, {}), inside)


def _order(head: tuple[Any, ...], odometer: dict[str, tuple[Decimal, str]], inside: dict[str, Any]) -> Order:
    parts = iter(head[1:])
    (number, technician, visit, planned_ref, since_repair, opened_on, opened_at, returned_on, returned_at) = (
        islice(parts, 9)
    )
    odo_unit, outcome = islice(parts, 2)
    charges = Charges(*islice(parts, len(_CHARGES)))
    vehicle = Vehicle(*islice(parts, len(_VEHICLE)))
    location = Location(*islice(parts, len(_LOCATION)))
    customer = tuple(parts)
    return Order(
        id=number,
        vehicle=vehicle,
        opened=Moment(opened_on, opened_at),
        location=location,
        customer=None if customer[0] is None else Customer(*customer),
        technician=technician,
        visit=visit,
        planned_ref=planned_ref,
        since_repair=since_repair,
        returned=None if returned_on is None else Moment(returned_on, returned_at),
        odo_in=in_unit(odometer.get("in"), odo_unit),
        odo_out=in_unit(odometer.get("out"), odo_unit),
        odo_unit=odo_unit,
        outcome=outcome or None,
        charges=None if charges == Charges() else charges,
        **inside,
    )


def _all_lists(pks: list[int]) -> dict[str, dict[int, list[Any]]]:
    complaint_pks = rows.COMPLAINTS.keys(pks).values()
    inside = {part.name: part.load(complaint_pks) for part in rows.INSIDE_COMPLAINT}
    found = {
        "complaints": rows.COMPLAINTS.load(
            pks, **{name: _tuple_of(by_complaint) for name, by_complaint in inside.items()}
        ),
        "disturbed": read_disturbed(pks),
    }
    for part in (rows.TESTS, rows.WORK, *rows.FOR_COMPARISON, *rows.OTHERS):
        found[part.name] = part.load(pks)
    return found


def _tuple_of(by_complaint: dict[int, list[Any]]) -> Any:
    return lambda pk: tuple(by_complaint.get(pk, ()))


def read_disturbed(pks: rows.Parents) -> dict[int, list[str]]:
    """Return the components taken off or moved, by order."""
    found: dict[int, list[str]] = defaultdict(list)
    for pk, component in (
        DisturbedComponent.objects.filter(order_id__in=pks)
        .order_by("order_id", "position", "pk")
        .values_list("order_id", "component")
    ):
        found[pk].append(component)
    return found


def read_odometers(pks: rows.Parents) -> dict[int, dict[str, tuple[Decimal, str]]]:
    """Return value and unit of the odometer by order, then by moment: "in" or "out"."""
    found: dict[int, dict[str, tuple[Decimal, str]]] = defaultdict(dict)
    for pk, moment, value, unit in OdometerReading.objects.filter(order_id__in=pks).values_list(
        "order_id", "moment", "value", "unit"
    ):
        found[pk][moment] = (value, unit)
    return found


def in_unit(reading: tuple[Decimal, str] | None, unit: str) -> Decimal | None:
    """Return a reading in the unit of its order."""
    if reading is None:
        return None
    value, read_in = reading
    if read_in == unit:
        return value
    return value * KM_PER_MILE if unit == "km" else value / KM_PER_MILE
