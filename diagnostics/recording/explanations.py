"""A named person's reason for leaving a finding as it is, and the second name where the rule asks for one."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError

from diagnostics.models import Explanation, RequiredStep
from diagnostics.recording.entries import amend, comebacks_may_change, keep, place_after, writing
from shop.models import RepairOrder


def explain(
    order: RepairOrder, *, by: Any, at: datetime, rule: str, subject: str, reason: str, approved_by: str = ""
) -> Explanation:
    """Explain one finding. Explanations add up and are never deleted."""
    with writing(order, even_closed=True) as order:
        _check_second_name(order, signed_by=by.signs_as, approved_by=approved_by)
        record = Explanation(
            order=order,
            position=place_after(Explanation.objects.filter(order=order)),
            rule=rule,
            subject=subject,
            reason=_reason(reason),
            signed_by=by.signs_as,
            approved_by=approved_by,
            signed_at=at,
        )
        keep(record, order, by=by, action="explain finding", reason=reason)
        comebacks_may_change(order, at)
    return record


def approve(explanation: Explanation, *, by: Any, at: datetime) -> Explanation:
    """Put the second name under an explanation that somebody else signed."""
    with writing(explanation.order, even_closed=True) as order:
        _check_second_name(order, signed_by=explanation.signed_by, approved_by=by.signs_as)
        amend(explanation, order, {"approved_by": by.signs_as}, by=by, action="approve explanation")
        comebacks_may_change(order, at)
    return explanation


def waive_step(
    step: RequiredStep, *, by: Any, at: datetime, reason: str, approved_by: str = "", assumption: str = ""
) -> RequiredStep:
    """Leave a required step out, with a reason; it becomes an explained finding (R4)."""
    with writing(step.complaint.order, even_closed=True) as order:
        _check_second_name(order, signed_by=by.signs_as, approved_by=approved_by)
        changes = {
            "is_waived": True,
            "waiver_reason": _reason(reason),
            "waiver_by": by.signs_as,
            "waiver_approved_by": approved_by,
            "waiver_assumption": assumption,
        }
        amend(step, order, changes, by=by, action="waive step", reason=reason)
        comebacks_may_change(order, at)
    return step


def approve_waiver(step: RequiredStep, *, by: Any, at: datetime) -> RequiredStep:
    """Put the second name under the waiver of a critical step."""
    with writing(step.complaint.order, even_closed=True) as order:
        _check_second_name(order, signed_by=step.waiver_by, approved_by=by.signs_as)
        amend(step, order, {"waiver_approved_by": by.signs_as}, by=by, action="approve waiver")
        comebacks_may_change(order, at)
    return step


def _reason(text: str) -> str:
    if not text.strip():
        raise ValidationError(
            "Write the reason, so that the next person understands it.", code="reason_missing"
        )
    return text.strip()


def _check_second_name(order: RepairOrder, *, signed_by: str, approved_by: str) -> None:
    """The second name belongs to neither the explainer nor the order's technician. practice.md section 6."""
    if approved_by and approved_by in (signed_by, order.technician):
        raise ValidationError(
            f"{approved_by} explained this or did the work. The second name is somebody else's.",
            code="second_name_not_independent",
        )
