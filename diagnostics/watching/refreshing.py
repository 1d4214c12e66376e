"""Brings the rows of some vehicles up to date, after something that bears on them has changed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime
from itertools import islice

from django.db import transaction
from django.db.models import Q

from diagnostics.watching.comparing import Changes, compare
from diagnostics.watching.computing import compute
from diagnostics.watching.writing import Written, write
from shop.models import Vehicle

VEHICLES_A_BATCH = 200


def refresh(vehicle_ids: Iterable[int], *, at: datetime) -> Written:
    """Compute these vehicles anew, and write what differs. Inside a transaction it joins that."""
    written = Written()
    for batch in _batches(vehicle_ids):
        with transaction.atomic():
            vehicles = Vehicle.objects.filter(pk__in=batch)
            # Who else writes on these vehicles waits here, and then sees what this one has seen.
            list(vehicles.select_for_update(no_key=True).order_by("pk").values_list("pk"))
            written += write(changes_of(Q(vehicle_id__in=batch)), at=at)
    return written


def changes_of(chosen: Q) -> Changes:
    """Return what must be written for the orders chosen: all the orders of some vehicles."""
    return compare(compute(chosen), chosen)


def _batches(vehicle_ids: Iterable[int]) -> Iterator[list[int]]:
    remaining = iter(dict.fromkeys(vehicle_ids))
    while batch := list(islice(remaining, VEHICLES_A_BATCH)):
        yield batch
