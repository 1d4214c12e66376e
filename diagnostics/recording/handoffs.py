"""A half-finished diagnosis passed from one person to the next."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError

from diagnostics.models import HandOff
from diagnostics.recording.entries import amend, keep, moment_of, place_after, wait_on, writing
from shared.moments import Moment
from shop.models import RepairOrder


def hand_off(
    order: RepairOrder,
    *,
    by: Any,
    at: datetime,
    complaint_ref: str,
    receiver: str,
    known: str,
    ruled_out: Sequence[str],
    suspected: Sequence[str],
    next_step: str,
    done: Moment | None = None,
) -> HandOff:
    """Write down what is known, ruled out, suspected and next, for the person who takes over."""
    if receiver == by.signs_as:
        raise ValidationError("Choose who takes over: somebody other than yourself.", code="same_person")
    with writing(order) as order:
        record = HandOff(
            order=order,
            position=place_after(HandOff.objects.filter(order=order)),
            complaint_ref=complaint_ref,
            giver=by.signs_as,
            receiver=receiver,
            known=known,
            ruled_out=list(ruled_out),
            suspected=list(suspected),
            next_step=next_step,
        )
        record.done = moment_of(done, at, order)
        wait_on(order, RepairOrder.WaitingOn.TECHNICIAN, at=at)
        return keep(record, order, by=by, action="hand off")


def acknowledge(handoff: HandOff, *, by: Any, at: datetime) -> HandOff:
    """The receiver says that the hand-off was read and understood, and the job is theirs from then on."""
    if by.signs_as != handoff.receiver:
        raise ValidationError(
            f"This hand-off is for {handoff.receiver}, who acknowledges it.", code="not_the_receiver"
        )
    with writing(handoff.order) as order:
        amend(order, order, {"technician": by.signs_as}, by=by, action="assign")
        changes = {"acknowledged_by": by.signs_as}
        return amend(handoff, order, changes, by=by, action="acknowledge hand-off")
