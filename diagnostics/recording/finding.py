"""A cause that is named ends the search for it, wherever it was named."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from diagnostics.models import FaultSearch
from diagnostics.recording.entries import amend
from shop.models import RepairOrder


def end_searches(
    order: RepairOrder, *, by: Any, at: datetime, complaint_ref: str, cause_ref: str
) -> list[FaultSearch]:
    """End the running search for the fault of a complaint: its cause is named. The order is locked."""
    running = FaultSearch.objects.filter(order=order, complaint_ref=complaint_ref, ended_at__isnull=True)
    found = {"end": FaultSearch.End.FOUND, "ended_by": by.signs_as, "ended_at": at, "cause_ref": cause_ref}
    return [amend(search, order, found, by=by, action="find fault") for search in running]
