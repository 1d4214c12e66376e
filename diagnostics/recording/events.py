"""What happened when, the claim that it changed the complaint, and the reversal that tests the claim."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from diagnostics.models import Claim, Event, Reversal
from diagnostics.recording.entries import keep, moment_of, new_ref, place_after, writing
from shared.moments import Moment
from shop.models import RepairOrder


def record_event(
    order: RepairOrder,
    *,
    by: Any,
    at: datetime,
    kind: str,
    what: str,
    happened: Moment | None = None,
    **event: Any,
) -> Event:
    """Keep something that happened at a moment."""
    with writing(order) as order:
        events = Event.objects.filter(order=order)
        record = Event(
            order=order, position=place_after(events), ref=new_ref(events, "E"), kind=kind, what=what, **event
        )
        record.happened = moment_of(happened, at, order)
        return keep(record, order, by=by, action="record event")


def claim_effect(
    order: RepairOrder, *, by: Any, at: datetime, complaint_ref: str, event_ref: str, role: str
) -> Claim:
    """State that an event made the complaint go away, or set it off. It asks for a reversal."""
    with writing(order) as order:
        claims = Claim.objects.filter(order=order)
        claim = Claim(
            order=order,
            position=place_after(claims),
            ref=new_ref(claims, "M"),
            complaint_ref=complaint_ref,
            event_ref=event_ref,
            role=role,
        )
        return keep(claim, order, by=by, action="claim effect")


def record_reversal(
    order: RepairOrder, *, by: Any, at: datetime, event_ref: str, phases: Sequence[dict]
) -> Reversal:
    """Keep the phases in which the condition was put back and taken away again.

    Each phase has `condition`, `present` (the symptom showed) and `n` tries.
    """
    with writing(order) as order:
        reversals = Reversal.objects.filter(order=order)
        reversal = Reversal(
            order=order, position=place_after(reversals), event_ref=event_ref, phases=list(phases)
        )
        return keep(reversal, order, by=by, action="record reversal")
