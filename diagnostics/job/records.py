"""The rows of one order that a page shows or links to; each list is read once."""

from __future__ import annotations

from collections import defaultdict
from functools import cached_property

from diagnostics.evidence import is_left_out
from diagnostics.models import (
    Assumption,
    Attempt,
    Capture,
    Cause,
    CustomerTrial,
    Explanation,
    FaultSearch,
    FollowUp,
    HandOff,
    RequiredStep,
    Suspect,
    TestRun,
    TrialSeries,
)
from diagnostics.snapshot import Waiver
from shop.models import ComplaintNote, DeclinedItem, RepairOrder, WorkItem


class Records:
    """Rows of one order by what findings and citations call them."""

    def __init__(self, order: RepairOrder) -> None:
        self.order = order

    @cached_property
    def runs(self) -> list[TestRun]:
        """Every test run, the superseded ones too, in the order on the record."""
        runs = TestRun.objects.filter(order=self.order)
        return list(runs.select_related("instrument", "superseded_by"))

    @cached_property
    def tests(self) -> dict[str, TestRun]:
        return {run.ref: run for run in self.runs if run.superseded_by_id is None}

    @cached_property
    def superseded(self) -> list[TestRun]:
        return [run for run in self.runs if run.superseded_by_id is not None]

    @cached_property
    def work(self) -> dict[str, WorkItem]:
        return {item.ref: item for item in WorkItem.objects.filter(order=self.order).select_related("part")}

    @cached_property
    def causes(self) -> dict[str, Cause]:
        return {cause.ref: cause for cause in Cause.objects.filter(order=self.order)}

    @cached_property
    def assumptions(self) -> dict[str, Assumption]:
        return {row.ref: row for row in Assumption.objects.filter(order=self.order)}

    @cached_property
    def declined(self) -> dict[str, DeclinedItem]:
        return {row.ref: row for row in DeclinedItem.objects.filter(order=self.order)}

    @cached_property
    def calls(self) -> list[FollowUp]:
        """The calls after hand-over, oldest first."""
        return list(FollowUp.objects.filter(order=self.order).order_by("called_on", "pk"))

    @cached_property
    def suspects(self) -> list[Suspect]:
        return list(Suspect.objects.filter(complaint__order=self.order).select_related("complaint"))

    @cached_property
    def attempts(self) -> dict[str, list[Attempt]]:
        """Attempts by the complaint's id."""
        return _by_complaint(Attempt.objects.filter(complaint__order=self.order).select_related("complaint"))

    @cached_property
    def notes(self) -> dict[str, list[ComplaintNote]]:
        """Notes by the complaint's id."""
        return _by_complaint(
            ComplaintNote.objects.filter(complaint__order=self.order).select_related("complaint")
        )

    @cached_property
    def steps(self) -> list[RequiredStep]:
        """Required steps by complaint, in the protocol's order."""
        steps = RequiredStep.objects.filter(complaint__order=self.order)
        return list(
            steps.select_related("complaint", "protocol").order_by(
                "complaint__position", "complaint", "position", "pk"
            )
        )

    @cached_property
    def captures(self) -> list[Capture]:
        """Recorded signals, the ones set aside too; without what was computed from them but the picture."""
        found = Capture.objects.filter(order=self.order)
        return list(found.select_related("superseded_by").defer("analysis", "superseded_by__analysis"))

    @cached_property
    def trials(self) -> list[TrialSeries]:
        return list(TrialSeries.objects.filter(order=self.order))

    @cached_property
    def customer_trials(self) -> list[CustomerTrial]:
        """What the customer told of driving it, in the order of the days."""
        return list(CustomerTrial.objects.filter(order=self.order).order_by("until_on", "since_on", "pk"))

    @cached_property
    def searches(self) -> list[FaultSearch]:
        """Searches for a fault, ended ones too, in the order on the record."""
        return list(FaultSearch.objects.filter(order=self.order).select_related("circuit_map"))

    @cached_property
    def hand_offs(self) -> list[HandOff]:
        return list(HandOff.objects.filter(order=self.order))

    @cached_property
    def explanations(self) -> list[Explanation]:
        return list(Explanation.objects.filter(order=self.order))

    def step(self, subject: str) -> RequiredStep | None:
        """The required step that a finding of R4 names: complaint id:step code. The one not done first."""
        named = [step for step in self.steps if f"{step.complaint.ref}:{step.code}" == subject]
        return min(named, key=lambda step: (self.is_done(step), waived_by_itself(step)), default=None)

    def is_done(self, step: RequiredStep) -> bool:
        """Whether a test of this step is on record as done, in its phase and for its complaint."""
        wanted = (step.code, step.phase, step.complaint.ref, TestRun.Status.DONE)
        return any(
            (run.code, run.phase, run.complaint_ref, run.status) == wanted for run in self.tests.values()
        )


def waived_by_itself(step: RequiredStep) -> bool:
    """Whether the step is explained by its own waiver, whatever is found of its twin after the work."""
    if not step.is_waived:
        return False
    waiver = Waiver(step.waiver_reason, step.waiver_by, step.waiver_approved_by, step.waiver_assumption)
    return is_left_out(waiver, critical=step.critical)


def _by_complaint(rows) -> dict[str, list]:
    found: dict[str, list] = defaultdict(list)
    for row in rows:
        found[row.complaint.ref].append(row)
    return dict(found)
