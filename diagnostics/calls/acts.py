"""Writing down a call: what the customer said, and what follows from it, in one transaction."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from django.db import transaction

from diagnostics import recording, watching
from diagnostics.models import FollowUp
from diagnostics.recording.entries import keep, writing
from shop import intake
from shop.models import RepairOrder

Outcome = FollowUp.Outcome
TOLD_OF_DRIVING = {Outcome.GONE, Outcome.STILL_THERE}


@transaction.atomic
def record_call(
    order: RepairOrder,
    *,
    kind: str,
    subject: str,
    outcome: str,
    called_on: date,
    by: Any,
    at: datetime,
    due_on: date | None = None,
    said: str = "",
    times: int = 0,
    again_on: date | None = None,
    left_on: date | None = None,
) -> FollowUp:
    """Keep one call after a job.

    That it has not come back, or has, is kept as the customer's own trial of the complaint, too; that the
    vehicle is sold or gone is kept with the vehicle, whose jobs are counted anew.
    """
    with writing(order, even_closed=True) as order:
        call = FollowUp(
            order=order,
            kind=kind,
            subject=subject,
            due_on=due_on or called_on,
            called_on=called_on,
            outcome=outcome,
            said=said,
            again_on=again_on,
            called_by=by.signs_as,
            entered_at=at,
        )
        keep(call, order, by=by, action="record call")
    if kind != FollowUp.Kind.DECLINED and outcome in TOLD_OF_DRIVING:
        _keep_trial(order, call, times, by=by, at=at)
    if outcome == Outcome.LEFT:
        order.vehicle.left_on = left_on or called_on
        intake.keep_vehicle(order.vehicle, by=by)
    watching.mark_stale()  # What waits for the owner counts the calls.
    return call


def _keep_trial(order: RepairOrder, call: FollowUp, times: int, *, by: Any, at: datetime) -> None:
    recurrences = max(times, 1) if call.outcome == Outcome.STILL_THERE else 0
    recording.record_customer_trial(
        order,
        by=by,
        at=at,
        complaint_ref=call.subject,
        told_by=str(order.customer or "the customer"),
        since_on=order.returned_on or order.opened_on,
        until_on=call.called_on,
        recurrences=recurrences,
        note=call.said,
    )
