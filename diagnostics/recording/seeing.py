"""Reported and seen: words added, attempts to see the complaint, the plan of its trials."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from diagnostics.models import Attempt
from diagnostics.recording.entries import (
    amend,
    comebacks_may_change,
    keep,
    moment_of,
    place_after,
    take_on,
    wait_on,
    writing,
)
from shared.moments import Moment
from shop.models import Complaint, ComplaintNote, RepairOrder


def add_note(complaint: Complaint, *, by: Any, at: datetime, text: str) -> ComplaintNote:
    """Add words to a complaint; the customer's own stay as they are."""
    with writing(complaint.order) as order:
        note = ComplaintNote(complaint=complaint, text=text, added_by=by.signs_as, added_at=at)
        return keep(note, order, by=by, action="add note")


def record_attempt(
    complaint: Complaint,
    *,
    by: Any,
    at: datetime,
    done: Moment | None = None,
    done_by: str = "",
    **attempt: Any,
) -> Attempt:
    """Keep one attempt to see the complaint: outcome, conditions, n tries, k shown, equipment."""
    with writing(complaint.order) as order:
        record = Attempt(
            complaint=complaint,
            position=place_after(complaint.attempts.all()),
            done_by=done_by or by.signs_as,
            **attempt,
        )
        record.done = moment_of(done, at, order)
        take_on(order, by)
        wait_on(order, RepairOrder.WaitingOn.TECHNICIAN, at=at, only_from=("",))
        return keep(record, order, by=by, action="record attempt")


def amend_attempt(attempt: Attempt, *, by: Any, at: datetime, why: str, **changes: Any) -> Attempt:
    """Correct an attempt; what stood before is in the audit trail."""
    with writing(attempt.complaint.order, even_closed=True) as order:
        amend(attempt, order, changes, by=by, action="amend attempt", reason=why)
        comebacks_may_change(order, at)
    return attempt


def set_trial_plan(complaint: Complaint, *, by: Any, at: datetime, n: int, conditions: str) -> Complaint:
    """Agree how many clean trials, under which conditions, will count as proof."""
    with writing(complaint.order) as order:
        changes = {"plan_n": n, "plan_conditions": conditions}
        return amend(complaint, order, changes, by=by, action="set trial plan")
