"""Writes a batch of orders as rows: an order that is there already has its content replaced."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, fields, replace
from datetime import datetime
from typing import Any

from django.db import DatabaseError, transaction
from django.db.models import ProtectedError

from diagnostics import rows
from diagnostics.exchange.faults import LINE, BadLine, Fault
from diagnostics.exchange.fleet import Fleet
from diagnostics.exchange.inserting import insert_rows
from diagnostics.exchange.lines import write_line
from diagnostics.models import Instrument, TestRun
from diagnostics.reading import read_orders
from diagnostics.snapshot import Charges, Order, Vehicle
from shared.models import AuditEntry
from shop.models import Customer, DisturbedComponent, Location, OdometerReading, RepairOrder

_INSIDE_ORDER = (rows.COMPLAINTS, rows.TESTS, rows.WORK, *rows.FOR_COMPARISON, *rows.OTHERS)
_REPLACED = (
    "location",
    "vehicle",
    "customer",
    "technician",
    "visit",
    "planned_ref",
    "since_repair",
    "opened_on",
    "opened_at",
    "returned_on",
    "returned_at",
    "waiting_on",
    "waiting_since",
    "waiting_note",
    "odo_unit",
    "outcome",
    "currency",
    "labour_charge",
    "parts_charge",
    "total_charge",
    "unbilled_minutes",
    "content_hash",
)


@dataclass(frozen=True, slots=True)
class Taken:
    """A good order line: where it stands in the file, and its order as written there."""

    line: int
    order: Order

    @property
    def content_hash(self) -> str:
        return hashlib.sha256(write_line(self.order).encode()).hexdigest()


@dataclass(slots=True)
class Saved:
    """What became of a batch."""

    created: int = 0
    updated: int = 0
    unchanged: int = 0
    vehicle_pks: frozenset[int] = frozenset()
    refused: tuple[tuple[Taken, BadLine], ...] = ()

    def __add__(self, other: Saved) -> Saved:
        return Saved(
            self.created + other.created,
            self.updated + other.updated,
            self.unchanged + other.unchanged,
            self.vehicle_pks | other.vehicle_pks,
            (*self.refused, *other.refused),
        )


def save_orders(batch: Sequence[Taken], fleet: Fleet, *, by: str, at: datetime) -> Saved:
    """Keep the orders of a batch in one transaction, or one by one if the database refuses one of them."""
    try:
        with transaction.atomic():
            return _save(batch, fleet, by=by, at=at)
    except (DatabaseError, ProtectedError) as error:
        if len(batch) == 1:
            reason = str(error).splitlines()[0][:200]
            fault = Fault(LINE, f"could not be kept: {reason}", "an order that the site's tables can hold")
            return Saved(refused=((batch[0], BadLine([fault])),))
    saved = Saved()
    for taken in batch:
        saved += save_orders([taken], fleet, by=by, at=at)
    return saved


def _save(batch: Sequence[Taken], fleet: Fleet, *, by: str, at: datetime) -> Saved:
    found = RepairOrder.objects.filter(number__in=[taken.order.id for taken in batch])
    stored = {row.number: row for row in found.select_related(None)}
    hashes = {taken.order.id: taken.content_hash for taken in batch}
    differing = [
        taken
        for taken in batch
        if taken.order.id not in stored or stored[taken.order.id].content_hash != hashes[taken.order.id]
    ]
    differing = list(_without_same_content(differing, stored))
    refused = list(_worked_on_here(differing, stored))
    left_alone = {taken.line for taken, _ in refused}
    kept = _matched([taken for taken in differing if taken.line not in left_alone], fleet, refused)
    fleet.save()
    before = frozenset(stored[taken.order.id].vehicle_id for taken, _ in kept if taken.order.id in stored)
    written = _write_orders(kept, stored, hashes)
    _write_content([(row, taken.order) for row, (taken, _) in zip(written, kept, strict=True)])
    _keep_trail(written, stored, by=by, at=at)
    updated = sum(taken.order.id in stored for taken, _ in kept)
    return Saved(
        created=len(kept) - updated,
        updated=updated,
        unchanged=len(batch) - len(kept) - len(refused),
        vehicle_pks=before | {row.vehicle_id for row in written},
        refused=tuple(refused),
    )


# What need not, or may not, be written


def _without_same_content(batch: Sequence[Taken], stored: dict[str, RepairOrder]) -> Iterator[Taken]:
    """Leave out orders whose rows already say what the line says, whoever wrote them."""
    pks = [stored[taken.order.id].pk for taken in batch if taken.order.id in stored]
    on_record = (
        {order.id: order for order in read_orders(RepairOrder.objects.filter(pk__in=pks))} if pks else {}
    )
    for taken in batch:
        same = on_record.get(taken.order.id)
        if same is None or not _says_the_same(taken.order, same):
            yield taken


def _says_the_same(given: Order, on_record: Order) -> bool:
    described = {
        part.name: value
        for part in fields(Vehicle)
        if (value := getattr(given.vehicle, part.name)) not in ("", None)
    }
    if replace(on_record.vehicle, **described) != on_record.vehicle:
        return False
    if replace(given, vehicle=on_record.vehicle) != on_record:  # Sees a date that another zone moved.
        return False
    return write_line(given, vehicle_by_id=True) == write_line(on_record, vehicle_by_id=True)  # Sees digits.


def _worked_on_here(
    batch: Sequence[Taken], stored: dict[str, RepairOrder]
) -> Iterator[tuple[Taken, BadLine]]:
    pks = [stored[taken.order.id].pk for taken in batch if taken.order.id in stored]
    signed = set(
        TestRun.objects.filter(order_id__in=pks, signed_at__isnull=False).values_list("order_id", flat=True)
    )
    for taken in batch:
        if taken.order.id in stored and stored[taken.order.id].pk in signed:
            fault = Fault(
                "tests",
                "differ from the order on record, whose readings were signed here",
                "an order without signed readings; enter the change on its job page",
            )
            yield taken, BadLine([fault])


def _matched(
    batch: Sequence[Taken], fleet: Fleet, refused: list[tuple[Taken, BadLine]]
) -> list[tuple[Taken, Any]]:
    fleet.load(taken.order.vehicle for taken in batch)
    kept = []
    for taken in batch:
        try:
            kept.append((taken, fleet.match(taken.order.vehicle, field="vehicle")))
        except BadLine as fault:
            refused.append((taken, fault))
    return kept


# The order's own row


def _write_orders(
    kept: Sequence[tuple[Taken, Any]], stored: dict[str, RepairOrder], hashes: dict[str, str]
) -> list[RepairOrder]:
    locations = _locations(taken.order.location.id for taken, _ in kept)
    customers = _customers(taken.order for taken, _ in kept)
    written = []
    for taken, vehicle in kept:
        order = taken.order
        row = stored.get(order.id) or RepairOrder(number=order.id)
        _fill(row, order)
        row.vehicle = vehicle
        row.location_id = locations[order.location.id]
        row.customer_id = customers[order.customer.id] if order.customer else None
        row.content_hash = hashes[order.id]
        written.append(row)
    RepairOrder.objects.bulk_create([row for row in written if row.number not in stored])
    RepairOrder.objects.bulk_create(
        [row for row in written if row.number in stored],
        update_conflicts=True,
        unique_fields=["id"],
        update_fields=list(_REPLACED),
    )
    _clear([row.pk for row in written if row.number in stored])
    return written


def _fill(row: RepairOrder, order: Order) -> None:
    for name in ("technician", "visit", "planned_ref", "since_repair", "opened", "returned", "odo_unit"):
        setattr(row, name, getattr(order, name))
    row.outcome = order.outcome or ""
    if order.returned:
        row.waiting_on, row.waiting_since, row.waiting_note = "", None, ""
    charges = order.charges or Charges()
    row.currency = charges.currency
    row.labour_charge, row.parts_charge, row.total_charge = charges.labour, charges.parts, charges.total
    row.unbilled_minutes = charges.unbilled_minutes


def _clear(order_pks: Sequence[int]) -> None:
    if order_pks:
        for inside in _INSIDE_ORDER:
            inside.model.objects.filter(order_id__in=order_pks).delete()
        DisturbedComponent.objects.filter(order_id__in=order_pks).delete()
        OdometerReading.objects.filter(order_id__in=order_pks, moment__in=["in", "out"]).delete()


def _locations(ids: Iterable[str]) -> dict[str, int]:
    """Return the keys of locations by id; one never heard of is added with the defaults."""
    wanted = dict.fromkeys(ids)
    found = dict(Location.objects.filter(code__in=wanted).values_list("code", "pk"))
    new = Location.objects.bulk_create([Location(code=id) for id in wanted if id not in found])
    return {**found, **{row.code: row.pk for row in new}}


def _customers(orders: Iterable[Order]) -> dict[str, int]:
    """Return the keys of customers by id; what a line leaves out stays as it is on record."""
    given = [order.customer for order in orders if order.customer]
    found = Customer.objects.filter(code__in={customer.id for customer in given})
    by_code = {row.code: row for row in found}
    changed: dict[str, Customer] = {}
    for customer in given:
        row = by_code.get(customer.id)
        if row is None:
            row = by_code[customer.id] = changed[customer.id] = Customer(code=customer.id)
        for name in ("name", "phone", "email"):
            value = getattr(customer, name)
            if value and value != getattr(row, name):
                setattr(row, name, value)
                changed[customer.id] = row
    new = [row for row in changed.values() if row.pk is None]
    known = [row for row in changed.values() if row.pk is not None]
    Customer.objects.bulk_create(new)
    Customer.objects.bulk_update(known, ["name", "phone", "email"], batch_size=100)
    return {code: row.pk for code, row in by_code.items()}


# What is inside the order


def _write_content(written: Sequence[tuple[RepairOrder, Order]]) -> None:
    orders = [(row.pk, order) for row, order in written]
    for part in (rows.COMPLAINTS, rows.WORK, *rows.FOR_COMPARISON, *rows.OTHERS):
        _write_list(part, orders)
    complaints = list(_with_keys(rows.COMPLAINTS, orders))
    for part in rows.INSIDE_COMPLAINT:
        _write_list(part, complaints)
    parts = ((pk, work.part) for pk, work in _with_keys(rows.WORK, orders) if work.part)
    insert_rows(
        rows.PARTS.model,
        ["work_id", *rows.PARTS.written_columns],
        ([pk, *rows.PARTS.written(part)] for pk, part in parts),
    )
    _write_tests(orders)
    insert_rows(
        DisturbedComponent,
        ["order_id", "position", "component"],
        ([pk, place, text] for pk, order in orders for place, text in enumerate(order.disturbed)),
    )
    insert_rows(
        OdometerReading,
        ["vehicle_id", "order_id", "moment", "value", "unit", "read_on"],
        (reading for row, order in written for reading in _odometer_readings(row, order)),
    )


def _write_list(part: rows.Rows, parents: Sequence[tuple[int, Any]]) -> None:
    """Write one list of each parent, an order or a complaint given with its key."""
    insert_rows(
        part.model,
        [f"{part.parent}_id", "position", *part.written_columns],
        (
            [pk, place, *part.written(value)]
            for pk, parent in parents
            for place, value in enumerate(getattr(parent, part.name))
        ),
    )


def _with_keys(part: rows.Rows, orders: Sequence[tuple[int, Order]]) -> Iterator[tuple[int, Any]]:
    keys = part.keys(pk for pk, _ in orders)
    for pk, order in orders:
        for place, value in enumerate(getattr(order, part.name)):
            yield keys[pk, place], value


def _write_tests(orders: Sequence[tuple[int, Order]]) -> None:
    named = {test.instrument for _, order in orders for test in order.tests if test.instrument}
    instruments = dict(Instrument.objects.filter(code__in=named).values_list("code", "pk"))
    insert_rows(
        TestRun,
        ["order_id", "position", "instrument_id", *rows.TESTS.written_columns],
        (
            [pk, place, instruments.get(test.instrument), *rows.TESTS.written(test)]
            for pk, order in orders
            for place, test in enumerate(order.tests)
        ),
    )


def _odometer_readings(row: RepairOrder, order: Order) -> Iterator[list[Any]]:
    if order.odo_in is not None:
        yield [row.vehicle_id, row.pk, "in", order.odo_in, order.odo_unit, order.opened.on]
    if order.odo_out is not None:
        read_on = (order.returned or order.opened).on
        yield [row.vehicle_id, row.pk, "out", order.odo_out, order.odo_unit, read_on]


def _keep_trail(
    written: Iterable[RepairOrder], stored: dict[str, RepairOrder], *, by: str, at: datetime
) -> None:
    insert_rows(
        AuditEntry,
        ["at", "actor_name", "action", "record", "record_id", "order_number", "after"],
        (
            [
                at,
                by,
                "replace from file" if row.number in stored else "import",
                RepairOrder._meta.label,
                str(row.pk),
                row.number,
                {"content_hash": row.content_hash},
            ]
            for row in written
        ),
    )
