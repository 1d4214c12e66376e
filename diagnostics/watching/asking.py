"""Asking for a recount in the background, and saying how far it has come."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from diagnostics.models import Recount
from shared import audit, outbox
from shared.models import OutboxRow

RECOUNT = "recount"


@dataclass(frozen=True, slots=True)
class Standing:
    """The recount that is asked for or running, if there is one, and the last one that ended."""

    is_asked: bool
    running: Recount | None
    last: Recount | None  # finished, or broken off with an error

    @property
    def is_under_way(self) -> bool:
        return self.is_asked or self.running is not None

    @property
    def share(self) -> int:
        """How much of the running one is done. [%]"""
        return 100 * self.running.done // self.running.total if self.running and self.running.total else 0


@transaction.atomic
def ask_recount(*, at: datetime, by: Any = None) -> None:
    """Ask for a recount of everything; one that is asked for and has not begun serves."""
    if _waiting().filter(leased_until__isnull=True).exists():
        return
    row = outbox.ask(
        RECOUNT, key=f"{RECOUNT}:{at.isoformat()}", payload={"asked_by": by.signs_as} if by else {}
    )
    if by:
        audit.record("ask for a recount", row, by=by)


def standing() -> Standing:
    """Return how the recounts stand. Three queries."""
    newest = Recount.objects.order_by("-started_at", "-pk").first()
    is_open = newest is not None and newest.finished_at is None and not newest.error
    waiting = list(_waiting().values_list("leased_until", flat=True))
    # One whose process died says so nowhere; nobody has leased its row any more, or there never was one.
    running = newest if is_open and (any(waiting) or not waiting) else None
    last = Recount.objects.exclude(finished_at=None, error="").order_by("-started_at", "-pk").first()
    return Standing(is_asked=any(until is None for until in waiting), running=running, last=last)


def _waiting():
    return OutboxRow.objects.filter(kind=RECOUNT, done_at__isnull=True, failed_at__isnull=True)
