"""From the orders of some vehicles to the rows that the audit counts, as the columns keep them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import groupby
from typing import Any

from django.db.models import Q

from diagnostics.comebacks import Carried, Pair
from diagnostics.comebacks.reviewed import ReviewState
from diagnostics.comebacks.watched import Watched, watch
from diagnostics.models import ReturnVisit
from diagnostics.reading import read_instruments
from diagnostics.snapshot import Order
from diagnostics.watching.reading import Visit, read_visits
from shop.models import RepairOrder

Row = tuple[Any, ...]


@dataclass(slots=True)
class Wanted:
    """The rows as they should be; the columns are those of `columns.py`, without key and moment."""

    pairs: dict[tuple[int, int], Row] = field(default_factory=dict)  # by the keys of both orders
    jobs: dict[int, Row] = field(default_factory=dict)  # by the order's key
    checks: dict[int, tuple[Row, ...]] = field(default_factory=dict)


def compute(chosen: Q) -> Wanted:
    """Return the rows of the orders chosen: all the orders of some vehicles."""
    if not RepairOrder.objects.filter(chosen, returned_on__isnull=False).exists():
        return Wanted()  # First visits that are still open: most of what a day brings.
    instruments = read_instruments()
    reviews = read_reviews(chosen)
    wanted = Wanted()
    for _, group in groupby(read_visits(chosen), key=lambda visit: visit.vehicle):
        visits = list(group)
        found = watch([visit.order for visit in visits], instruments=instruments, reviews=reviews)
        _add(wanted, found, visits)
    return wanted


def read_reviews(chosen: Q) -> dict[tuple[str, str], ReviewState]:
    """Return what persons said of the returns of these vehicles, by order numbers."""
    returns = RepairOrder.objects.filter(chosen).values("pk")
    reviewed = ReturnVisit.objects.filter(return_order__in=returns).exclude(state="unreviewed").order_by()
    return {
        (index, later): state
        for index, later, state in reviewed.values_list(
            "index_order__number", "return_order__number", "state"
        )
    }


def _add(wanted: Wanted, found: Watched, visits: Sequence[Visit]) -> None:
    by_id = {visit.order.id: visit for visit in visits}
    for pair in found.pairs:
        earlier, later = by_id[pair.index_order], by_id[pair.return_order]
        row = _pair_row(pair, earlier.order, later.order, found.left[pair.index_order])
        wanted.pairs[earlier.pk, later.pk] = row
    for id, job in found.jobs.items():
        visit = by_id[id]
        wanted.jobs[visit.pk] = (visit.location, visit.vehicle, *job)
    for id, checks in found.checks.items():
        wanted.checks[by_id[id].pk] = tuple(tuple(check) for check in checks)


def _pair_row(pair: Pair, earlier: Order, later: Order, left: Carried) -> Row:
    complaint = next((c for c in later.complaints if c.id == pair.level_complaint), None)
    return (
        pair.counts,
        pair.level,
        pair.level_complaint,
        complaint.system if complaint else "",
        complaint.symptom if complaint else "",
        pair.days,
        pair.km,
        pair.in_window,
        pair.exclusion,
        pair.verdict,
        pair.reason,
        list(left.skipped_steps),
        list(left.unsupported_parts),
        list(left.open_assumptions),
        # The verdict is kept with the policy it was made under.
        {"window_days": earlier.location.window_days, "window_km": str(earlier.location.window_km)},
    )
