"""From the orders of some vehicles to the rows that the audit counts, as the columns keep them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Q

from diagnostics.comebacks import Carried, Pair
from diagnostics.comebacks.reviewed import ReviewState
from diagnostics.comebacks.watched import Watched, watch
from diagnostics.models import ReturnVisit
from diagnostics.reading import read_instruments, read_watched_orders
from diagnostics.snapshot import Order
from shop.models import RepairOrder

# Columns of `ReturnVisit` that are computed, in the order of a row's values.
PAIR = (
    "counts",
    "level",
    "level_complaint",
    "system",
    "symptom",
    "days",
    "km",
    "in_window",
    "exclusion",
    "verdict",
    "reason",
    "skipped",
    "unsupported_parts",
    "open_assumptions",
    "policy",
)


@dataclass(slots=True)
class Wanted:
    """The rows as they should be: pairs by both orders' keys; jobs and checks by the order's key."""

    pairs: dict[tuple[int, int], tuple[Any, ...]] = field(default_factory=dict)
    jobs: dict[int, tuple[Any, ...]] = field(default_factory=dict)  # location, vehicle, then a `Job`
    checks: dict[int, tuple[tuple[Any, ...], ...]] = field(default_factory=dict)  # of `Check`


def compute(chosen: Q) -> Wanted:
    """Return the rows of the orders chosen: all the orders of some vehicles."""
    orders = RepairOrder.objects.filter(chosen).order_by("vehicle_id", "pk")
    keys = {
        number: (pk, location, vehicle)
        for pk, number, location, vehicle in orders.values_list("pk", "number", "location_id", "vehicle_id")
    }
    visits: dict[int, list[Order]] = defaultdict(list)
    for order in read_watched_orders(orders):
        visits[keys[order.id][2]].append(order)
    instruments, reviews = read_instruments(), read_reviews(chosen)
    wanted = Wanted()
    for group in visits.values():
        _add(wanted, watch(group, instruments=instruments, reviews=reviews), group, keys)
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


def _add(
    wanted: Wanted, found: Watched, visits: Iterable[Order], keys: Mapping[str, tuple[int, int, int]]
) -> None:
    by_id = {order.id: order for order in visits}
    for pair in found.pairs:
        key = (keys[pair.index_order][0], keys[pair.return_order][0])
        wanted.pairs[key] = _pair_row(pair, by_id, found.left[pair.index_order])
    for id, job in found.jobs.items():
        pk, location, vehicle = keys[id]
        wanted.jobs[pk] = (location, vehicle, *job)
    for id, checks in found.checks.items():
        wanted.checks[keys[id][0]] = tuple(map(tuple, checks))


def _pair_row(pair: Pair, visits: Mapping[str, Order], left: Carried) -> tuple[Any, ...]:
    later, earlier = visits[pair.return_order], visits[pair.index_order]
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
