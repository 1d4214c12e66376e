"""What was said of a return before, from the audit trail. Who said it stays there."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q

from diagnostics.models import ReturnReview, ReturnVisit
from diagnostics.review.wording import EXCLUSION_WORDS
from shared.models import AuditEntry

State = ReturnVisit.State


@dataclass(frozen=True, slots=True)
class Said:
    """One change of a review."""

    at: datetime
    text: str
    note: str


def history(visit: ReturnVisit, first: ReturnReview | None = None) -> list[Said]:
    """Return the changes of a review and of its first coding, newest first."""
    wanted = Q(record=visit._meta.label, record_id=str(visit.pk), action="review")
    if first is not None:
        wanted |= Q(record=first._meta.label, record_id=str(first.pk), action__in=["code", "look"])
    found = []
    for entry in AuditEntry.objects.filter(wanted):
        before, after = entry.before or {}, entry.after or {}
        if entry.action == "review":
            found.append(Said(entry.at, _decided(before, after), entry.reason))
        elif entry.action == "look":
            found.append(Said(entry.at, "Looked at the effect", after.get("check_said", "")))
        else:
            found.append(Said(entry.at, _coded(after), after.get("change", "")))
    return found


def _decided(before: dict, after: dict) -> str:
    if "state" not in after:
        return "Note rewritten"
    was, now = State(before["state"]).label, State(after["state"]).label
    which = after.get("review_exclusion", "")
    exclusion = f", {which}: {EXCLUSION_WORDS[which]}" if which in EXCLUSION_WORDS else ""
    return f"From “{was}” to “{now}”{exclusion}"


def _coded(after: dict) -> str:
    """The codes where they changed; else that something beside them did."""
    parts = []
    if after.get("primary"):
        parts.append(f"primary code {after['primary']}")
    if after.get("contributing"):
        parts.append(f"contributing {', '.join(after['contributing'])}")
    if after.get("escape_point"):
        parts.append(f"could have been caught at {after['escape_point']}")
    said = ", ".join(parts) or "evidence or change rewritten"
    return said[:1].upper() + said[1:]
