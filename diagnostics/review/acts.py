"""What people write of a return: the decision with its codes, a second coding, a look, the cost."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from diagnostics import returns, watching
from diagnostics.models import ReturnCost, ReturnReview, ReturnVisit
from diagnostics.review.coding import Coding
from shared import audit

CODES_KEPT = ("primary", "contributing", "escape_point")
NOT_COMPARED = {"id", "visit", "reviewer", "reviewed_at", "entered_by", "entered_at"}


@transaction.atomic
def decide(
    visit: ReturnVisit,
    *,
    state: str,
    coding: Coding | None,
    by: Any,
    at: datetime,
    exclusion: str = "",
    note: str = "",
) -> bool:
    """Record what the return was, and its codes where there are any. Return whether anything differs."""
    is_changed = (visit.state, visit.review_exclusion, visit.review_note) != (state, exclusion, note)
    if is_changed:
        returns.review(visit, state=state, exclusion=exclusion, note=note, by=by, at=at)
    return (coding is not None and _keep_first(visit, coding, by=by, at=at)) or is_changed


@transaction.atomic
def code_apart(visit: ReturnVisit, coding: Coding, *, by: Any, at: datetime) -> ReturnReview:
    """Keep a second coding, made without sight of the first; it is kept once and not changed afterwards."""
    first = visit.reviews.filter(is_second=False).first()
    if first is None:
        raise ValidationError("The owner codes a return first. This one has no codes yet.")
    if visit.reviews.filter(is_second=True).exists():
        raise ValidationError("Somebody has coded this return apart already. Two codings are compared.")
    if first.reviewer == by.signs_as:
        raise ValidationError("You have coded this return already. Somebody else codes it apart.")
    review = ReturnReview(
        visit=visit,
        reviewer=by.signs_as,
        is_second=True,
        reviewed_at=at,
        compared_with={name: getattr(first, name) for name in CODES_KEPT},
        **coding.as_kept(),
    )
    return _keep(review, None, by=by, action="code")


@transaction.atomic
def keep_look(review: ReturnReview, *, said: str, on: date, by: Any) -> None:
    """Keep what a look at the effect of a change showed."""
    before = _values(review)
    review.checked_on, review.checked_by, review.check_said = on, by.signs_as, said
    _keep(review, before, by=by, action="look")


@transaction.atomic
def keep_cost(
    visit: ReturnVisit,
    amounts: Mapping[str, Decimal | int | None],
    *,
    currency: str,
    note: str,
    by: Any,
    at: datetime,
) -> bool:
    """Keep what the return cost, as far as it is known. Return whether anything differs."""
    cost = ReturnCost.objects.filter(visit=visit).first()
    before = _values(cost) if cost else None
    cost = cost or ReturnCost(visit=visit, currency=currency)
    for name, value in amounts.items():
        setattr(cost, name, value)
    cost.note = note
    if before == _values(cost):
        return False
    cost.entered_by, cost.entered_at = by.signs_as, at
    _keep(cost, before, by=by, action="cost")
    return True


def _keep_first(visit: ReturnVisit, coding: Coding, *, by: Any, at: datetime) -> bool:
    review = visit.reviews.filter(is_second=False).first()
    if visit.reviews.filter(is_second=True, reviewer=by.signs_as).exists():
        raise ValidationError("You have coded this return apart. Its first coding is another person's.")
    before = _values(review) if review else None
    review = review or ReturnReview(visit=visit)
    was_to_check = review.check_on
    for name, value in coding.as_kept().items():
        setattr(review, name, value)
    if before == _values(review):
        return False
    if review.check_on != was_to_check:  # Another day to look: what was seen before stays in the trail.
        review.checked_on, review.checked_by, review.check_said = None, "", ""
    review.reviewer, review.reviewed_at = by.signs_as, at
    _keep(review, before, by=by, action="code")
    return True


def _keep(record: Any, before: dict[str, Any] | None, *, by: Any, action: str) -> Any:
    record.full_clean(exclude=["visit"], validate_unique=False)
    record.save()
    after = _values(record)
    was, now = (None, after) if before is None else audit.difference(before, after)
    audit.record(action, record, by=by, before=was, after=now, order_number=record.visit.return_order.number)
    watching.mark_stale()  # Kept answers of the audit count codes and costs.
    return record


def _values(record: Any) -> dict[str, Any]:
    names = [field.name for field in record._meta.concrete_fields if field.name not in NOT_COMPARED]
    return audit.values(record, names)
