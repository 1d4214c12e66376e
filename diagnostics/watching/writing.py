"""Brings the rows on record to what was computed, inside the caller's transaction."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import astuple, dataclass
from datetime import datetime
from typing import Any

from django.db import connection
from django.db.models import Model

from diagnostics.models import KeptAudit, ReturnVisit, WatchedCheck, WatchedJob
from diagnostics.watching.columns import CHECK, JOB, PAIR
from diagnostics.watching.comparing import RETIRED_REASON, Changes, plain
from diagnostics.watching.computing import Row

ROWS_A_STATEMENT = 500
UNREVIEWED = {
    "state": ReturnVisit.State.UNREVIEWED.value,
    "review_exclusion": "",
    "review_note": "",
    "reviewed_by": "",
}


@dataclass(frozen=True, slots=True)
class Written:
    """How many rows were written or taken away."""

    pairs: int = 0
    jobs: int = 0
    checks: int = 0

    def __add__(self, other: Written) -> Written:
        return Written(*map(sum, zip(astuple(self), astuple(other), strict=True)))

    def __bool__(self) -> bool:
        return any(astuple(self))


def write(changes: Changes, *, at: datetime) -> Written:
    """Write what differs, and say that what the audit has kept rests on something else now."""
    written = Written(_write_pairs(changes, at), _write_jobs(changes, at), _write_checks(changes))
    _take_jobs_away(changes.jobs_gone)
    if written:
        mark_stale()
    return written


def mark_stale() -> None:
    """Say of every kept answer of the audit that what it counts has changed."""
    KeptAudit.objects.filter(is_stale=False).update(is_stale=True)


def _write_pairs(changes: Changes, at: datetime) -> int:
    changed = dict(changes.pairs_changed)
    # A return counts against one order at a time: let go of the old one before the new one is marked.
    for pks in _batches([*changes.pairs_retired, *changed]):
        ReturnVisit.objects.filter(pk__in=pks).update(counts=False)
    for pks in _batches(changes.pairs_retired):
        ReturnVisit.objects.filter(pk__in=pks).update(
            verdict=ReturnVisit.Verdict.NOT_CANDIDATE, reason=RETIRED_REASON, computed_at=at
        )
    for pks in _batches(changes.pairs_gone):
        ReturnVisit.objects.filter(pk__in=pks).delete()
    visits = [
        ReturnVisit(pk=pk, computed_at=at, **dict(zip(PAIR, row, strict=True))) for pk, row in changed.items()
    ]
    ReturnVisit.objects.bulk_update(visits, [*PAIR, "computed_at"], batch_size=ROWS_A_STATEMENT)
    insert(
        ReturnVisit,
        ("index_order_id", "return_order_id", "computed_at", *UNREVIEWED, *PAIR),
        [(index, later, plain(at), *UNREVIEWED.values(), *row) for index, later, row in changes.pairs_new],
    )
    gone = len(changes.pairs_retired) + len(changes.pairs_gone)
    return gone + len(changed) + len(changes.pairs_new)


def _write_jobs(changes: Changes, at: datetime) -> int:
    # Put in anew under the same key, so that its checks still belong to it when the transaction ends.
    for pks in _batches(changes.jobs_changed):
        _delete(WatchedJob.objects.filter(pk__in=pks))
    made_at = plain(at)
    insert(WatchedJob, ("order_id", *JOB, "computed_at"), [(pk, *row, made_at) for pk, row in changes.jobs])
    return len(changes.jobs_gone) + len(changes.jobs)


def _write_checks(changes: Changes) -> int:
    for pks in _batches(changes.asked_anew):
        _delete(WatchedCheck.objects.filter(job__in=pks))
    insert(WatchedCheck, ("job_id", *CHECK), [(pk, *row) for pk, row in changes.checks])
    return len(changes.asked_anew) + len(changes.checks)


def _take_jobs_away(gone: Sequence[int]) -> None:
    for pks in _batches(gone):
        _delete(WatchedJob.objects.filter(pk__in=pks))


def insert(model: type[Model], columns: Sequence[str], rows: Sequence[Row]) -> None:
    """Put rows into a table as the driver does it fastest; the values are plain."""
    if not rows:
        return
    table, names = connection.ops.quote_name(model._meta.db_table), ", ".join(columns)
    with connection.cursor() as cursor, connection.wrap_database_errors:
        if connection.vendor == "postgresql":
            with cursor.copy(f"COPY {table} ({names}) FROM STDIN") as copy:
                for row in rows:
                    copy.write_row(row)
        else:
            places = ", ".join(["%s"] * len(columns))
            cursor.executemany(f"INSERT INTO {table} ({names}) VALUES ({places})", rows)


def _delete(rows: Any) -> None:
    """Delete in one statement: nothing that hangs on these rows has to be looked for."""
    rows._raw_delete(rows.db)


def _batches(keys: Iterable[int]) -> Iterable[list[int]]:
    known = list(keys)
    return (known[at : at + ROWS_A_STATEMENT] for at in range(0, len(known), ROWS_A_STATEMENT))
