"""Who each open job waits on, with its chain."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from django.db.models import F

from diagnostics.assessment import Assessment, assess_snapshot
from diagnostics.evidence import Ring, rings
from diagnostics.models import ReturnVisit
from diagnostics.reading import read_instruments, read_orders
from shop.models import RepairOrder

MOST_JOBS = 200


@dataclass(frozen=True, slots=True)
class Job:
    """One line of the front page."""

    order: RepairOrder
    words: str
    rings: tuple[Ring, ...]
    next: str
    technician: str  # Empty where `next` names them.
    waits: timedelta | None
    is_late: bool
    came_back: ReturnVisit | None


@dataclass(frozen=True, slots=True)
class Wait:
    """The jobs that wait on one kind of person, oldest wait first."""

    key: str
    title: str
    jobs: list[Job] = field(default_factory=list)


def board(*, roles: Sequence[str], now: datetime) -> list[Wait]:
    """Return the open jobs by who they wait on; what waits on the reader comes first."""
    waits = {key: Wait(key, _title(key, roles)) for key in _keys(roles)}
    orders = list(
        RepairOrder.objects.open()
        .with_people()
        .order_by(F("waiting_since").asc(nulls_first=True), "pk")[:MOST_JOBS]
    )
    assessed = _assess(orders)
    returns = _returns(orders)
    for order in orders:
        job = _job(order, assessed[order.number], returns.get(order.pk), now)
        waits[order.waiting_on or "advisor"].jobs.append(job)
    return [wait for wait in waits.values() if wait.jobs]


def _keys(roles: Sequence[str]) -> list[str]:
    keys = [str(key) for key in RepairOrder.WaitingOn.values]
    return sorted(keys, key=lambda key: key not in roles)


def _title(key: str, roles: Sequence[str]) -> str:
    if key in roles:
        return "On you"
    return {
        "advisor": "On the desk",
        "technician": "On a technician",
        "parts": "On parts",
        "customer": "On the customer",
    }[key]


def _assess(orders: list[RepairOrder]) -> dict[str, Assessment]:
    instruments = read_instruments()
    read = read_orders(RepairOrder.objects.filter(pk__in=[order.pk for order in orders]).order_by("pk"))
    return {order.id: assess_snapshot(order, instruments=instruments) for order in read}


def _returns(orders: list[RepairOrder]) -> dict[int, ReturnVisit]:
    counted = ReturnVisit.objects.filter(
        return_order__in=orders, counts=True, verdict__in=["comeback", "needs_review"]
    ).select_related("index_order")
    return {visit.return_order_id: visit for visit in counted}


def _job(order: RepairOrder, assessment: Assessment, came_back: ReturnVisit | None, now: datetime) -> Job:
    complaints = assessment.order.complaints
    chain = rings(assessment.order, assessment.findings, sheet_issued=False)
    what_next = order.waiting_note or _next(chain)
    return Job(
        order=order,
        words=complaints[0].text if complaints else "",
        rings=chain,
        next=what_next,
        technician="" if order.technician in what_next else order.technician,
        waits=now - order.waiting_since if order.waiting_since else None,
        is_late=order.promised_at is not None and order.promised_at < now,
        came_back=came_back,
    )


def _next(chain: tuple[Ring, ...]) -> str:
    """Say in one sentence what the chain asks for next."""
    for ring in chain:
        if ring.open_findings:
            return f"{ring.name.capitalize()}: {ring.open_findings[0].title}."
        if ring.state == "ahead":
            return f"Next: {ring.name}."
    return "Papers to issue."
