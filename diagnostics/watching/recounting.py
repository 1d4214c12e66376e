"""Counts everything anew: several processes read and compute, this one writes.

Safe to break off and to repeat: each span of vehicles is written in a transaction of its own, and only where
it differs. What people changed meanwhile is looked at again at the end.
"""

from __future__ import annotations

import multiprocessing
import os
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from datetime import datetime
from itertools import islice
from typing import NamedTuple

from django.db import IntegrityError, connection, transaction
from django.db.models import Count, Max, Q
from django.utils import timezone

from diagnostics.models import Recount, ReturnVisit, WatchedCheck, WatchedJob
from diagnostics.watching.comparing import Changes
from diagnostics.watching.refreshing import changes_of, refresh
from diagnostics.watching.writing import Written, write
from shared import beside
from shared.environment import SQLITE_MEMORY
from shared.models import AuditEntry
from shop.models import RepairOrder, Vehicle

# Each span is one transaction. Rows of one vehicle lie all over the indexes: longer spans write a page less
# often, and keep others who write waiting for longer.
ORDERS_A_SPAN = 5000
FEWEST_FOR_PROCESSES = 10_000  # Below this many orders, starting processes takes longer than they save.
SPANS_AHEAD = 2  # Each process has so many waiting; more would only fill memory.
MUCH_MEMORY = "PRAGMA mmap_size=2147418112; PRAGMA cache_size=-128000;"

Progress = Callable[[int, int], None]


class Span(NamedTuple):
    """Vehicles from one key to another, both included, and how many orders they have."""

    first: int
    last: int
    orders: int

    @property
    def chosen(self) -> Q:
        return Q(vehicle_id__gte=self.first, vehicle_id__lte=self.last)


def recount(
    *,
    at: datetime,
    asked_by: str = "",
    processes: int = 1,
    progress: Progress = lambda done, total: None,
) -> Written:
    """Count every vehicle anew. Return how many rows differed.

    Parameters
    ----------
    at : datetime
        Stands on the rows that are written.
    asked_by : str
        Who asked; empty for the work of the day.
    processes : int
        How many read and compute beside this one; 1 is this one alone.
    progress
        Called with the orders counted so far and the orders there are.
    """
    spans = list(_spans())
    total = sum(span.orders for span in spans)
    run = Recount.objects.create(asked_by=asked_by, started_at=timezone.now(), total=total)
    try:
        written = _count(run, spans, at=at, processes=processes, progress=progress)
    except BaseException as error:
        run.error = f"{type(error).__name__}: {error}"
        run.save(update_fields=["error"])
        raise
    run.finished_at = timezone.now()
    run.save(update_fields=["finished_at"])
    return written


def usual_processes() -> int:
    """Return how many processes to count with on this machine; one inside a process that may start none."""
    is_child = multiprocessing.current_process().daemon
    is_small = RepairOrder.objects.order_by()[:FEWEST_FOR_PROCESSES].count() < FEWEST_FOR_PROCESSES
    return 1 if is_child or is_small else os.cpu_count() or 1


def _count(run: Recount, spans: list[Span], *, at: datetime, processes: int, progress: Progress) -> Written:
    since = _last_entry()
    written = Written()
    with _much_memory():
        for span, changes in _computed(spans, processes):
            written += _write(span, changes, at)
            run.done += span.orders
            run.save(update_fields=["done"])
            progress(run.done, run.total)
    if written:
        _measure_tables()
    return written + refresh(_touched_since(since), at=at)


def _measure_tables() -> None:
    """Have the database look at what was written: by its measure it chooses the ways to read it."""
    with connection.cursor() as cursor:
        for model in (ReturnVisit, WatchedJob, WatchedCheck):
            cursor.execute(f"ANALYZE {connection.ops.quote_name(model._meta.db_table)}")


def _spans() -> Iterator[Span]:
    """Yield all vehicles that were here, in spans of about as many orders each."""
    counts = RepairOrder.objects.order_by("vehicle_id").values_list("vehicle_id").annotate(n=Count("pk"))
    first, orders = None, 0
    for vehicle, count in counts.iterator():
        first = vehicle if first is None else first
        orders += count
        if orders >= ORDERS_A_SPAN:
            yield Span(first, vehicle, orders)
            first, orders = None, 0
    if first is not None:
        yield Span(first, vehicle, orders)


def _computed(spans: list[Span], processes: int) -> Iterator[tuple[Span, Changes]]:
    if processes < 2:
        for span in spans:
            yield span, changes_of(span.chosen)
        return
    # Started afresh, not forked: a connection to the database must not be shared.
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(processes, mp_context=context, initializer=beside.start) as pool:
        remaining = iter(spans)
        waiting = deque(
            (span, pool.submit(changes_of, span.chosen))
            for span in islice(remaining, processes * SPANS_AHEAD)
        )
        while waiting:
            span, computed = waiting.popleft()
            waiting.extend((more, pool.submit(_apart, more.chosen)) for more in islice(remaining, 1))
            yield span, computed.result()


def _apart(chosen: Q) -> Changes:
    """Compute in a process of its own."""
    with _much_memory():
        return changes_of(chosen)


@contextmanager
def _much_memory() -> Iterator[None]:
    """Let this connection to SQLite hold whole indexes in memory meanwhile."""
    _tell_sqlite(MUCH_MEMORY)
    try:
        yield
    finally:
        _tell_sqlite(SQLITE_MEMORY)


def _tell_sqlite(pragmas: str) -> None:
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            for pragma in filter(None, map(str.strip, pragmas.split(";"))):
                cursor.execute(pragma)


def _write(span: Span, changes: Changes, at: datetime) -> Written:
    try:
        with transaction.atomic():
            return write(changes, at=at)
    except IntegrityError:  # Somebody wrote on these vehicles since they were read.
        return refresh(_vehicles(Vehicle.objects.filter(pk__range=(span.first, span.last))), at=at)


def _last_entry() -> int:
    return AuditEntry.objects.aggregate(last=Max("pk"))["last"] or 0


def _touched_since(entry: int) -> list[int]:
    """Return the vehicles of orders on which something was written after this entry of the trail."""
    numbers = (
        AuditEntry.objects.filter(pk__gt=entry).exclude(order_number="").order_by().values("order_number")
    )
    return _vehicles(Vehicle.objects.filter(orders__number__in=numbers).distinct())


def _vehicles(vehicles: Iterable[Vehicle]) -> list[int]:
    return list(vehicles.order_by("pk").values_list("pk", flat=True))
