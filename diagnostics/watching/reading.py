"""Orders as the audit reads them: whole vehicles at a time, only what rules and comparisons ask for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from decimal import Decimal
from typing import Any, NamedTuple

from django.db.models import Q, QuerySet

from diagnostics import rows
from diagnostics.reading import in_unit, read_disturbed, read_odometers
from diagnostics.snapshot import Location, Order, Vehicle
from shared.moments import Moment
from shop.models import Complaint, RepairOrder
from shop.models import Location as LocationRow

_HEAD = (
    "pk",
    "location_id",
    "vehicle_id",
    "vehicle__code",
    "vehicle__year",
    "vehicle__left_on",
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
# Time, hand-offs, authorisations and parts bear on none of the rules that are asked.
_LISTS = (
    rows.TESTS,
    replace(rows.WORK, columns=rows.WORK_COLUMNS),
    *rows.FOR_COMPARISON,
    *(part for part in rows.OTHERS if part.name not in ("authorisations", "time", "handoffs")),
)


class Visit(NamedTuple):
    """One order with the keys of its rows."""

    pk: int
    location: int
    vehicle: int
    order: Order


def read_visits(chosen: Q) -> Iterator[Visit]:
    """Yield the orders chosen by vehicle, then by key. A constant number of queries."""
    orders = RepairOrder.objects.filter(chosen)
    pks = orders.order_by().values("pk")
    lists = {part.name: part.load(pks) for part in _LISTS}
    lists["complaints"] = _complaints(pks)
    lists["disturbed"] = read_disturbed(pks)
    odometers, locations = read_odometers(pks), _locations()
    for head in orders.order_by("vehicle_id", "pk").values_list(*_HEAD):
        pk, location = head[0], head[1]
        inside = {name: tuple(values[pk]) for name, values in lists.items() if pk in values}
        yield Visit(pk, location, head[2], _order(head, locations[location], odometers.get(pk, {}), inside))


def _complaints(orders: QuerySet[Any]) -> dict[int, list[Any]]:
    complaints = Complaint.objects.filter(order__in=orders).order_by().values("pk")
    inside = {part.name: part.load(complaints) for part in rows.INSIDE_COMPLAINT}
    return rows.COMPLAINTS.load(
        orders,
        **{name: _tuple_of(by_complaint) for name, by_complaint in inside.items()},
    )


def _tuple_of(by_complaint: dict[int, list[Any]]) -> Any:
    return lambda pk: tuple(by_complaint.get(pk, ()))


def _locations() -> dict[int, Location]:
    names = ("code", "name", "time_zone", "single_person", "window_days", "window_km")
    return {pk: Location(*row) for pk, *row in LocationRow.objects.order_by().values_list("pk", *names)}


def _order(
    head: tuple[Any, ...],
    location: Location,
    odometer: Mapping[str, tuple[Decimal, str]],
    inside: dict[str, Any],
) -> Order:
    (code, year, left_on, number, technician, visit, planned_ref, since_repair) = head[3:11]
    (opened_on, opened_at, returned_on, returned_at, odo_unit, outcome) = head[11:]
    return Order(
        id=number,
        vehicle=Vehicle(code, year=year, left_on=left_on),
        opened=Moment(opened_on, opened_at),
        location=location,
        technician=technician,
        visit=visit,
        planned_ref=planned_ref,
        since_repair=since_repair,
        returned=None if returned_on is None else Moment(returned_on, returned_at),
        odo_in=in_unit(odometer.get("in"), odo_unit),
        odo_out=in_unit(odometer.get("out"), odo_unit),
        odo_unit=odo_unit,
        outcome=outcome or None,
        **inside,
    )
