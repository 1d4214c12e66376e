"""A signed reading corrected by a new one, or left as it is in writing."""

from __future__ import annotations

from diagnostics import recording
from diagnostics.job.forms.base import JobForm, ReasonField
from diagnostics.job.forms.readings import TestRunForm, said_of
from diagnostics.models import Instrument


class SupersedeForm(TestRunForm):
    """A correction of a signed reading: a new row takes its place, the old one stays with the reason."""

    heading = "Correct a reading"
    act = "Put it in the place of the old one"
    even_closed = True
    needs_row = True
    field_order = ["reason", *TestRunForm.field_order]

    reason = ReasonField(label="Why the reading is superseded", max_length=300)

    @classmethod
    def rows(cls, order):
        return recording.live(order)

    @classmethod
    def initial_for(cls, order, row):
        written = row.typed or (
            f"{row.value} {row.unit}".strip() if row.value is not None else row.observation
        )
        names = ("code", "phase", "result", "observation", "instrument", "point", "isolates", "conditions",
                 "lo", "hi", "limit_says", "info_only", "done_by", "done_on")  # fmt: skip
        clock = row.done_at.astimezone(order.location.zone).time() if row.done_at else None
        return {name: getattr(row, name) for name in names} | {
            "complaint": row.complaint_ref,
            "reading": written,
            "test_unit": row.limit_unit or row.unit,
            "done_at": clock,
        }

    def prepare(self):
        super().prepare()
        if self.row.instrument_id:
            named = Instrument.objects.filter(pk=self.row.instrument_id)
            self.fields["instrument"].queryset = self.on_order.instruments | named

    def _put_limits_of_kind(self):
        if not (self.row.limit_unit or self.row.unit):
            return
        self.fields.pop("test_unit")
        for name in ("lo", "hi"):
            self.fields[name].label += f", {self.unit}"

    @property
    def unit(self):
        return self._typed_unit or self.row.limit_unit or self.row.unit or super().unit

    @property
    def _how(self):
        return self.row.kind

    @property
    def _instrument_as_named(self) -> str:
        """An instrument that is on no list stays on the reading as it was named."""
        keeps_it = self.cleaned_data.get("instrument") is None and self.row.instrument_id is None
        return self.row.instrument_ref if keeps_it else ""

    def save(self, *, by, at):
        done = self.moment()
        new = recording.supersede_test(
            self.row,
            by=by,
            at=at,
            reason=self.cleaned_data["reason"],
            done_by=self.cleaned_data["done_by"],
            done_on=done.on,
            done_at=done.instant,
            instrument_ref=self._instrument_as_named,
            **self.reading_values(),
        )
        return said_of(self, new, "Put in the place of the old reading")


class DispositionForm(JobForm):
    """Why a failing reading is left as it is."""

    heading = "Say what was decided about this reading"
    even_closed = True
    needs_row = True

    reason = ReasonField(label="What was decided, and why")

    rows = SupersedeForm.rows

    def save(self, *, by, at):
        recording.dispose_of_reading(self.row, by=by, at=at, reason=self.cleaned_data["reason"])
        return "Kept: what was decided about the reading."
