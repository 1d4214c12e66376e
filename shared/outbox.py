"""Background work that is never lost and never done twice at once.

Work is asked for as a row in the same transaction as the change that needs it. With Redis a
Celery worker is hinted after the commit; without, `manage.py work` takes the same rows. A
hint that gets lost only delays the row until the next sweep.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from datetime import datetime, timedelta

from django.conf import settings
from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from shared.models import OutboxRow

log = logging.getLogger(__name__)

MOST_ATTEMPTS = 5
# Longer than the longest work; a row whose worker died is taken again after it.
LEASE = timedelta(minutes=10)
FIRST_RETRY_SECONDS = 15

Handler = Callable[..., None]
_handlers: dict[str, Handler] = {}
_regular: dict[str, str] = {}
PERIODS = {"daily": "%Y-%m-%d", "monthly": "%Y-%m"}


def handles(kind: str, *, daily: bool = False, monthly: bool = False) -> Callable[[Handler], Handler]:
    """Register the function that does rows of one kind; it must be safe to run twice.

    A `daily` or `monthly` kind is asked for once in each by whoever drains the outbox.
    """

    def register(function: Handler) -> Handler:
        _handlers[kind] = function
        if daily or monthly:
            _regular[kind] = PERIODS["daily" if daily else "monthly"]
        return function

    return register


def ask(kind: str, *, key: str, payload: dict | None = None) -> OutboxRow:
    """Ask for background work inside the current transaction; the same key is asked for once."""
    now = timezone.now()
    row, _ = OutboxRow.objects.get_or_create(
        key=key, defaults={"kind": kind, "payload": payload or {}, "asked_at": now, "not_before": now}
    )
    if settings.REDIS_URL:
        # Not a partial: Django asks for the function's name when a robust hook fails.
        transaction.on_commit(lambda: _hint(row.pk), robust=True)
    return row


def ask_regular(*, now: datetime) -> None:
    """Ask for the work of each day and of each month, once for the date of `now` in UTC."""
    for kind, period in _regular.items():
        key = f"{kind}:{now.strftime(period)}"
        if not OutboxRow.objects.filter(key=key).exists():
            ask(kind, key=key)


def do(row_pk: int, *, now: datetime | None = None) -> bool:
    """Do one row if it is waiting and nobody else has it. Return whether it was done."""
    row = _lease(row_pk, now or timezone.now())
    if row is None:
        return False
    try:
        _handlers[row.kind](**row.payload)
    except Exception as error:
        log.exception("Background work %s failed", row)
        _put_back(row, error)
        return False
    except BaseException:  # Told to stop in the middle: the next one need not wait for the lease.
        OutboxRow.objects.filter(pk=row.pk).update(leased_until=None)
        raise
    OutboxRow.objects.filter(pk=row.pk).update(done_at=timezone.now(), leased_until=None, error="")
    return True


def hold(kind: str, *, now: datetime) -> None:
    """Say that work of a kind which takes longer than a lease is still being done."""
    OutboxRow.objects.filter(kind=kind, done_at__isnull=True, leased_until__isnull=False).update(
        leased_until=now + LEASE
    )


def waiting(*, now: datetime) -> list[int]:
    """Return the rows that may be taken now, oldest first."""
    return list(_open_rows(now).values_list("pk", flat=True)[:100])


def drain() -> int:
    """Do every row that waits now. Return how many were done."""
    done = 0
    while rows := waiting(now=timezone.now()):
        done += sum(do(pk) for pk in rows)
    return done


def _open_rows(now: datetime):
    free = Q(leased_until__isnull=True) | Q(leased_until__lt=now)
    return OutboxRow.objects.filter(free, done_at__isnull=True, failed_at__isnull=True, not_before__lte=now)


def _lease(row_pk: int, now: datetime) -> OutboxRow | None:
    with transaction.atomic():
        row = _open_rows(now).select_for_update(skip_locked=True).filter(pk=row_pk).first()
        if row is None:
            return None
        row.leased_until = now + LEASE
        row.attempts += 1
        row.save(update_fields=["leased_until", "attempts"])
    return row


def _put_back(row: OutboxRow, error: Exception) -> None:
    row.error = f"{type(error).__name__}: {error}"[:2000]
    row.leased_until = None
    if row.attempts >= MOST_ATTEMPTS:
        row.failed_at = timezone.now()
    else:
        row.not_before = timezone.now() + timedelta(seconds=FIRST_RETRY_SECONDS * 2 ** (row.attempts - 1))
    row.save(update_fields=["error", "leased_until", "failed_at", "not_before"])


def _hint(row_pk: int) -> None:
    from shared.tasks import do_outbox_row

    do_outbox_row.delay(row_pk)
