"""Suspects and causes, each with the tests that speak for or against it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError

from diagnostics.models import Cause, Suspect
from diagnostics.recording.entries import amend, comebacks_may_change, keep, new_ref, place_after, writing
from diagnostics.recording.finding import end_searches
from shop.models import Complaint, RepairOrder


def add_suspect(complaint: Complaint, *, by: Any, at: datetime, component: str) -> Suspect:
    """Write down a component that could be the cause."""
    with writing(complaint.order) as order:
        suspect = Suspect(
            complaint=complaint, position=place_after(complaint.suspects.all()), component=component
        )
        return keep(suspect, order, by=by, action="add suspect")


def settle_suspect(
    suspect: Suspect, *, by: Any, at: datetime, state: str, evidence: Sequence[str]
) -> Suspect:
    """Rule a suspect out, confirm it, or open it again, citing tests of this order."""
    if state == Suspect.State.RULED_OUT and not evidence:
        raise ValidationError("Choose the test that rules this suspect out.", code="test_missing")
    with writing(suspect.complaint.order) as order:
        changes = {"state": state, "evidence": list(evidence)}
        return amend(suspect, order, changes, by=by, action="settle suspect")


def name_cause(
    order: RepairOrder,
    *,
    by: Any,
    at: datetime,
    complaint_ref: str,
    component: str,
    mode: str = "",
    statement: str = "",
    evidence: Sequence[str] = (),
) -> Cause:
    """Name one component and failure mode as the cause, citing the tests that prove it.

    A running search for the fault of that complaint ends with it.
    """
    with writing(order) as order:
        causes = Cause.objects.filter(order=order)
        cause = Cause(
            order=order,
            position=place_after(causes),
            ref=new_ref(causes, "K"),
            complaint_ref=complaint_ref,
            component=component,
            mode=mode,
            statement=statement,
            evidence=list(evidence),
        )
        keep(cause, order, by=by, action="name cause")
        end_searches(order, by=by, at=at, complaint_ref=complaint_ref, cause_ref=cause.ref)
        comebacks_may_change(order, at)
    return cause


def amend_cause(cause: Cause, *, by: Any, at: datetime, why: str, **changes: Any) -> Cause:
    """Correct a cause or cite more tests; what stood before is in the audit trail."""
    with writing(cause.order, even_closed=True) as order:
        amend(cause, order, changes, by=by, action="amend cause", reason=why)
        comebacks_may_change(order, at)
    return cause
