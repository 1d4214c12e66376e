"""What stands between the rows on record and those that should be. Plain values: it may cross processes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from json import dumps
from typing import Any

from django.db import connection
from django.db.models import Q

from diagnostics.models import ReturnVisit, WatchedCheck, WatchedJob
from diagnostics.watching.columns import CHECK, JOB, PAIR
from diagnostics.watching.computing import Row, Wanted
from shop.models import RepairOrder

RETIRED_REASON = "unrelated"  # Of a reviewed pair whose orders say so now.


@dataclass(frozen=True, slots=True)
class Changes:
    """What is to be written. Pairs are named by their own key, jobs by the order's.

    New rows hold plain values: they are worked out here, so that who writes has nothing left to do.
    """

    pairs_retired: tuple[int, ...] = ()  # reviewed, so kept as no candidate
    pairs_gone: tuple[int, ...] = ()
    pairs_changed: tuple[tuple[int, Row], ...] = ()
    pairs_new: tuple[tuple[int, int, Row], ...] = ()
    jobs_gone: tuple[int, ...] = ()
    jobs_changed: tuple[int, ...] = ()  # on record with other values; they are among `jobs`
    jobs: tuple[tuple[int, Row], ...] = ()
    asked_anew: tuple[int, ...] = ()  # jobs whose checks on record fall away
    checks: tuple[tuple[int, Row], ...] = ()


def compare(wanted: Wanted, chosen: Q) -> Changes:
    """Return what must be written so that the orders chosen have the rows wanted."""
    orders = RepairOrder.objects.filter(chosen).order_by().values("pk")
    return Changes(*_pairs(wanted, orders), *_jobs(wanted, orders), *_checks(wanted, orders))


def _pairs(wanted: Wanted, orders: Any) -> tuple[Any, ...]:
    columns = ("pk", "index_order_id", "return_order_id", "state", *PAIR)
    on_record = ReturnVisit.objects.filter(return_order__in=orders).order_by().values_list(*columns)
    retired, gone, changed, known = [], [], [], set()
    for pk, index, later, state, *values in on_record:
        known.add((index, later))
        row = wanted.pairs.get((index, later))
        if row is not None and row != tuple(values):
            changed.append((pk, row))
        elif row is None and state == ReturnVisit.State.UNREVIEWED:
            gone.append(pk)
        elif row is None and not _is_retired(dict(zip(PAIR, values, strict=True))):
            retired.append(pk)
    new = [(*key, _plain_row(row)) for key, row in wanted.pairs.items() if key not in known]
    return tuple(retired), tuple(gone), tuple(changed), tuple(new)


def _is_retired(values: Mapping[str, Any]) -> bool:
    verdict, reason = values["verdict"], values["reason"]
    return bool(verdict == ReturnVisit.Verdict.NOT_CANDIDATE and reason == RETIRED_REASON)


def _jobs(wanted: Wanted, orders: Any) -> tuple[Any, ...]:
    on_record = WatchedJob.objects.filter(pk__in=orders).order_by().values_list("pk", *JOB)
    known = {pk: tuple(row) for pk, *row in on_record}
    rows = tuple((pk, _plain_row(row)) for pk, row in wanted.jobs.items() if known.get(pk) != row)
    gone = tuple(pk for pk in known if pk not in wanted.jobs)
    return gone, tuple(pk for pk, _ in rows if pk in known), rows


def _checks(wanted: Wanted, orders: Any) -> tuple[Any, ...]:
    known: dict[int, list[Row]] = defaultdict(list)
    on_record = WatchedCheck.objects.filter(job__in=orders).order_by().values_list("job_id", *CHECK)
    for pk, *row in on_record:
        known[pk].append(tuple(row))
    anew = [
        pk for pk, rows in known.items() if sorted(rows, key=_identity) != list(wanted.checks.get(pk, ()))
    ]
    put = {*anew, *(pk for pk in wanted.checks if pk not in known)}
    return tuple(anew), tuple((pk, row) for pk in wanted.checks if pk in put for row in wanted.checks[pk])


def _identity(check: Row) -> Row:
    return check[:3]


def plain(value: Any) -> Any:
    """Return a value as both databases take it as text."""
    if value is None or isinstance(value, (str, int)):
        return value
    if isinstance(value, datetime):
        return connection.ops.adapt_datetimefield_value(value)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Decimal):
        return str(value)
    return dumps(value)


def _plain_row(row: Row) -> Row:
    return tuple(plain(value) for value in row)
