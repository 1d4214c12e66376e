"""Return visits on record: computed from the orders, kept up to date, reviewed by a person."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from itertools import islice
from typing import Any

from django.db import transaction

from diagnostics.comebacks import Carried, Pair, carried, vehicle_pairs
from diagnostics.evidence import evaluate
from diagnostics.models import ReturnVisit
from diagnostics.reading import read_instruments, read_light_orders, read_orders
from diagnostics.snapshot import Order
from shared import audit
from shop.models import RepairOrder, Vehicle

VEHICLES_A_BATCH = 200
RETIRED_REASON = "unrelated"  # Of a reviewed pair whose orders say so now.
COMPUTED = (
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


def refresh_vehicles(vehicle_ids: Iterable[int], *, at: datetime) -> int:
    """Recompute the pairs of these vehicles. Return how many rows were written or taken away."""
    changed = 0
    for batch in _batches(vehicle_ids):
        with transaction.atomic():
            changed += _refresh(batch, at)
    return changed


def refresh_all(*, at: datetime, progress: Callable[[int, int], None] = lambda done, total: None) -> int:
    """Recompute the pairs of every vehicle that was here more than once."""
    vehicles = list(Vehicle.objects.order_by("pk").values_list("pk", flat=True))
    changed = 0
    for start in range(0, len(vehicles), VEHICLES_A_BATCH):
        changed += refresh_vehicles(vehicles[start : start + VEHICLES_A_BATCH], at=at)
        progress(min(start + VEHICLES_A_BATCH, len(vehicles)), len(vehicles))
    return changed


@transaction.atomic
def review(
    visit: ReturnVisit, *, state: str, by: Any, at: datetime, exclusion: str = "", note: str = ""
) -> None:
    """Record what a person says of a return; what was said before stays in the audit trail."""
    fields = ["state", "review_exclusion", "review_note", "reviewed_by", "reviewed_at"]
    before = audit.values(visit, fields)
    visit.state = state
    visit.review_exclusion = exclusion if state == ReturnVisit.State.EXCLUDED else ""
    visit.review_note = note
    visit.reviewed_by = by.signs_as
    visit.reviewed_at = at
    visit.save(update_fields=fields)
    was, now = audit.difference(before, audit.values(visit, fields))
    audit.record(
        "review", visit, by=by, before=was, after=now, order_number=visit.return_order.number, reason=note
    )


def is_kept(pair: Pair) -> bool:
    """Say whether a pair is stored: every candidate, and related returns that came too late."""
    return pair.verdict != "not_candidate" or (pair.reason == "outside_window" and (pair.days or 0) >= 0)


def _refresh(vehicle_ids: Sequence[int], at: datetime) -> int:
    orders = RepairOrder.objects.filter(vehicle_id__in=vehicle_ids).order_by("vehicle_id", "pk")
    pks = dict(orders.values_list("number", "pk"))
    pairs, visits = _pairs_by_vehicle(orders)
    carried_over = _carried_over({pks[pair.index_order] for pair in pairs})
    wanted = {
        (pks[pair.index_order], pks[pair.return_order]): _row(pair, visits, carried_over) for pair in pairs
    }
    return _write(vehicle_ids, wanted, at)


def _pairs_by_vehicle(orders) -> tuple[list[Pair], dict[str, Order]]:
    visits: dict[str, list[Order]] = {}
    for order in read_light_orders(orders):
        visits.setdefault(order.vehicle.id, []).append(order)
    pairs = [pair for group in visits.values() for pair in vehicle_pairs(group) if is_kept(pair)]
    return pairs, {order.id: order for group in visits.values() for order in group}


def _carried_over(index_pks: Iterable[int]) -> dict[str, Carried]:
    instruments = read_instruments()
    index_orders = RepairOrder.objects.filter(pk__in=list(index_pks)).order_by("pk")
    return {
        order.id: carried(order, evaluate(order, instruments=instruments))
        for order in read_orders(index_orders)
    }


def _row(pair: Pair, visits: Mapping[str, Order], carried_over: Mapping[str, Carried]) -> dict[str, Any]:
    later, earlier = visits[pair.return_order], visits[pair.index_order]
    complaint = next((c for c in later.complaints if c.id == pair.level_complaint), None)
    left = carried_over[pair.index_order]
    return {
        "counts": pair.counts,
        "level": pair.level,
        "level_complaint": pair.level_complaint,
        "system": complaint.system if complaint else "",
        "symptom": complaint.symptom if complaint else "",
        "days": pair.days,
        "km": pair.km,
        "in_window": pair.in_window,
        "exclusion": pair.exclusion,
        "verdict": pair.verdict,
        "reason": pair.reason,
        "skipped": list(left.skipped_steps),
        "unsupported_parts": list(left.unsupported_parts),
        "open_assumptions": list(left.open_assumptions),
        # The verdict is kept with the policy it was made under.
        "policy": {"window_days": earlier.location.window_days, "window_km": str(earlier.location.window_km)},
    }


def _write(vehicle_ids: Sequence[int], wanted: Mapping[tuple[int, int], dict], at: datetime) -> int:
    stored = {
        (visit.index_order_id, visit.return_order_id): visit
        for visit in ReturnVisit.objects.filter(return_order__vehicle_id__in=vehicle_ids)
    }
    stale = [visit for key, visit in stored.items() if key not in wanted and not _is_retired(visit)]
    changed = [visit for key, visit in stored.items() if key in wanted and _differs(visit, wanted[key])]
    new = [
        ReturnVisit(index_order_id=index, return_order_id=later, computed_at=at, **row)
        for (index, later), row in wanted.items()
        if (index, later) not in stored
    ]
    # A return counts against one order at a time: let go of the old one before the new one is marked.
    ReturnVisit.objects.filter(pk__in=[visit.pk for visit in [*stale, *changed]]).update(counts=False)
    _take_away(stale, at)
    for visit in changed:
        for name, value in wanted[visit.index_order_id, visit.return_order_id].items():
            setattr(visit, name, value)
        visit.computed_at = at
    ReturnVisit.objects.bulk_update(changed, [*COMPUTED, "computed_at"], batch_size=200)
    ReturnVisit.objects.bulk_create(new, batch_size=200)
    return len(stale) + len(changed) + len(new)


def _take_away(stale: Sequence[ReturnVisit], at: datetime) -> None:
    """Drop pairs that are none any more; one that a person reviewed stays on record, as no candidate."""
    reviewed = [visit.pk for visit in stale if visit.state != ReturnVisit.State.UNREVIEWED]
    ReturnVisit.objects.filter(pk__in=reviewed).update(
        verdict=ReturnVisit.Verdict.NOT_CANDIDATE, reason=RETIRED_REASON, computed_at=at
    )
    ReturnVisit.objects.filter(pk__in=[visit.pk for visit in stale]).exclude(pk__in=reviewed).delete()


def _is_retired(visit: ReturnVisit) -> bool:
    return visit.verdict == ReturnVisit.Verdict.NOT_CANDIDATE and visit.reason == RETIRED_REASON


def _differs(visit: ReturnVisit, row: Mapping[str, Any]) -> bool:
    return any(getattr(visit, name) != value for name, value in row.items())


def _batches(vehicle_ids: Iterable[int]) -> Iterator[list[int]]:
    remaining = iter(dict.fromkeys(vehicle_ids))
    while batch := list(islice(remaining, VEHICLES_A_BATCH)):
        yield batch
