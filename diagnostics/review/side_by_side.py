"""Two jobs of one vehicle, link against link."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q

from diagnostics.assessment import Assessment, assess_snapshot
from diagnostics.comebacks.pairs import in_opening_order
from diagnostics.comebacks.wording import sentence
from diagnostics.evidence import Finding, rings
from diagnostics.job.on_order import test_kinds
from diagnostics.models import ReturnVisit, TestKind
from diagnostics.reading import read_instruments, read_orders
from diagnostics.review.facts_of_job import Line, facts_by_ring
from diagnostics.review.names import symptom_names, words
from diagnostics.review.undone import Undone, undone
from diagnostics.review.wording import LEVEL_WORDS, exclusion_text
from diagnostics.snapshot import Instrument, Order
from shared import chain
from shared.wording import count_text, days_text, distance_in, distance_text
from shop.models import RepairOrder


@dataclass(frozen=True, slots=True)
class Half:
    """One link of one job."""

    ring: chain.Ring
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two jobs."""

    row: RepairOrder
    order: Order
    halves: tuple[Half, ...]

    @property
    def chain(self) -> tuple[chain.Ring, ...]:
        """The rings alone."""
        return tuple(half.ring for half in self.halves)

    @property
    def said(self) -> str:
        """How the chain stands, in one sentence."""
        text = chain.said(self.chain)
        return text[:1].lower() + text[1:]


@dataclass(frozen=True, slots=True)
class SideBySide:
    """A return as it is reviewed. No person is named in it."""

    visit: ReturnVisit
    title: str
    why: str
    then: Side
    now: Side
    undone: Undone
    stretch: str
    facts: tuple[tuple[str, str], ...]
    findings: tuple[Finding, ...]  # of the earlier job
    kinds: Mapping[str, TestKind]
    instruments: Mapping[str, Instrument]

    @property
    def rows(self) -> tuple[tuple[str, Half, Half], ...]:
        """Link by link: its name, how it was then, how it is now."""
        pairs = zip(self.then.halves, self.now.halves, strict=True)
        return tuple((then.ring.name, then, now) for then, now in pairs)

    @property
    def is_comeback(self) -> bool:
        """Whether the verdict is a comeback, which alone is set in red lead."""
        return self.visit.verdict == ReturnVisit.Verdict.COMEBACK

    @property
    def verdict(self) -> str:
        """The provisional verdict as a heading."""
        return VERDICT_TITLES[self.visit.verdict]


VERDICT_TITLES = {
    "comeback": "Provisional verdict: comeback",
    "needs_review": "Provisional verdict: a person decides",
    "excluded": "Provisional verdict: excluded",
    "not_candidate": "A late return, in no rate",
}


def side_by_side(visit: ReturnVisit, *, unit: str) -> SideBySide:
    """Return both jobs of a return. A constant number of queries, however long the vehicle's past is.

    Parameters
    ----------
    visit : ReturnVisit
        With `index_order` and `return_order` at hand.
    unit : {'km', 'mi'}
        How distances are shown.
    """
    instruments = read_instruments()
    assessed = _assessed(visit, instruments)
    then, now = assessed[visit.index_order.number], assessed[visit.return_order.number]
    symptoms = symptom_names()
    kinds = test_kinds(code for one in (then, now) for code in _codes(one.order))
    sheets = _sheets((visit.index_order_id, visit.return_order_id))

    def side(row: RepairOrder, assessment: Assessment) -> Side:
        issued = sheets.get(row.pk, [])
        lines = facts_by_ring(
            assessment.order,
            assessment.findings,
            kinds=kinds,
            symptoms=symptoms,
            sheets=issued,
            closing_reason=row.closing_reason,
        )
        placed = chain.rings(
            {"name": ring.name, "state": ring.state, "word": _word(ring)}
            for ring in rings(assessment.order, assessment.findings, sheet_issued=bool(issued))
        )
        return Side(row, assessment.order, tuple(Half(ring, lines[ring.name.lower()]) for ring in placed))

    return SideBySide(
        visit=visit,
        title=_title(visit, then.order, symptoms),
        why=sentence(visit.reason, visit.days),
        then=side(visit.index_order, then),
        now=side(visit.return_order, now),
        undone=undone(then.order, then.findings, now.order, kinds=kinds),
        stretch=_stretch(visit, unit),
        facts=tuple(_facts(visit, unit)),
        findings=then.findings,
        kinds=kinds,
        instruments=instruments,
    )


def _assessed(visit: ReturnVisit, instruments: Mapping[str, Instrument]) -> dict[str, Assessment]:
    """Assess both jobs, each with the vehicle's earlier ones at hand."""
    last = visit.return_order
    until_then = Q(opened_on__lt=last.opened_on) | Q(pk__in=[last.pk, visit.index_order_id])
    wanted = RepairOrder.objects.filter(until_then, vehicle_id=last.vehicle_id)
    orders = in_opening_order(read_orders(wanted.order_by("opened_on", "pk")))
    return {
        order.id: assess_snapshot(order, instruments=instruments, earlier=orders[:place])
        for place, order in enumerate(orders)
        if order.id in (visit.index_order.number, visit.return_order.number)
    }


def _sheets(pks: Iterable[int]) -> dict[int, list[int]]:
    """Return the versions of the findings sheet issued for these orders."""
    rows = RepairOrder.objects.filter(pk__in=list(pks), documents__kind="findings")
    found: dict[int, list[int]] = {}
    for pk, version in rows.order_by().values_list("pk", "documents__version"):
        found.setdefault(pk, []).append(version)
    return found


def _codes(order: Order) -> list[str]:
    steps = (step.code for complaint in order.complaints for step in complaint.required)
    return [*steps, *(test.code for test in order.tests)]


def _word(ring) -> str:
    missing = len(ring.open_findings)
    return f"{ring.words}, {count_text(missing, 'gap')}" if ring.state == "open" and missing else ring.words


def _title(visit: ReturnVisit, then: Order, symptoms: dict[str, str]) -> str:
    now = symptoms.get(visit.symptom) or words(visit.symptom).capitalize() or "A visit without a symptom"
    if visit.level == "S":
        return f"{now}, again"
    earlier = [c.symptom for c in then.complaints if c.kind == "symptom" and c.symptom]
    if not earlier:
        return now
    before = symptoms.get(earlier[0]) or words(earlier[0]).capitalize()
    return f"{before}, then {now[:1].lower()}{now[1:]}"


def _stretch(visit: ReturnVisit, unit: str) -> str:
    days = "days not known" if visit.days is None else days_text(visit.days)
    return f"{days}, {_distance(visit.km, unit)}"


def _facts(visit: ReturnVisit, unit: str):
    level = f"{visit.level}, {LEVEL_WORDS[visit.level]}"
    yield "How related", level
    days, km = visit.policy.get("window_days"), visit.policy.get("window_km")
    if days is not None:
        yield "Window, days", f"{visit.days} of {days}, {_inside(visit.days, days)}"
    if km is not None:
        limit = Decimal(km)
        driven = "not known" if visit.km is None else _bare(visit.km, unit)
        where = {None: "a person decides"}.get(visit.km) or (
            "the odometers contradict" if visit.km < 0 else _inside(visit.km, limit)
        )
        yield "Window, distance", f"{driven} of {_distance(limit, unit)}, {where}"
    yield "Exclusion", exclusion_text(visit.exclusion, visit.reason)


def _inside(value: int | Decimal | None, limit: int | Decimal) -> str:
    return "inside" if value is not None and 0 <= value <= limit else "outside"


def _distance(km: Decimal | None, unit: str) -> str:
    return "distance not known" if km is None else distance_text(distance_in(km, "km", unit), unit)


def _bare(km: Decimal, unit: str) -> str:
    return _distance(km, unit).split("\u00a0")[0]
