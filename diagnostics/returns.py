"""What a person says of a return visit. The visits themselves are computed: `diagnostics/watching/`."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db import transaction

from diagnostics import watching
from diagnostics.models import ReturnVisit
from shared import audit


@transaction.atomic
def review(
    visit: ReturnVisit, *, state: str, by: Any, at: datetime, exclusion: str = "", note: str = ""
) -> None:
    """Record what a person says of a return; what was said before stays in the audit trail."""
    fields = ["state", "review_exclusion", "review_note", "reviewed_by", "reviewed_at"]
    before = audit.values(visit, fields)
    visit.state = state
    visit.review_exclusion = exclusion if state == ReturnVisit.State.EXCLUDED else ""
    visit.review_note = note
    visit.reviewed_by = by.signs_as
    visit.reviewed_at = at
    visit.save(update_fields=fields)
    was, now = audit.difference(before, audit.values(visit, fields))
    audit.record(
        "review", visit, by=by, before=was, after=now, order_number=visit.return_order.number, reason=note
    )
    watching.refresh([visit.return_order.vehicle_id], at=at)
