"""Work done and parts fitted, each with the reason that called for it."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from diagnostics.recording.entries import (
    amend,
    comebacks_may_change,
    keep,
    moment_of,
    new_ref,
    place_after,
    take_on,
    wait_on,
    writing,
)
from shared.moments import Moment
from shop.models import DisturbedComponent, PartFitted, RepairOrder, WorkItem


def add_work(
    order: RepairOrder,
    *,
    by: Any,
    at: datetime,
    done: Moment | None = None,
    done_by: str = "",
    part: dict[str, Any] | None = None,
    **work: Any,
) -> WorkItem:
    """Keep one work item, and the part that it put in."""
    with writing(order) as order:
        items = WorkItem.objects.filter(order=order)
        item = WorkItem(
            order=order,
            position=place_after(items),
            ref=new_ref(items, "W"),
            done_by=done_by or by.signs_as,
            **work,
        )
        item.done = moment_of(done, at, order)
        keep(item, order, by=by, action="add work")
        if part:
            keep(PartFitted(work=item, **part), order, by=by, action="fit part")
        take_on(order, by)
        wait_on(order, RepairOrder.WaitingOn.TECHNICIAN, at=at, only_from=("", RepairOrder.WaitingOn.PARTS))
        comebacks_may_change(order, at)
    return item


def amend_work(
    item: WorkItem, *, by: Any, at: datetime, why: str, part: dict[str, Any] | None = None, **changes: Any
) -> WorkItem:
    """Correct a work item or its part; what stood before is in the audit trail."""
    with writing(item.order, even_closed=True) as order:
        amend(item, order, changes, by=by, action="amend work", reason=why)
        if part:
            _amend_part(item, part, order, by=by, reason=why)
        comebacks_may_change(order, at)
    return item


def disturb(order: RepairOrder, *, by: Any, at: datetime, component: str) -> DisturbedComponent:
    """Write down a component that was taken off or moved to reach another."""
    with writing(order) as order:
        disturbed = DisturbedComponent.objects.filter(order=order)
        record = DisturbedComponent(order=order, position=place_after(disturbed), component=component)
        keep(record, order, by=by, action="disturb component")
        comebacks_may_change(order, at)
    return record


def _amend_part(item: WorkItem, part: dict[str, Any], order: RepairOrder, *, by: Any, reason: str) -> None:
    fitted = PartFitted.objects.filter(work=item).first()
    if fitted is None:
        keep(PartFitted(work=item, **part), order, by=by, action="fit part", reason=reason)
    else:
        amend(fitted, order, part, by=by, action="amend part", reason=reason)
