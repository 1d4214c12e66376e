"""Keeps the words of jobs: what the customer said, and what was added."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import datetime

from diagnostics.models import JobText
from shop.models import Complaint, ComplaintNote, RepairOrder

ORDERS_A_BATCH = 1000


def index_vehicles(vehicle_ids: Iterable[int], *, at: datetime) -> None:
    """Write down the words of every job of these vehicles that was handed back."""
    orders = RepairOrder.objects.handed_back().filter(vehicle_id__in=list(vehicle_ids))
    index_orders(list(orders.values_list("pk", flat=True)))


def index_missing() -> int:
    """Write down the words of every job that has none yet. Return how many there were."""
    missing = RepairOrder.objects.handed_back().filter(text__isnull=True).order_by("pk")
    done = 0
    while batch := list(missing.values_list("pk", flat=True)[:ORDERS_A_BATCH]):
        index_orders(batch)
        done += len(batch)
    return done


def index_orders(pks: Sequence[int]) -> None:
    """Write down the words of these jobs anew. Two queries to read, however many there are."""
    words: dict[int, list[str]] = defaultdict(list)
    for pk, text in Complaint.objects.filter(order__in=pks).values_list("order_id", "text"):
        words[pk].append(text)
    notes = ComplaintNote.objects.filter(complaint__order__in=pks)
    for pk, text in notes.values_list("complaint__order_id", "text"):
        words[pk].append(text)
    JobText.objects.bulk_create(
        [JobText(order_id=pk, words="\n".join(words[pk])) for pk in pks],
        update_conflicts=True,
        unique_fields=["order"],
        update_fields=["words"],
        batch_size=ORDERS_A_BATCH,
    )
