"""The complaints of a job: what was said, seen, suspected and tried, and where each chain stands."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from diagnostics.assessment import Assessment
from diagnostics.evidence import clean_and_needed, zero_recurrence_upper
from diagnostics.job.records import Records
from shop.models import RepairOrder, Symptom, System


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
    needed: int
    clean: int
    outcome: str
    chain_words: str

    @property
    def upper_percent(self) -> int:
        """What the clean trials still allow, upper 95 % bound. [%]"""
        return round(100 * zero_recurrence_upper(self.clean))


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
    clean, needed = clean_and_needed(assessment.order, complaint)
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
        needed=needed,
        clean=clean,
        outcome=status.outcome if status else "",
        chain_words=status.words if status else "",
    )
