"""Required steps that are open, each with the line it is recorded with."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils import timezone

from diagnostics.job.forms.readings import ReadingForm
from diagnostics.job.gaps import Gap
from diagnostics.job.on_order import limits_written_last
from diagnostics.job.records import Records
from diagnostics.job.steps import Step
from diagnostics.models import Instrument
from shop.models import RepairOrder


@dataclass(frozen=True, slots=True)
class Entry:
    """A required step that is open: what it asks for, its gap, and the form to record it."""

    step: Step
    gap: Gap | None
    form: ReadingForm | None
    full_url: str

    @property
    def draft(self) -> str:
        return f"order-{self.step.row.complaint.order_id}-{self.step.key}"


def instrument_choices(order: RepairOrder) -> list[tuple[Any, str]]:
    """Return the instruments in use, for every one-line form of a page."""
    today = timezone.now().astimezone(order.location.zone).date()
    in_use = Instrument.objects.filter(withdrawn_on__isnull=True)
    return [("", "not named"), *((row.pk, _instrument_words(row, today)) for row in in_use)]


def reading_form(
    step: Step, *, order: RepairOrder, user: Any, records: Records, instruments: list, back: str = ""
) -> ReadingForm:
    """The one-line form of a required step; the meter used last for the same unit is offered."""
    row = step.row
    initial = {
        "code": row.code,
        "phase": row.phase,
        "complaint": row.complaint.ref,
        "back": back,
        "instrument": _meter_used_last(records, user, step),
        **limits_written_last(records.tests.values(), row.code, step.kind.unit if step.kind else ""),
    }
    return ReadingForm(
        order=order,
        user=user,
        initial=initial,
        kind=step.kind,
        instruments=instruments,
        auto_id=f"{step.key}-%s",
    )


def _meter_used_last(records: Records, user: Any, step: Step) -> int | None:
    unit = step.kind.unit if step.kind else ""
    used = [
        run.instrument_id
        for run in records.tests.values()
        if run.instrument_id and run.done_by == user.signs_as and run.limit_unit == unit
    ]
    return used[-1] if used else None


def _instrument_words(row: Instrument, today: date) -> str:
    return (
        f"{row.code}, {row.kind}" if row.counts_on(today) else f"{row.code}, {row.kind} (out of calibration)"
    )
