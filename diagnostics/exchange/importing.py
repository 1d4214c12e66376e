"""Takes a job history into the site: good lines are kept, each bad one is reported with its reasons.

The file is read twice. The first pass takes locations, instruments and vehicles, wherever they
stand, because the zone of a location decides on which date an order's readings fall. The
second takes the orders, in batches of one transaction each.
"""

from __future__ import annotations

import re
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, BinaryIO

from django.db import transaction

from diagnostics import watching
from diagnostics.exchange.decoding import MAX_LINE_BYTES, Document, decode_line, too_long
from diagnostics.exchange.faults import BadLine, Fault, shown
from diagnostics.exchange.fleet import Fleet
from diagnostics.exchange.lines import Known, read_document, read_line
from diagnostics.exchange.odometers import mark_backwards
from diagnostics.exchange.saving import Saved, Taken, save_orders
from diagnostics.models import Instrument, TestRun
from diagnostics.reading import read_locations
from diagnostics.similar.indexing import index_vehicles
from diagnostics.snapshot import Instrument as InstrumentSnapshot
from diagnostics.snapshot import Location, Order, Vehicle
from shared import memory
from shop.models import Location as LocationRow

HOME = "main"  # The id of the shop that is made for orders of no known shop.
ORDERS_A_BATCH = 200
BYTES_A_BATCH = 4_000_000  # Long lines make a smaller batch, so that memory stays level.
VEHICLES_A_BATCH = 200

_ORDER_LINE = re.compile(rb'"record"\s*:\s*"order"')


@dataclass(frozen=True, slots=True)
class Refusal:
    """One fault of one refused line; `id` is the id that the line gives, if it can be read."""

    line: int
    id: str
    fault: Fault

    def __str__(self) -> str:
        return f"line {self.line}{f', id {shown(self.id)}' if self.id else ''}: {self.fault}"


@dataclass(slots=True)
class Summary:
    """What an import did. Counts are orders, except `lines` and `refused`, which are lines."""

    lines: int = 0
    created: int = 0
    updated: int = 0
    unchanged: int = 0
    refused: int = 0
    locations: int = 0
    instruments: int = 0
    vehicles: int = 0
    kept: bool = True
    seconds: float = 0.0
    peak_memory_mb: float = 0.0

    @property
    def lines_per_second(self) -> float:
        return self.lines / self.seconds if self.seconds else 0.0


@dataclass(slots=True)
class _Run:
    """The state of one import."""

    by: str
    at: datetime
    report: Callable[[Refusal], None]
    progress: Callable[[int, int], None]
    summary: Summary = field(default_factory=Summary)
    fleet: Fleet = field(default_factory=Fleet)
    conflicts: dict[int, BadLine] = field(default_factory=dict)
    line_by_order: dict[str, int] = field(default_factory=dict)
    vehicle_pks: set[int] = field(default_factory=set)
    policy_changed: bool = False  # of a location or an instrument that was on record

    def refuse(self, line: int, id: str, bad: BadLine) -> None:
        self.summary.refused += 1
        for fault in bad.faults:
            self.report(Refusal(line, id, fault))


def import_jobs(
    stream: BinaryIO,
    *,
    by: str,
    at: datetime,
    report: Callable[[Refusal], None],
    progress: Callable[[int, int], None] = lambda lines, position: None,
    dry_run: bool = False,
    all_or_nothing: bool = False,
) -> Summary:
    """Take a job history into the site.

    Safe to run twice: an order that is on record with the same content is not touched, one
    with other content is replaced, none is doubled. Comebacks of the vehicles concerned are
    computed anew at the end.

    Parameters
    ----------
    stream : BinaryIO
        The file; it must be able to go back to its start.
    by, at
        Who takes the history in, for the audit trail, and when.
    report
        Called with each fault of each refused line, in the order of the lines of a batch.
    progress
        Called now and then with the number of lines read and the position in the file.
    dry_run
        Look only: the site is as before.
    all_or_nothing
        Keep nothing if one line is refused.
    """
    started = time.monotonic()
    run = _Run(by, at, report, progress)
    if dry_run or all_or_nothing:
        with transaction.atomic():
            _both_passes(stream, run)
            if dry_run or run.summary.refused:
                run.summary.kept = False
                transaction.set_rollback(True)
    else:
        _both_passes(stream, run)
    if run.summary.kept:
        mark_backwards(run.vehicle_pks)
        watching.refresh(sorted(run.vehicle_pks | run.fleet.changed_pks), at=at)
        if run.policy_changed:  # Vehicles that are not in the file are judged by it too.
            watching.ask_recount(at=at)
        index_vehicles(run.vehicle_pks, at=at)
    run.summary.seconds = time.monotonic() - started
    run.summary.peak_memory_mb = memory.peak_mb()
    return run.summary


def _both_passes(stream: BinaryIO, run: _Run) -> None:
    _take_lists(stream, run)
    stream.seek(0)
    _take_orders(stream, run)


def _lines(stream: BinaryIO) -> Iterator[tuple[int, bytes | None]]:
    """Yield each line with its number; None for one that is too long, which is never held whole."""
    number = 0
    while line := stream.readline(MAX_LINE_BYTES + 2):
        number += 1
        if len(line.rstrip(b"\r\n")) <= MAX_LINE_BYTES:
            yield number, line
            continue
        while line and not line.endswith(b"\n"):
            line = stream.readline(MAX_LINE_BYTES)
        yield number, None


# First pass: locations, instruments, vehicles


def _take_lists(stream: BinaryIO, run: _Run) -> None:
    vehicles: list[tuple[int, Vehicle]] = []
    for number, line in _lines(stream):
        if line is None or _ORDER_LINE.search(line):
            continue
        try:
            record = read_line(line)
        except BadLine:
            continue  # The second pass reports it, in the order of the file.
        if isinstance(record, Location):
            run.policy_changed |= _save_location(record)
            run.summary.locations += 1
        elif isinstance(record, InstrumentSnapshot):
            run.policy_changed |= _save_instrument(record)
            run.summary.instruments += 1
        elif isinstance(record, Vehicle):
            vehicles.append((number, record))
            if len(vehicles) == VEHICLES_A_BATCH:
                _save_vehicles(vehicles, run)
                vehicles = []
    _save_vehicles(vehicles, run)


def _save_location(location: Location) -> bool:
    """Save a location. Return whether one on record was changed."""
    row = LocationRow.objects.filter(code=location.id).first() or LocationRow(code=location.id)
    given: dict[str, Any] = {
        "name": location.name or row.name,
        "time_zone": location.time_zone or "UTC",
        "single_person": location.single_person,
        "window_days": location.window_days,
        "window_km": location.window_km,
    }
    return _save_if_changed(row, given)


def _save_instrument(instrument: InstrumentSnapshot) -> bool:
    """Save an instrument. Return whether one on record was changed."""
    row = Instrument.objects.filter(code=instrument.id).first() or Instrument(code=instrument.id)
    names = ("kind", "cal_required", "cal_due", "withdrawn_on", "accuracy", "accuracy_text")
    is_new = row.pk is None
    is_changed = _save_if_changed(row, {name: getattr(instrument, name) for name in names})
    if is_new:
        TestRun.objects.filter(instrument=None, instrument_ref=row.code).update(instrument=row)
    return is_changed


def _save_if_changed(row: Any, given: dict[str, Any]) -> bool:
    is_new = row.pk is None
    if not is_new and all(str(getattr(row, name)) == str(value) for name, value in given.items()):
        return False
    for name, value in given.items():
        setattr(row, name, value)
    row.save()
    return not is_new


def _save_vehicles(vehicles: list[tuple[int, Vehicle]], run: _Run) -> None:
    with transaction.atomic():
        run.fleet.load(vehicle for _, vehicle in vehicles)
        for number, vehicle in vehicles:
            try:
                run.fleet.match(vehicle, field="")
                run.summary.vehicles += 1
            except BadLine as bad:
                run.conflicts[number] = bad
        run.fleet.save()


# Second pass: orders, and the faults of all lines


def _take_orders(stream: BinaryIO, run: _Run) -> None:
    known = _known(run)
    batch: list[Taken] = []
    size = 0
    for number, line in _lines(stream):
        taken = _take_line(number, line, known, run)
        if taken:
            batch.append(taken)
            size += len(line or b"")
        if len(batch) == ORDERS_A_BATCH or size > BYTES_A_BATCH:
            _save_batch(batch, run)
            run.progress(run.summary.lines, stream.tell())
            batch, size = [], 0
    _save_batch(batch, run)
    run.progress(run.summary.lines, stream.tell())


def _known(run: _Run) -> Known:
    """Every location on record, and where an order belongs that names none.

    A history that names no location at all belongs to the one shop of the site. Beside orders that
    name theirs, one without is of no known shop: it gets the defaults of the form.
    """
    locations = read_locations()
    home = locations.get(HOME, Location(HOME))
    if run.summary.locations == 0 and len(locations) == 1:
        (home,) = locations.values()
    return Known(locations, home=home)


def _take_line(number: int, line: bytes | None, known: Known, run: _Run) -> Taken | None:
    """Return the order of a line; report what is wrong with it."""
    document = None
    try:
        if line is None:
            run.summary.lines += 1
            raise BadLine([too_long()])
        document = _decoded(line, run)
        if document is None:
            return None
        if number in run.conflicts:
            raise run.conflicts[number]
        record = read_document(document, known)
        if not isinstance(record, Order):
            return None
        _claim_id(record.id, number, run)
        return Taken(number, record)
    except BadLine as bad:
        run.refuse(number, _id_of(document), bad)
        return None


def _decoded(line: bytes, run: _Run) -> Document | None:
    try:
        document = decode_line(line)
    except BadLine:
        run.summary.lines += 1
        raise
    run.summary.lines += document is not None
    return document


def _claim_id(id: str, number: int, run: _Run) -> None:
    earlier = run.line_by_order.setdefault(id, number)
    if earlier != number:
        wrong = f"{shown(id)} is already the order of line {earlier}"
        raise BadLine([Fault("id", wrong, "an order number used once in the file")])


def _id_of(document: Document | None) -> str:
    root = document.root if document else None
    id = root.get("id") if isinstance(root, dict) else None
    return id[:64] if isinstance(id, str) else ""


def _save_batch(batch: list[Taken], run: _Run) -> None:
    if not batch:
        return
    saved: Saved = save_orders(batch, run.fleet, by=run.by, at=run.at)
    run.summary.created += saved.created
    run.summary.updated += saved.updated
    run.summary.unchanged += saved.unchanged
    run.vehicle_pks |= saved.vehicle_pks
    for taken, bad in saved.refused:
        run.line_by_order.pop(taken.order.id, None)
        run.refuse(taken.line, taken.order.id, bad)
