"""What was said of a return before, from the audit trail. Who said it stays there."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from diagnostics.models import ReturnVisit
from diagnostics.review.wording import EXCLUSION_WORDS
from shared.models import AuditEntry

State = ReturnVisit.State


@dataclass(frozen=True, slots=True)
class Said:
    """One change of a review."""

    at: datetime
    text: str
    note: str


def history(visit: ReturnVisit) -> list[Said]:
    """Return the changes of a review, newest first."""
    entries = AuditEntry.objects.filter(record=visit._meta.label, record_id=str(visit.pk), action="review")
    return [Said(entry.at, _text(entry.before or {}, entry.after or {}), entry.reason) for entry in entries]


def _text(before: dict, after: dict) -> str:
    if "state" not in after:
        return "Note rewritten"
    was, now = State(before["state"]).label, State(after["state"]).label
    which = after.get("review_exclusion", "")
    exclusion = f", {which}: {EXCLUSION_WORDS[which]}" if which in EXCLUSION_WORDS else ""
    return f"From “{was}” to “{now}”{exclusion}"
