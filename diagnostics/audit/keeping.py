"""Answers of the audit that take long are kept, and counted again in the background when they are old.

A small shop never meets this: what is computed within `KEEP_SECONDS` is computed on each visit. An answer
that took longer is kept with the moment it was computed. It is shown until a newer one is there; what has
changed since, or another day, asks for a newer one.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from hashlib import sha256
from typing import Any, Generic, TypeVar

from django.db import transaction
from django.utils import timezone

from diagnostics.audit.plain_values import from_plain, to_plain
from diagnostics.audit.scope import Scope
from diagnostics.models import KeptAudit, WatchedJob
from shared.models import OutboxRow
from shared.outbox import ask

T = TypeVar("T")
COUNT_AGAIN = "count_audit_again"
KEEP_SECONDS = 1.0  # Longer than this nobody should wait for a page twice.
MOST_JOBS_AT_ONCE = 200_000
"""With more jobs on record, even the first answer is counted in the background: no page waits for it."""


@dataclass(frozen=True, slots=True)
class Question(Generic[T]):
    """One kind of answer that may be kept: its name, what computes it from a scope, and its type."""

    name: str
    compute: Callable[[Scope], T]
    form: type[T]


@dataclass(frozen=True, slots=True)
class Answer(Generic[T]):
    """An answer, when it was computed, for which day, and whether a newer one is being counted."""

    value: T
    computed_at: datetime
    as_of: date
    is_kept: bool = False
    is_being_renewed: bool = False


_questions: dict[str, Question[Any]] = {}


def question(name: str, compute: Callable[[Scope], T], form: type[T]) -> Question[T]:
    """Make a kind of answer known, so that the background can count it again by its name."""
    made = Question(name, compute, form)
    _questions[name] = made
    return made


def answer(
    asked: Question[T], scope: Scope, *, since_is_usual: bool = False, now: datetime | None = None
) -> Answer[T] | None:
    """Return the answer of a question: kept where there is one, else computed; None while it is counted.

    A kept answer that is stale or of an earlier day is shown as it is, and asked for again.

    Parameters
    ----------
    asked : Question
    scope : Scope
    since_is_usual : bool
        The period begins where it usually does, which moves on with the day of the count.
    now : datetime or None
        None for the present moment.
    """
    now = now or timezone.now()
    key = _key(asked, scope, since_is_usual)
    kept = KeptAudit.objects.filter(key=key).first()
    value = _value_of(asked, kept)
    if kept is None or value is None:
        if WatchedJob.objects.count() <= MOST_JOBS_AT_ONCE:
            return _compute(asked, scope, key, now)
        _ask(asked, scope, key, now)
        return None
    as_of = date.fromisoformat(kept.asked["as_of"])
    is_old = kept.is_stale or as_of < scope.as_of
    if is_old:
        _ask(asked, scope, key, now)
    return Answer(value, kept.computed_at, as_of, is_kept=True, is_being_renewed=is_old)


def count_again(name: str, key: str, scope: dict[str, Any]) -> None:
    """Compute a kept answer anew and keep it; nothing is done for a kind that is no longer known."""
    asked = _questions.get(name)
    if asked is not None:
        _compute(asked, from_plain(Scope, scope), key, timezone.now(), keep_from=0.0)


def _compute(
    asked: Question[T], scope: Scope, key: str, now: datetime, keep_from: float | None = None
) -> Answer[T]:
    started = time.monotonic()
    value = asked.compute(scope)
    seconds = time.monotonic() - started
    if seconds < (KEEP_SECONDS if keep_from is None else keep_from):
        KeptAudit.objects.filter(key=key).delete()
        return Answer(value, now, scope.as_of)
    KeptAudit.objects.update_or_create(
        key=key,
        defaults={
            "asked": to_plain(scope),
            "body": {"name": asked.name, "value": to_plain(value)},
            "computed_at": now,
            "seconds": seconds,
            "is_stale": False,
        },
    )
    return Answer(value, now, scope.as_of)


def _value_of(asked: Question[T], kept: KeptAudit | None) -> T | None:
    """The kept value; None where none is kept, or one of an earlier form."""
    if kept is None:
        return None
    try:
        return from_plain(asked.form, kept.body["value"])
    except (TypeError, KeyError, ValueError):
        return None


def _ask(asked: Question[Any], scope: Scope, key: str, now: datetime) -> None:
    """Ask the background for an answer; one that is asked for already serves."""
    with transaction.atomic():
        waiting = OutboxRow.objects.filter(kind=COUNT_AGAIN, done_at=None, failed_at=None, payload__key=key)
        if not waiting.exists():
            ask(
                COUNT_AGAIN,
                key=f"{COUNT_AGAIN}:{key[:32]}:{now.isoformat()}",
                payload={"name": asked.name, "key": key, "scope": to_plain(scope)},
            )


def _key(asked: Question[Any], scope: Scope, since_is_usual: bool) -> str:
    """One key a question and scope, whatever the day of the count."""
    said = to_plain(scope)
    del said["as_of"]
    if since_is_usual:
        said["since"] = "usual"
    return sha256(repr((asked.name, sorted(said.items()))).encode()).hexdigest()
