"""Reads what the proposals rest on: steps done and skipped, their outcomes, and what causes cite."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Count, Q

from diagnostics.audit.checks import check_rows
from diagnostics.audit.scope import Scope
from diagnostics.judging import outcome
from diagnostics.learning.policy import PROPOSALS_LOOK_BACK_DAYS, SEPARATES_NOTHING_FROM
from diagnostics.learning.proposals import (
    Asked,
    Backs,
    Costly,
    Outcomes,
    Step,
    ToAdd,
    ToAsk,
    ToDrop,
    to_add,
    to_ask,
    to_drop,
)
from diagnostics.models import Cause, ProtocolStep, Suspect, TestKind, TestRun, WatchedCheck, WatchedJob
from diagnostics.snapshot import Test
from shared.moments import Moment

MOST_READ = 50_000
"""Newest readings that are looked at, so that a large record answers in a second."""
JUDGED_BY = (
    "ref", "code", "phase", "kind", "done_on", "value", "unit", "lo", "hi", "limit_unit", "result",
    "observation", "info_only",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Proposals:
    """What the record of some years speaks for."""

    drop: tuple[ToDrop, ...]
    add: tuple[ToAdd, ...]
    ask: tuple[ToAsk, ...]


def proposals(as_of: date) -> Proposals:
    """Return the proposals of a day; the number of queries does not grow with them.

    A reading is counted with the leading symptom of its job.
    """
    since = as_of - timedelta(days=PROPOSALS_LOOK_BACK_DAYS)
    columns = ("protocol__system", "protocol__symptom", "test_code", "phase", "critical")
    rows = ProtocolStep.objects.filter(protocol__is_current=True).values_list(*columns)
    steps = [Asked(*row) for row in rows]
    in_protocol = {(step.symptom, step.code): step.critical for step in steps if step.phase == "before"}
    backs = _backs(since, as_of)
    candidates = {step for step in backs if in_protocol.get(step) is False}
    cited = _cited(since, as_of)
    return Proposals(
        to_drop(backs, _outcomes(candidates, cited, since, as_of)),
        to_add(*_proved(cited, since, as_of), in_protocol),
        to_ask(_costly(since, as_of), steps),
    )


def _costly(since: date, as_of: date) -> list[Costly]:
    """Return the steps without which more jobs came back, by the audit's own comparison."""
    rows = [row for row in check_rows(Scope(as_of=as_of, since=since)).listed if row.answer == "more"]
    systems = dict(
        TestKind.objects.filter(is_current=True, code__in=[row.code for row in rows]).values_list(
            "code", "system"
        )
    )
    return [
        Costly(
            row.code, row.phase, systems.get(row.code, ""), row.extra, row.q, row.when_done, row.when_skipped
        )
        for row in rows
    ]


def _backs(since: date, as_of: date) -> dict[Step, Backs]:
    ripe, back = Q(job__mature_on__lte=as_of), Q(job__back_days__isnull=False)
    done, skipped = Q(state=WatchedCheck.State.DONE), Q(state=WatchedCheck.State.SKIPPED)
    rows = (
        WatchedCheck.objects.filter(phase="before", job__returned_on__range=(since, as_of))
        .order_by()
        .values("symptom", "code")
        .annotate(
            done=_jobs(done),
            back_done=_jobs(done & ripe & back),
            ripe_done=_jobs(done & ripe),
            back_skipped=_jobs(skipped & ripe & back),
            ripe_skipped=_jobs(skipped & ripe),
        )
        .filter(done__gte=SEPARATES_NOTHING_FROM)
    )
    return {(row.pop("symptom"), row.pop("code")): Backs(**row) for row in rows}


def _jobs(which: Q) -> Count:
    return Count("job", filter=which, distinct=True)


def _cited(since: date, as_of: date) -> dict[int, tuple[set[str], set[str]]]:
    """Return the ids that causes cite, and those that suspects cite, by order."""
    inside = {"returned_on__range": (since, as_of)}
    orders = WatchedJob.objects.filter(**inside).order_by("-returned_on").values("pk")
    found: dict[int, tuple[set[str], set[str]]] = defaultdict(lambda: (set(), set()))
    causes = Cause.objects.filter(order__in=orders).order_by("-order__returned_on")
    for order, evidence in causes.values_list("order", "evidence")[:MOST_READ]:
        found[order][0].update(evidence)
    suspects = Suspect.objects.filter(complaint__order__in=orders).order_by("-complaint__order__returned_on")
    for order, evidence in suspects.values_list("complaint__order", "evidence")[:MOST_READ]:
        found[order][1].update(evidence)
    return found


def _outcomes(
    candidates: set[Step], cited: dict[int, tuple[set[str], set[str]]], since: date, as_of: date
) -> dict[Step, Outcomes]:
    found: dict[Step, Outcomes] = defaultdict(Outcomes)
    runs = _runs(since, as_of).filter(code__in={code for _, code in candidates})
    for order, symptom, test in _read(runs):
        step, said = (symptom, test.code), outcome(test)
        if step not in candidates or said is None:
            continue
        seen = found[step]
        seen.passed += said == "pass"
        seen.failed += said == "fail"
        seen.cited += any(test.id in ids for ids in cited.get(order, ()))
    return found


def _proved(
    cited: dict[int, tuple[set[str], set[str]]], since: date, as_of: date
) -> tuple[Counter[Step], Counter[str]]:
    """Return in how many jobs a failing test proved the cause, and how many jobs have a proved one."""
    by_step: dict[Step, set[int]] = defaultdict(set)
    by_symptom: dict[str, set[int]] = defaultdict(set)
    proving = {order: causes for order, (causes, _) in cited.items() if causes}
    for order, symptom, test in _read(_runs(since, as_of).filter(order__cause_set__isnull=False).distinct()):
        if symptom and test.id in proving.get(order, ()):
            by_symptom[symptom].add(order)
            if outcome(test) == "fail":
                by_step[symptom, test.code].add(order)
    return _counts(by_step), _counts(by_symptom)


def _counts(found):
    return Counter({key: len(orders) for key, orders in found.items()})


def _runs(since: date, as_of: date):
    return TestRun.objects.filter(
        phase="before",
        superseded_by__isnull=True,
        status=TestRun.Status.DONE,
        order__watched__returned_on__range=(since, as_of),
    ).order_by("-order__watched__returned_on", "pk")


def _read(runs) -> Iterator[tuple[int, str, Test]]:
    columns: Iterable[str] = ("order_id", "order__watched__symptom", *JUDGED_BY)
    for order, symptom, ref, code, phase, kind, on, *rest in runs.values_list(*columns)[:MOST_READ]:
        value, unit, lo, hi, limit_unit, result, observation, info_only = rest
        yield (
            order,
            symptom,
            Test(
                id=ref,
                code=code,
                phase=phase,
                kind=kind,
                on=Moment(on),
                value=value,
                unit=unit,
                lo=lo,
                hi=hi,
                limit_unit=limit_unit,
                result=result or None,
                observation=observation,
                info_only=info_only,
            ),
        )
