"""The complaints of a job: what was said, seen, suspected and tried, and where each chain stands."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from diagnostics.assessment import Assessment
from diagnostics.job.records import Records
from diagnostics.models import CustomerTrial
from diagnostics.trials import own, words
from diagnostics.trials.compared import Compared
from diagnostics.trials.of_order import equipment_of, standing_of
from diagnostics.trials.standing import Standing
from shop.models import RepairOrder, Symptom, System

FEW_SUSPECTS = 4  # A search writes down every suspect of its map; a few stand in sight, many are folded.


@dataclass(frozen=True, slots=True)
class ComplaintView:
    """One complaint with what was said, seen, suspected, tried, and where its chain stands."""

    row: Any
    snapshot: Any
    system: str
    symptom: str
    notes: list
    attempts: list
    suspects: list
    causes: list
    trials: list
    own_trials: list
    standing: Standing
    equipment: Compared | None
    outcome: str
    chain_words: str

    @property
    def open_suspects(self) -> list:
        """The suspects to be seen at once: all but those ruled out, or all where they are few."""
        if len(self.suspects) <= FEW_SUSPECTS:
            return self.suspects
        return [suspect for suspect in self.suspects if suspect.state != "ruled_out"]

    @property
    def settled_suspects(self) -> list:
        """Those that are ruled out, where there are many."""
        shown = self.open_suspects
        return [suspect for suspect in self.suspects if suspect not in shown]

    @property
    def clean(self) -> int:
        return self.standing.clean

    @property
    def needed(self) -> int:
        return self.standing.by_rule

    @property
    def proof_words(self) -> list[str]:
        """What the shop's trials show and leave open; a constant complaint shows itself at once."""
        return [] if self.snapshot.pattern == "constant" else words.sentences(self.standing)

    @property
    def own_words(self) -> list[str]:
        """What the customer's own trials come to."""
        return own.sentences([trial.told_amounts for trial in self.own_trials])

    @property
    def equipment_words(self) -> str:
        return words.equipment(self.equipment) if self.equipment else ""


def complaint_views(order: RepairOrder, assessment: Assessment, records: Records) -> list[ComplaintView]:
    """Return the complaints of an order in the order on the record."""
    chains = {status.complaint: status for status in assessment.chains}
    rows = {row.ref: row for row in order.complaint_set.all()}
    names = _names(assessment)
    return [
        _view(complaint, rows[complaint.id], chains.get(complaint.id), assessment, records, names)
        for complaint in assessment.order.complaints
    ]


def _names(assessment: Assessment) -> dict[str, str]:
    """Systems and symptoms by code."""
    systems = {complaint.system for complaint in assessment.order.complaints}
    symptoms = {complaint.symptom for complaint in assessment.order.complaints}
    return dict(System.objects.filter(code__in=systems).values_list("code", "name")) | dict(
        Symptom.objects.filter(code__in=symptoms).values_list("code", "name")
    )


def _view(complaint, row, status, assessment: Assessment, records: Records, names) -> ComplaintView:
    return ComplaintView(
        row=row,
        snapshot=complaint,
        system=names.get(complaint.system, complaint.system.replace("_", " ")),
        symptom=names.get(complaint.symptom, complaint.symptom.replace("_", " ")),
        notes=records.notes.get(complaint.id, []),
        attempts=records.attempts.get(complaint.id, []),
        suspects=[suspect for suspect in records.suspects if suspect.complaint.ref == complaint.id],
        causes=[cause for cause in records.causes.values() if cause.complaint_ref == complaint.id],
        trials=[series for series in records.trials if series.complaint_ref == complaint.id],
        own_trials=[_told(trial) for trial in records.customer_trials if trial.complaint_ref == complaint.id],
        standing=standing_of(assessment.order, complaint),
        equipment=equipment_of(assessment.order, complaint),
        outcome=status.outcome if status else "",
        chain_words=status.words if status else "",
    )


def _told(trial: CustomerTrial) -> CustomerTrial:
    """The row with what the customer told of it as plain values, and in one line."""
    trial.told_amounts = own.OwnTrial(
        trial.days, trial.starts, trial.distance, trial.distance_unit, trial.recurrences
    )
    trial.amounts = own.amounts(trial.told_amounts)
    return trial
