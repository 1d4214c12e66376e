"""What every act on an order shares: one transaction, the order locked, one entry in the audit trail."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from typing import Any, TypeVar

from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.db.models import Max

from diagnostics import watching
from shared import audit
from shared.moments import Moment, moment_at
from shop.models import RepairOrder

Record = TypeVar("Record", bound=models.Model)


class OrderIsClosed(ValidationError):
    """Something was to be added to an order that was handed back."""

    def __init__(self, order: RepairOrder) -> None:
        super().__init__(
            f"Job {order.number} was handed back. It takes explanations, approvals, amendments with a "
            "reason, and papers. Open a new job for anything that was done since.",
            code="order_is_closed",
        )


@contextmanager
def writing(order: RepairOrder, *, even_closed: bool = False) -> Iterator[RepairOrder]:
    """Give the order, locked, inside one transaction; refuse one that was handed back."""
    with transaction.atomic():
        locked = (
            RepairOrder.objects.select_related("location").select_for_update(of=("self",)).get(pk=order.pk)
        )
        if not (even_closed or locked.is_open):
            raise OrderIsClosed(locked)
        yield locked


def keep(record: Record, order: RepairOrder, *, by: Any, action: str, reason: str = "") -> Record:
    """Check and save a new record, and leave its entry."""
    check(record)
    record.save()
    audit.record(action, record, by=by, after=audit.values(record), order_number=order.number, reason=reason)
    return record


def amend(
    record: Record, order: RepairOrder, changes: dict[str, Any], *, by: Any, action: str, reason: str = ""
) -> Record:
    """Change some fields of a record, and leave the values before and after. Nothing changed: no entry."""
    before = audit.values(record)
    for name, value in changes.items():
        setattr(record, name, value)
    was, now = audit.difference(before, audit.values(record))
    if not now:
        return record
    check(record)
    record.save()
    audit.record(action, record, by=by, before=was, after=now, order_number=order.number, reason=reason)
    return record


def check(record: models.Model) -> None:
    """Run the field and constraint checks; a value that is not known yet is no fault."""
    unknown = [
        field.name
        for field in record._meta.concrete_fields
        if field.null and getattr(record, field.attname) is None
    ]
    record.full_clean(exclude=unknown)


def place_after(records: models.QuerySet) -> int:
    """Return the place behind the last of these records."""
    last = records.aggregate(last=Max("position"))["last"]
    return 0 if last is None else last + 1


def new_ref(records: models.QuerySet, letter: str) -> str:
    """Return an id that none of these records has, such as T7. The order must be locked."""
    taken = set(records.values_list("ref", flat=True))
    count = len(taken) + 1
    while f"{letter}{count}" in taken:
        count += 1
    return f"{letter}{count}"


def moment_of(done: Moment | None, at: datetime, order: RepairOrder) -> Moment:
    """Return when something was done: as given, else now on the shop's calendar."""
    return done or moment_at(at, order.location.zone)


def comebacks_may_change(order: RepairOrder, at: datetime) -> None:
    """Compute again what the visits of the vehicle come to, as the audit counts them."""
    watching.refresh([order.vehicle_id], at=at)


def take_on(order: RepairOrder, by: Any) -> None:
    """The first technician who records a finding on a job without one becomes its technician."""
    if not order.technician and by.is_technician:
        order.technician = by.signs_as
        order.save(update_fields=["technician"])


def wait_on(order: RepairOrder, who: str, *, at: datetime, only_from: tuple[str, ...] = ()) -> None:
    """Say whom the order waits on now. `only_from`: leave it alone if it waits on somebody else."""
    if order.waiting_on == who or (only_from and order.waiting_on not in only_from):
        return
    order.waiting_on, order.waiting_since, order.waiting_note = who, at, ""
    order.save(update_fields=["waiting_on", "waiting_since", "waiting_note"])
