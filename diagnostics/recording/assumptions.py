"""Anything relied on and not tested: written down, then confirmed, refuted or accepted."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError

from diagnostics.models import Assumption
from diagnostics.recording.entries import amend, comebacks_may_change, keep, new_ref, place_after, writing
from shop.models import RepairOrder


def add_assumption(order: RepairOrder, *, by: Any, at: datetime, text: str, bears_on: str = "") -> Assumption:
    """Write down what is relied on without a test."""
    with writing(order) as order:
        assumptions = Assumption.objects.filter(order=order)
        assumption = Assumption(
            order=order,
            position=place_after(assumptions),
            ref=new_ref(assumptions, "A"),
            text=text,
            bears_on=bears_on,
            status=Assumption.Status.OPEN,
        )
        return keep(assumption, order, by=by, action="add assumption")


def settle_assumption(
    assumption: Assumption, *, by: Any, at: datetime, status: str, evidence: Sequence[str]
) -> Assumption:
    """Confirm or refute an assumption by a test of this order."""
    if not evidence:
        raise ValidationError(
            "Choose the test that settles it. Without a test it can only be accepted.", code="test_missing"
        )
    with writing(assumption.order) as order:
        changes = {"status": status, "evidence": list(evidence)}
        amend(assumption, order, changes, by=by, action="settle assumption")
        comebacks_may_change(order, at)
    return assumption


def accept_assumption(assumption: Assumption, *, by: Any, at: datetime, reason: str) -> Assumption:
    """Leave an assumption untested, with a reason and a name."""
    if not reason.strip():
        raise ValidationError("Write why it is accepted without a test.", code="reason_missing")
    with writing(assumption.order, even_closed=True) as order:
        changes = {
            "status": Assumption.Status.ACCEPTED,
            "is_accepted": True,
            "accepted_reason": reason,
            "accepted_by": by.signs_as,
        }
        amend(assumption, order, changes, by=by, action="accept assumption", reason=reason)
        comebacks_may_change(order, at)
    return assumption
