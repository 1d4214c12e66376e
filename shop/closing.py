"""Handing a vehicle back. Nothing blocks it: what is left open is asked about and kept on record."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from shared import audit
from shared.moments import moment_at
from shared.wording import KM_PER_MILE
from shop import hooks
from shop.intake import read_odometer
from shop.models import OdometerReading, PlannedReturn, RepairOrder

MOST_KM_OUT = Decimal("1000")  # A day's road test is far less; more than this is a slip of the pen. Policy.


@dataclass(frozen=True, slots=True)
class LeftOpen:
    """One thing that is not done when the order closes: which rule, of which record, in words."""

    rule: str
    subject: str
    text: str


@dataclass(frozen=True, slots=True)
class ReturnAgreed:
    """A return agreed at hand-over."""

    reason: str
    due_on: date | None = None
    system: str = ""


# Filled by the rooms that build on this one: each says what is open in an order handed back at `at`.
closing_checks: list[Callable[..., Sequence[LeftOpen]]] = []


def left_open(order: RepairOrder, *, at: datetime) -> list[LeftOpen]:
    """Return what would be open if the order were handed back at `at`."""
    return [finding for check in closing_checks for finding in check(order, at=at)]


def hand_back(
    order: RepairOrder,
    *,
    by: Any,
    at: datetime,
    outcome: str,
    left_at: datetime | None = None,
    odometer_out: Decimal | None = None,
    odometer_explanation: str = "",
    reason: str = "",
    planned: ReturnAgreed | None = None,
) -> RepairOrder:
    """Hand the vehicle back: outcome, odometer, and the reason for what stays open.

    Everything left open is kept in the audit trail, one entry with rule and subject of each. `left_at` is
    when it was handed over, where that is written down later.
    """
    with transaction.atomic():
        order = (
            RepairOrder.objects.select_for_update(of=("self",)).select_related("location").get(pk=order.pk)
        )
        if not order.is_open:
            raise ValidationError(f"Job {order.number} was handed back already.", code="closed_already")
        if outcome not in RepairOrder.Outcome.values:
            raise ValidationError("Choose the outcome of this job.", code="outcome_missing")
        if left_at and (question := hand_over_question(order, left_at)):
            raise ValidationError(question, code="left_before_arrival")
        gaps = left_open(order, at=at)
        if gaps and not reason.strip():
            raise ValidationError(
                f"Write why {_things(len(gaps))} open. It stays with the job, under your name.",
                code="reason_missing",
            )
        if planned:
            _plan(order, planned, by=by, at=at)
        before = audit.values(order)
        _close(order, by=by, at=left_at or at, outcome=outcome, reason=reason.strip() if gaps else "")
        if odometer_out is not None:
            _read_out(order, odometer_out, odometer_explanation)
        was, now = audit.difference(before, audit.values(order))
        after = {**now, "left_open": [asdict(gap) for gap in gaps]}
        audit.record(
            "hand back", order, by=by, before=was, after=after, order_number=order.number, reason=reason
        )
        hooks.vehicles_changed([order.vehicle_id], at=at)
    return order


def hand_over_question(order: RepairOrder, left_at: datetime) -> str:
    """Return what to ask about the moment of a hand-over, or an empty text."""
    left, opened = moment_at(left_at, order.location.zone), order.opened
    came_later = left.instant < opened.instant if opened.instant else left.on < opened.on
    if not came_later:
        return ""
    return (
        f"It cannot leave on {left.on:%d %b %Y} before it came in on {opened.on:%d %b %Y}. "
        "Check day and time of the hand-over."
    )


def odometer_question(order: RepairOrder, value: Decimal) -> str:
    """Return what to ask about an odometer reading at hand-over, or an empty text."""
    came_in = OdometerReading.objects.filter(order=order, moment="in").first()
    if came_in is None:
        return ""
    if value < came_in.value:
        return (
            f"{value} {order.odo_unit} is less than {came_in.value} {order.odo_unit} at arrival. "
            "Check the reading, or write why it went back."
        )
    limit = MOST_KM_OUT if order.odo_unit == "km" else MOST_KM_OUT / KM_PER_MILE
    if value - came_in.value > limit:
        return (
            f"{value} {order.odo_unit} is {value - came_in.value} {order.odo_unit} more than at arrival. "
            "Check the reading, or write what it was driven for."
        )
    return ""


def _close(order: RepairOrder, *, by: Any, at: datetime, outcome: str, reason: str) -> None:
    order.returned = moment_at(at, order.location.zone)
    order.outcome, order.closed_by, order.closing_reason = outcome, by.signs_as, reason
    order.waiting_on, order.waiting_since, order.waiting_note = "", None, ""
    order.full_clean()
    order.save()


def _read_out(order: RepairOrder, value: Decimal, explanation: str) -> None:
    if odometer_question(order, value) and not explanation.strip():
        raise ValidationError(odometer_question(order, value), code="odometer_unlikely")
    read_odometer(order, moment="out", value=value, explanation=explanation)


def _plan(order: RepairOrder, planned: ReturnAgreed, *, by: Any, at: datetime) -> None:
    taken = set(PlannedReturn.objects.filter(order=order).values_list("ref", flat=True))
    count = len(taken) + 1
    while f"P{count}" in taken:
        count += 1
    record = PlannedReturn(
        order=order,
        position=len(taken),
        ref=f"P{count}",
        recorded_on=moment_at(at, order.location.zone).on,
        due_on=planned.due_on,
        reason=planned.reason,
        system=planned.system,
    )
    record.full_clean()
    record.save()
    audit.record("plan return", record, by=by, after=audit.values(record), order_number=order.number)


def _things(count: int) -> str:
    return "1 gap stays" if count == 1 else f"{count} gaps stay"
