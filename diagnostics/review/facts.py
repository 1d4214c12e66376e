"""What the audit counts, read from the database in a handful of queries however many orders there are."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any

from django.db.models import F, Q, QuerySet

from diagnostics.comebacks import Pair
from diagnostics.comebacks.pairs import INDEX_OUTCOMES
from diagnostics.comebacks.rate import Reviews
from diagnostics.models import Assumption, Explanation, RequiredStep, ReturnVisit, TestRun
from diagnostics.reading import read_locations
from diagnostics.review.steps import StepOnce, StepState, step_state
from diagnostics.snapshot import (
    Assumption as AssumptionSnapshot,
)
from diagnostics.snapshot import (
    Complaint,
    Order,
    SignedReason,
    Test,
    Vehicle,
    Waiver,
)
from diagnostics.snapshot import Explanation as ExplanationSnapshot
from diagnostics.snapshot import RequiredStep as StepSnapshot
from shared.moments import Moment
from shop.models import Complaint as ComplaintRow
from shop.models import RepairOrder

_VEHICLE = Vehicle("")  # No count asks which vehicle.
_STEP = (
    "complaint__order_id",
    "complaint__ref",
    "complaint__system",
    "code",
    "phase",
    "critical",
    "pk",
)


@dataclass(frozen=True, slots=True)
class Facts:
    """Index orders of a period, what came back from them, and what their protocols asked for."""

    orders: tuple[Order, ...]
    systems: Mapping[str, frozenset[str]]  # by order: of its complaints
    pairs: tuple[Pair, ...]  # the counting ones
    reviews: Reviews
    steps: tuple[StepOnce, ...]


def read_facts(since: date, until: date) -> Facts:
    """Return the facts of index orders handed back from `since` to `until`, both included."""
    handed_back = RepairOrder.objects.filter(
        returned_on__range=(since, until), outcome__in=INDEX_OUTCOMES
    ).order_by("pk")
    orders = _orders(handed_back)
    pairs, reviews = _pairs(handed_back)
    return Facts(
        orders=tuple(orders.values()),
        systems=_systems(handed_back, orders),
        pairs=pairs,
        reviews=reviews,
        steps=tuple(_Steps(handed_back, orders).read()),
    )


def _orders(handed_back: QuerySet[RepairOrder]) -> dict[int, Order]:
    """Return the heads of the orders, by key. Complaints and all else are left out."""
    locations = read_locations()
    return {
        pk: Order(
            id=number,
            vehicle=_VEHICLE,
            opened=Moment(returned_on),
            location=locations[location],
            technician=technician,
            returned=Moment(returned_on),
            outcome=outcome,
        )
        for pk, number, technician, outcome, returned_on, location in handed_back.values_list(
            "pk", "number", "technician", "outcome", "returned_on", "location__code"
        )
    }


def _pairs(handed_back: QuerySet[RepairOrder]) -> tuple[tuple[Pair, ...], Reviews]:
    pairs, reviews = [], {}
    visits = ReturnVisit.objects.filter(counts=True, index_order__in=handed_back.values("pk")).order_by()
    for state, counts, *pair in visits.values_list(
        "state",
        "counts",
        "index_order__number",
        "return_order__number",
        "level",
        "level_complaint",
        "days",
        "km",
        "in_window",
        "verdict",
        "reason",
        "exclusion",
    ):
        pairs.append(Pair(*pair, counts=counts))
        reviews[pair[0], pair[1]] = state
    return tuple(pairs), reviews


def _systems(handed_back: QuerySet[RepairOrder], orders: Mapping[int, Order]) -> dict[str, frozenset[str]]:
    systems: dict[str, set[str]] = defaultdict(set)
    complaints = ComplaintRow.objects.filter(order__in=handed_back.values("pk")).exclude(system="")
    for order, system in complaints.order_by().values_list("order_id", "system"):
        systems[orders[order].id].add(system)
    return {number: frozenset(found) for number, found in systems.items()}


class _Steps:
    """The required steps of many orders. Only a step that was not done and has a reason beside it asks R4."""

    def __init__(self, handed_back: QuerySet[RepairOrder], orders: Mapping[int, Order]) -> None:
        self.chosen = handed_back.values("pk")
        self.orders = orders

    def read(self) -> Iterator[StepOnce]:
        done = self._done()
        numbers = {pk: order.id for pk, order in self.orders.items()}
        rows = RequiredStep.objects.filter(complaint__order__in=self.chosen).order_by()
        for row in rows.values_list(*_STEP).iterator():
            order, complaint, system, code, phase, _, _ = row
            is_done = (order, complaint, code.strip(), phase) in done
            state: StepState = "done" if is_done else self._not_done(row)
            yield StepOnce(numbers[order], system, code, phase, state)

    def _not_done(self, row: tuple[Any, ...]) -> StepState:
        order, complaint, _, code, phase, critical, pk = row
        waiver = self.waivers.get(pk)
        reasons = self.explanations.get((order, f"{complaint}:{code}"), ())
        if waiver is None and not reasons:
            return "skipped"
        return step_state(self._alone(order, complaint, StepSnapshot(code, phase, critical, waiver), reasons))

    @cached_property
    def waivers(self) -> dict[int, Waiver]:
        waived = RequiredStep.objects.filter(is_waived=True, complaint__order__in=self.chosen).order_by()
        return {
            pk: Waiver(*waiver)
            for pk, *waiver in waived.values_list(
                "pk", "waiver_reason", "waiver_by", "waiver_approved_by", "waiver_assumption"
            )
        }

    def _done(self) -> set[tuple[int, str, str, str]]:
        tests = TestRun.objects.filter(
            order__in=self.chosen,
            superseded_by__isnull=True,
            status=TestRun.Status.DONE,
            done_on__lte=F("order__returned_on"),
        ).order_by()
        rows = tests.values_list("order_id", "complaint_ref", "code", "phase")
        return {(order, complaint, code.strip(), phase) for order, complaint, code, phase in rows.iterator()}

    @cached_property
    def explanations(self) -> dict[tuple[int, str], list[ExplanationSnapshot]]:
        found: dict[tuple[int, str], list[ExplanationSnapshot]] = defaultdict(list)
        rows = Explanation.objects.filter(order__in=self.chosen, rule="R4").order_by("position", "pk")
        for order, subject, reason, by, approved_by in rows.values_list(
            "order_id", "subject", "reason", "signed_by", "approved_by"
        ):
            found[order, subject].append(ExplanationSnapshot("R4", subject, reason, by, approved_by))
        return found

    @cached_property
    def assumptions(self) -> dict[int, tuple[tuple[AssumptionSnapshot, ...], tuple[Test, ...]]]:
        """Return what waivers may lean on, by order: its assumptions and their tests."""
        citing = RequiredStep.objects.filter(~Q(waiver_assumption=""), complaint__order__in=self.chosen)
        of_citing = citing.order_by().values("complaint__order_id")
        assumptions: dict[int, list[AssumptionSnapshot]] = defaultdict(list)
        rows = Assumption.objects.filter(order__in=of_citing).order_by("pk")
        for order, ref, text, status, evidence, is_accepted, reason, by in rows.values_list(
            "order_id", "ref", "text", "status", "evidence", "is_accepted", "accepted_reason", "accepted_by"
        ):
            accepted = SignedReason(reason, by) if is_accepted else None
            assumptions[order].append(
                AssumptionSnapshot(ref, text, "", status or None, tuple(evidence), accepted)
            )
        tests: dict[int, list[Test]] = defaultdict(list)
        for order, ref, code, phase, kind, done_on, status in (
            TestRun.objects.filter(order__in=of_citing, superseded_by__isnull=True)
            .order_by("pk")
            .values_list("order_id", "ref", "code", "phase", "kind", "done_on", "status")
        ):
            tests[order].append(Test(ref, code, phase, kind, Moment(done_on), status=status))
        return {order: (tuple(found), tuple(tests[order])) for order, found in assumptions.items()}

    def _alone(
        self,
        order: int,
        complaint: str,
        step: StepSnapshot,
        reasons: Sequence[ExplanationSnapshot],
    ) -> Order:
        """Return the order with this one step only, and with all that could explain it."""
        head = self.orders[order]
        assumed, tests = self.assumptions.get(order, ((), ()))
        return Order(
            id=head.id,
            vehicle=head.vehicle,
            opened=head.opened,
            location=head.location,
            technician=head.technician,
            returned=head.returned,
            outcome=head.outcome,
            complaints=(Complaint(complaint, "symptom", "", required=(step,)),),
            tests=tests,
            assumptions=assumed,
            explanations=tuple(reasons),
        )
