"""Earlier jobs like a complaint: picked in the database, ordered by likeness, with what told their cause."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import QuerySet

from diagnostics.judging import outcome
from diagnostics.models import Cause, TestKind, TestRun, WatchedJob
from diagnostics.reading import read_order, read_orders
from diagnostics.review.facts_of_job import Line, line_of
from diagnostics.similar.fulltext import search
from diagnostics.similar.scoring import Likeness, Score, score
from diagnostics.similar.words import words_of
from diagnostics.snapshot import Order
from shop.models import Complaint, RepairOrder

MOST_BY_WORDS = 200
MOST_BY_SYMPTOM = 200
MOST_BY_MODEL = 100
MOST_SHOWN = 10
CONDITIONS = ("when_in_drive", "temperature_weather", "road_load", "speed_gear")


@dataclass(frozen=True, slots=True)
class Separated:
    """A cause of an earlier job, and the readings that told it from the rest."""

    component: str
    mode: str
    readings: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class Alike:
    """One earlier job. `came_back` is days to its return; `proof` says what became of it."""

    job: WatchedJob
    score: Score
    said: str
    proof: str
    came_back: int | None
    causes: tuple[Separated, ...] = ()


@dataclass(frozen=True, slots=True)
class Ranked:
    """One earlier job with its points, before its readings are looked up."""

    job: WatchedJob
    score: Score
    said: str


def alike(order: RepairOrder, complaint: Complaint) -> tuple[Alike, ...]:
    """Return the jobs most like this complaint, the likest first, each with its proof and its causes."""
    ranked = rank(order, complaint, failing=_failing(read_order(order.pk)))[:MOST_SHOWN]
    kinds = {kind.code: kind for kind in TestKind.objects.filter(is_current=True)}
    pks = [one.job.pk for one in ranked]
    whole = {found.id: found for found in read_orders(RepairOrder.objects.filter(pk__in=pks).order_by("pk"))}
    return tuple(
        Alike(
            job=one.job,
            score=one.score,
            said=one.said,
            proof=proof_of(one.job),
            came_back=one.job.back_days,
            causes=tuple(_separated(whole[one.job.order.number], kinds)),
        )
        for one in ranked
    )


def rank(
    order: RepairOrder,
    complaint: Complaint,
    *,
    failing: frozenset[tuple[str, str]] = frozenset(),
    before: date | None = None,
) -> list[Ranked]:
    """Return handed-back jobs by likeness to a complaint. A constant number of queries.

    Parameters
    ----------
    failing : set of (test code, point)
        The readings of this job that failed so far.
    before : date, optional
        Only jobs handed back before that day, and of other vehicles: what could be known then.
    """
    jobs = WatchedJob.objects.exclude(order=order)
    if before:
        jobs = jobs.filter(returned_on__lt=before).exclude(vehicle=order.vehicle_id)
    fits = search(words_of(complaint.text), most=MOST_BY_WORDS)
    picked = jobs.filter(pk__in=_picked(jobs, order, complaint) | fits.keys())
    found = {job.pk: job for job in picked.select_related("order__vehicle").order_by()}
    said = _complaints(found)
    readings = _cited(found) if failing else {}
    this = likeness(order, complaint, failing)
    ranked = [
        _best(job, said.get(pk, []), this, fits.get(pk, 0.0), readings.get(pk, frozenset()))
        for pk, job in found.items()
    ]
    ranked.sort(key=lambda one: (-one.score.points, -one.job.returned_on.toordinal(), -one.job.pk))
    return [one for one in ranked if one.score.points > 0]


def likeness(order: RepairOrder, complaint: Complaint, failing: frozenset[tuple[str, str]]) -> Likeness:
    """Return what of a complaint and its vehicle is compared."""
    vehicle = order.vehicle
    return Likeness(
        system=complaint.system,
        symptom=complaint.symptom,
        pattern=complaint.pattern,
        make=vehicle.make.strip(),
        model=vehicle.model.strip(),
        engine=vehicle.engine.strip(),
        year=vehicle.year,
        conditions=frozenset(words_of(" ".join(_answers(complaint.intake)))),
        failing=failing,
    )


def proof_of(job: WatchedJob) -> str:
    """Return what became of an earlier job: "came back", "proved gone", "not proved"."""
    if job.back_days is not None:
        return "came back"
    return "proved gone" if job.chain == "complete" else "not proved"


def _picked(jobs: QuerySet[WatchedJob], order: RepairOrder, complaint: Complaint) -> set[int]:
    newest = jobs.order_by("-returned_on", "-pk")
    found: set[int] = set()
    if complaint.symptom:
        same = newest.filter(system=complaint.system, symptom=complaint.symptom)
        found.update(same.values_list("pk", flat=True)[:MOST_BY_SYMPTOM])
    if complaint.system and order.vehicle.model:
        same = newest.filter(
            system=complaint.system,
            vehicle__make__iexact=order.vehicle.make,
            vehicle__model__iexact=order.vehicle.model,
        )
        found.update(same.values_list("pk", flat=True)[:MOST_BY_MODEL])
    return found


def _complaints(pks: Iterable[int]) -> dict[int, list[Complaint]]:
    said: dict[int, list[Complaint]] = defaultdict(list)
    for complaint in Complaint.objects.filter(order__in=list(pks)).order_by("position", "pk"):
        said[complaint.order_id].append(complaint)
    return said


def _cited(pks: Iterable[int]) -> dict[int, frozenset[tuple[str, str]]]:
    """Return the readings that the causes of these jobs rest on. They failed, or they would prove nothing."""
    keys = list(pks)
    cited: dict[int, set[str]] = defaultdict(set)
    for pk, evidence in Cause.objects.filter(order__in=keys).values_list("order_id", "evidence"):
        cited[pk].update(evidence)
    found: dict[int, set[tuple[str, str]]] = defaultdict(set)
    runs = TestRun.objects.filter(
        order__in=list(cited), superseded_by__isnull=True, phase="before"
    ).order_by()
    for pk, ref, code, point in runs.values_list("order_id", "ref", "code", "point"):
        if ref in cited[pk]:
            found[pk].add((code.strip(), point.strip()))
    return {pk: frozenset(readings) for pk, readings in found.items()}


def _best(
    job: WatchedJob,
    said: Sequence[Complaint],
    this: Likeness,
    fit: float,
    readings: frozenset[tuple[str, str]],
) -> Ranked:
    scored = [
        (score(this, likeness(job.order, complaint, readings), fit=fit), complaint.text) for complaint in said
    ]
    best, text = max(scored, key=lambda one: one[0].points, default=(Score(0.0), ""))
    return Ranked(job, best, text)


def _answers(intake: Mapping[str, Any]) -> list[str]:
    return [str(intake[name]) for name in CONDITIONS if intake.get(name)]


def _failing(order: Order) -> frozenset[tuple[str, str]]:
    return frozenset(
        (test.code.strip(), test.point.strip())
        for test in order.tests
        if test.phase == "before" and outcome(test) == "fail"
    )


def _separated(order: Order, kinds: Mapping[str, TestKind]) -> Iterable[Separated]:
    tests = {test.id: test for test in order.tests}
    for cause in order.causes:
        cited = [tests[ref] for ref in cause.evidence if ref in tests]
        failed = [test for test in cited if outcome(test) == "fail"]
        yield Separated(cause.component, cause.mode, tuple(line_of(test, kinds) for test in failed))
