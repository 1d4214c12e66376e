"""Brings the rows on record to what was computed. Writes only what differs; reviews are a person's."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Q

from diagnostics.models import KeptAudit, ReturnVisit, WatchedCheck, WatchedJob
from diagnostics.watching.computing import PAIR, Wanted
from shop.models import RepairOrder

JOB = (
    "location_id",
    "vehicle_id",
    "technician",
    "returned_on",
    "mature_on",
    "left_on",
    "outcome",
    "system",
    "symptom",
    "is_intermittent",
    "difficulty",
    "vehicle_years",
    "odometer_km",
    "chain",
    "chain_link",
    "back_days",
    "low_days",
    "up_days",
    "year_days",
)
CHECK = ("code", "phase", "complaint_ref", "state", "system", "symptom", "difficulty")
RETIRED_REASON = "unrelated"  # Of a reviewed pair whose orders say so now.
ROWS_A_STATEMENT = 500


@dataclass(frozen=True, slots=True)
class Written:
    """How many rows were written or taken away."""

    pairs: int = 0
    jobs: int = 0
    checks: int = 0

    def __add__(self, other: Written) -> Written:
        return Written(self.pairs + other.pairs, self.jobs + other.jobs, self.checks + other.checks)

    def __bool__(self) -> bool:
        return bool(self.pairs or self.jobs or self.checks)


def write(wanted: Wanted, chosen: Q, *, at: datetime) -> Written:
    """Write the rows of the orders chosen, inside the caller's transaction."""
    orders = RepairOrder.objects.filter(chosen).values("pk")
    written = Written(_write_pairs(wanted.pairs, orders, at), *_write_jobs(wanted, orders, at))
    if written:
        mark_stale()
    return written


def mark_stale() -> None:
    """Say that what the audit has kept rests on something that has changed."""
    KeptAudit.objects.filter(is_stale=False).update(is_stale=True)


def _write_pairs(wanted: Mapping[tuple[int, int], tuple[Any, ...]], orders: Any, at: datetime) -> int:
    stored = {
        (visit.index_order_id, visit.return_order_id): visit
        for visit in ReturnVisit.objects.filter(return_order__in=orders).order_by()
    }
    stale = [visit for key, visit in stored.items() if key not in wanted and not _is_retired(visit)]
    changed = [visit for key, visit in stored.items() if key in wanted and _differs(visit, wanted[key])]
    new = [
        ReturnVisit(index_order_id=key[0], return_order_id=key[1], computed_at=at, **_named(row))
        for key, row in wanted.items()
        if key not in stored
    ]
    # A return counts against one order at a time: let go of the old one before the new one is marked.
    ReturnVisit.objects.filter(pk__in=[visit.pk for visit in [*stale, *changed]]).update(counts=False)
    _take_away(stale, at)
    for visit in changed:
        for name, value in _named(wanted[visit.index_order_id, visit.return_order_id]).items():
            setattr(visit, name, value)
        visit.computed_at = at
    ReturnVisit.objects.bulk_update(changed, [*PAIR, "computed_at"], batch_size=ROWS_A_STATEMENT)
    ReturnVisit.objects.bulk_create(new, batch_size=ROWS_A_STATEMENT)
    return len(stale) + len(changed) + len(new)


def _take_away(stale: Iterable[ReturnVisit], at: datetime) -> None:
    """Drop pairs that are none any more; one that a person reviewed stays on record, as no candidate."""
    reviewed = [visit.pk for visit in stale if visit.state != ReturnVisit.State.UNREVIEWED]
    ReturnVisit.objects.filter(pk__in=reviewed).update(
        verdict=ReturnVisit.Verdict.NOT_CANDIDATE, reason=RETIRED_REASON, computed_at=at
    )
    ReturnVisit.objects.filter(pk__in=[visit.pk for visit in stale]).exclude(pk__in=reviewed).delete()


def _is_retired(visit: ReturnVisit) -> bool:
    return visit.verdict == ReturnVisit.Verdict.NOT_CANDIDATE and visit.reason == RETIRED_REASON


def _named(row: tuple[Any, ...]) -> dict[str, Any]:
    return dict(zip(PAIR, row, strict=True))


def _differs(visit: ReturnVisit, row: tuple[Any, ...]) -> bool:
    return any(getattr(visit, name) != value for name, value in _named(row).items())


def _write_jobs(wanted: Wanted, orders: Any, at: datetime) -> tuple[int, int]:
    jobs = {
        pk: tuple(row)
        for pk, *row in WatchedJob.objects.filter(pk__in=orders).order_by().values_list("pk", *JOB)
    }
    checks: dict[int, list[tuple[Any, ...]]] = defaultdict(list)
    for pk, *row in WatchedCheck.objects.filter(job__in=orders).order_by().values_list("job_id", *CHECK):
        checks[pk].append(tuple(row))
    gone = [pk for pk in jobs if pk not in wanted.jobs]
    changed = [pk for pk, row in wanted.jobs.items() if jobs.get(pk) != row]
    asked_anew = [
        pk
        for pk in {*wanted.checks, *checks}
        if sorted(checks.get(pk, ()), key=_identity) != list(wanted.checks.get(pk, ()))
    ]
    WatchedCheck.objects.filter(job__in=[pk for pk in asked_anew if pk in checks]).delete()
    WatchedJob.objects.filter(pk__in=gone).delete()
    _put_jobs([(pk, wanted.jobs[pk]) for pk in changed], jobs, at)
    rows = [(pk, check) for pk in asked_anew for check in wanted.checks.get(pk, ())]
    WatchedCheck.objects.bulk_create(
        [WatchedCheck(job_id=pk, **dict(zip(CHECK, check, strict=True))) for pk, check in rows],
        batch_size=ROWS_A_STATEMENT,
    )
    return len(gone) + len(changed), len(rows)


def _put_jobs(rows: list[tuple[int, tuple[Any, ...]]], on_record: Mapping[int, Any], at: datetime) -> None:
    made = [WatchedJob(order_id=pk, computed_at=at, **dict(zip(JOB, row, strict=True))) for pk, row in rows]
    WatchedJob.objects.bulk_update(
        [job for job in made if job.pk in on_record],
        [*JOB_FIELDS, "computed_at"],
        batch_size=ROWS_A_STATEMENT,
    )
    WatchedJob.objects.bulk_create(
        [job for job in made if job.pk not in on_record], batch_size=ROWS_A_STATEMENT
    )


JOB_FIELDS = tuple(name.removesuffix("_id") for name in JOB)


def _identity(check: tuple[Any, ...]) -> tuple[Any, ...]:
    return check[:3]
