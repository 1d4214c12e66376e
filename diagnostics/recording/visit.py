"""Around the diagnosis: time agreed and used, work declined, returns planned, what happened outside."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from diagnostics.recording.entries import (
    amend,
    comebacks_may_change,
    keep,
    moment_of,
    new_ref,
    place_after,
    wait_on,
    writing,
)
from shared.moments import Moment, moment_at
from shop.models import Authorisation, DeclinedItem, OutsideEvent, PlannedReturn, RepairOrder, TimeEntry

WAITS = RepairOrder.WaitingOn


def authorise_minutes(
    order: RepairOrder, *, by: Any, at: datetime, minutes: int, given: Moment | None = None
) -> Authorisation:
    """Keep the minutes of diagnosis that the customer agreed to; the technician can go on."""
    with writing(order) as order:
        record = Authorisation(
            order=order, position=place_after(Authorisation.objects.filter(order=order)), minutes=minutes
        )
        record.given = moment_of(given, at, order)
        wait_on(order, WAITS.TECHNICIAN, at=at, only_from=("", WAITS.CUSTOMER))
        return keep(record, order, by=by, action="authorise minutes")


def record_time(
    order: RepairOrder,
    *,
    by: Any,
    at: datetime,
    minutes: int,
    kind: str,
    complaint_ref: str = "",
    done: Moment | None = None,
    done_by: str = "",
) -> TimeEntry:
    """Keep minutes that one person worked."""
    with writing(order) as order:
        record = TimeEntry(
            order=order,
            position=place_after(TimeEntry.objects.filter(order=order)),
            done_by=done_by or by.signs_as,
            minutes=minutes,
            kind=kind,
            complaint_ref=complaint_ref,
        )
        record.done = moment_of(done, at, order)
        return keep(record, order, by=by, action="record time")


def decline(order: RepairOrder, *, by: Any, at: datetime, **item: Any) -> DeclinedItem:
    """Write down work that is known and not done, with its risk and whether the customer was told."""
    with writing(order) as order:
        declined = DeclinedItem.objects.filter(order=order)
        record = DeclinedItem(order=order, position=place_after(declined), ref=new_ref(declined, "D"), **item)
        keep(record, order, by=by, action="decline work")
        comebacks_may_change(order, at)
    return record


def amend_declined(item: DeclinedItem, *, by: Any, at: datetime, why: str, **changes: Any) -> DeclinedItem:
    """Add the day the customer was told, or the day to look again; what stood before stays in the trail."""
    with writing(item.order, even_closed=True) as order:
        amend(item, order, changes, by=by, action="amend declined work", reason=why)
        comebacks_may_change(order, at)
    return item


def plan_return(
    order: RepairOrder, *, by: Any, at: datetime, reason: str, due_on: date | None = None, system: str = ""
) -> PlannedReturn:
    """Agree a return before the vehicle is handed back."""
    with writing(order) as order:
        planned = PlannedReturn.objects.filter(order=order)
        record = PlannedReturn(
            order=order,
            position=place_after(planned),
            ref=new_ref(planned, "P"),
            recorded_on=moment_at(at, order.location.zone).on,
            due_on=due_on,
            reason=reason,
            system=system,
        )
        keep(record, order, by=by, action="plan return")
        comebacks_may_change(order, at)
    return record


def record_outside_event(
    order: RepairOrder,
    *,
    by: Any,
    at: datetime,
    kind: str,
    happened_on: date,
    system: str,
    evidence: str = "",
) -> OutsideEvent:
    """Keep damage, or somebody else's work, since an earlier visit."""
    with writing(order) as order:
        record = OutsideEvent(
            order=order,
            position=place_after(OutsideEvent.objects.filter(order=order)),
            kind=kind,
            happened_on=happened_on,
            system=system,
            evidence=evidence,
        )
        keep(record, order, by=by, action="record outside event")
        comebacks_may_change(order, at)
    return record


def promise(order: RepairOrder, *, by: Any, at: datetime, promised_at: datetime | None) -> RepairOrder:
    """Promise the vehicle for a time."""
    with writing(order) as order:
        return amend(order, order, {"promised_at": promised_at}, by=by, action="promise")


def assign(order: RepairOrder, *, by: Any, at: datetime, technician: str) -> RepairOrder:
    """Say whose job it is."""
    with writing(order) as order:
        return amend(order, order, {"technician": technician}, by=by, action="assign")


def set_waiting(order: RepairOrder, *, by: Any, at: datetime, waiting_on: str, note: str = "") -> RepairOrder:
    """Say whom the job waits on, and for what."""
    with writing(order) as order:
        changes: dict[str, Any] = {"waiting_note": note}
        if waiting_on != order.waiting_on:
            changes |= {"waiting_on": waiting_on, "waiting_since": at if waiting_on else None}
        return amend(order, order, changes, by=by, action="set waiting")
