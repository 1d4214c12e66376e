"""Counts jobs before and after changes of protocols, in one query however many changes there are."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Count, Exists, F, IntegerField, Max, OuterRef, Q, QuerySet, Value

from diagnostics.learning.compared import Counts
from diagnostics.learning.spans import Spans, ripe_until, spans
from diagnostics.models import Protocol, ProtocolAim, RequiredStep, TestRun, WatchedCheck, WatchedJob
from shop.models import Complaint, Location


@dataclass(frozen=True, slots=True)
class Asked:
    """One change, and the days that are compared; None where none has passed yet.

    `ripe` ends with the last day whose window has run, and serves comebacks.
    """

    aim: ProtocolAim
    ends_on: date
    days: Spans | None
    ripe: Spans | None


@dataclass(frozen=True, slots=True)
class Counted:
    """What both sides of one change came to; `held_over` jobs came after the start with the old steps."""

    step: Counts
    back: Counts
    held_over: int


NOTHING = Counted(Counts(0, 0, 0, 0), Counts(0, 0, 0, 0), 0)


def asked(aims: Iterable[ProtocolAim], as_of: date) -> tuple[Asked, ...]:
    """Return the days of each change: from its start to the day of the count, or to the next version's."""
    window = Location.objects.aggregate(most=Max("window_days"))["most"] or 0
    aims = list(aims)
    next_on = _replaced_on(aims)
    return tuple(_asked(aim, next_on.get(aim.protocol_id), as_of, window) for aim in aims)


def _asked(aim: ProtocolAim, replaced_on: date | None, as_of: date, window: int) -> Asked:
    ends_on = min(as_of, replaced_on - timedelta(days=1)) if replaced_on else as_of
    last_ripe = min(ends_on, ripe_until(as_of, window))
    days, ripe = (spans(aim.starts_on, aim.by_on, until) for until in (ends_on, last_ripe))
    return Asked(aim, ends_on, days, ripe)


def _replaced_on(aims: list[ProtocolAim]) -> dict[int, date]:
    """Return the day on which the next version of each protocol was put in force."""
    versions = Protocol.objects.filter(
        system__in={aim.protocol.system for aim in aims}, symptom__in={aim.protocol.symptom for aim in aims}
    ).order_by()
    made = {(row.system, row.symptom, row.version): row.made_at for row in versions}
    found = {}
    for aim in aims:
        of = aim.protocol
        at = made.get((of.system, of.symptom, of.version + 1))
        if at:
            found[of.pk] = at.date()
    return found


def count(changes: Iterable[Asked]) -> Mapping[int, Counted]:
    """Return the counts of each change by the key of its aim."""
    queries = [_query(change) for change in changes if change.days]
    if not queries:
        return {}
    rows = queries[0].union(*queries[1:], all=True)
    return {row["aim"]: _counted(row) for row in rows}


def jobs_of(change: Asked) -> QuerySet[WatchedJob]:
    """Return the jobs of the change's system and symptom on both sides, with what they are counted by.

    `is_new`: its complaint asks for the new steps; an order without a note of its protocol goes by the day it
    was opened. `did`: the step was done, by the rules where it was asked for, else by a reading of its code.
    """
    of, days = change.aim.protocol, change.days
    own = Q(complaint__system=of.system, complaint__symptom=of.symptom)
    complaints = Complaint.objects.filter(system=of.system, symptom=of.symptom).values("order")
    noted = RequiredStep.objects.filter(own, complaint__order=OuterRef("pk"), protocol__isnull=False)
    code = change.aim.step_code
    asked_for = WatchedCheck.objects.filter(job=OuterRef("pk"), code=code, symptom=of.symptom)
    read = TestRun.objects.filter(
        order=OuterRef("pk"), code=code, superseded_by__isnull=True, status=TestRun.Status.DONE
    )
    return (
        WatchedJob.objects.filter(
            order__in=complaints, returned_on__range=(days.before_since, days.after_until)
        )
        .annotate(
            is_new=Exists(noted.filter(protocol=of)),
            is_noted=Exists(noted),
            opened_on=F("order__opened_on"),
            was_asked=Exists(asked_for),
            did_asked=Exists(asked_for.filter(state=WatchedCheck.State.DONE)),
            has_read=Exists(read),
        )
        .order_by()
    )


def sides(change: Asked) -> tuple[Q, Q]:
    """Return which of those jobs are before the change, and which after."""
    start = change.aim.starts_on
    new = Q(is_new=True) | Q(is_noted=False, opened_on__gte=start)
    return Q(returned_on__lt=start) & ~new, Q(returned_on__gte=start) & new


def _query(change: Asked) -> QuerySet:
    before, after = sides(change)
    did = Q(did_asked=True) | Q(was_asked=False, has_read=True)
    back, ripe_before, ripe_after = Q(back_days__isnull=False), _none(), _none()
    if change.ripe:
        ripe_before = before & Q(returned_on__gte=change.ripe.before_since)
        ripe_after = after & Q(returned_on__lte=change.ripe.after_until)
    return (
        jobs_of(change)
        .annotate(aim=Value(change.aim.pk, output_field=IntegerField()))
        .values("aim")
        .annotate(
            step_before=_jobs(before & did),
            of_before=_jobs(before),
            step_after=_jobs(after & did),
            of_after=_jobs(after),
            back_before=_jobs(ripe_before & back),
            ripe_before=_jobs(ripe_before),
            back_after=_jobs(ripe_after & back),
            ripe_after=_jobs(ripe_after),
            all_after=_jobs(Q(returned_on__gte=change.aim.starts_on)),
        )
    )


def _jobs(which: Q) -> Count:
    return Count("pk", filter=which)


def _none() -> Q:
    return Q(pk__isnull=True)


def _counted(row: Mapping[str, int]) -> Counted:
    return Counted(
        Counts(row["step_before"], row["of_before"], row["step_after"], row["of_after"]),
        Counts(row["back_before"], row["ripe_before"], row["back_after"], row["ripe_after"]),
        row["all_after"] - row["of_after"],
    )
