"""Keeps what the owner's audit counts: pairs of visits, watched jobs, and what each was asked for.

Everything here is computed from the orders of one vehicle at a time and written where it differs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from datetime import datetime
from itertools import islice

from django.db import transaction
from django.db.models import Q

from diagnostics.watching.computing import compute
from diagnostics.watching.writing import Written, mark_stale, write
from shop.models import Vehicle

__all__ = ["Written", "mark_stale", "recount", "refresh"]

VEHICLES_A_BATCH = 200


def refresh(vehicle_ids: Iterable[int], *, at: datetime) -> Written:
    """Compute these vehicles anew, and write what differs. Inside a transaction it joins that."""
    written = Written()
    for batch in _batches(vehicle_ids):
        chosen = Q(vehicle_id__in=batch)
        with transaction.atomic():
            written += write(compute(chosen), chosen, at=at)
    return written


def recount(*, at: datetime, progress: Callable[[int, int], None] = lambda done, total: None) -> Written:
    """Compute every vehicle anew."""
    vehicles = list(Vehicle.objects.order_by("pk").values_list("pk", flat=True))
    written = Written()
    for start in range(0, len(vehicles), VEHICLES_A_BATCH):
        written += refresh(vehicles[start : start + VEHICLES_A_BATCH], at=at)
        progress(min(start + VEHICLES_A_BATCH, len(vehicles)), len(vehicles))
    return written


def _batches(vehicle_ids: Iterable[int]) -> Iterator[list[int]]:
    remaining = iter(dict.fromkeys(vehicle_ids))
    while batch := list(islice(remaining, VEHICLES_A_BATCH)):
        yield batch
