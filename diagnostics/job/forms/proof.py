"""Proof after the repair: trials, and the check by somebody else."""

from __future__ import annotations

from django import forms
from django.core.exceptions import ValidationError

from diagnostics import recording
from diagnostics.job.forms.base import DoneByField, JobForm, MomentFields
from shared.wording import count_text
from shop.models import WorkItem


class TrialsForm(MomentFields, JobForm):
    heading = "Record trials after the repair"
    ring = "proved"
    field_order = [
        "complaint", "n", "recurrences", "conditions", "conditions_match", "equipment_connected", "done_by",
        "done_on", "done_at",
    ]  # fmt: skip

    complaint = forms.ChoiceField(label="Of which complaint")
    n = forms.IntegerField(label="Tries", min_value=1, max_value=10_000)
    recurrences = forms.IntegerField(label="It came back", min_value=0, initial=0, help_text="times")
    conditions = forms.CharField(label="Conditions", widget=forms.Textarea(attrs={"rows": 2}), required=False)
    conditions_match = forms.BooleanField(
        label="These were the complaint’s own conditions", required=False, initial=True
    )
    equipment_connected = forms.BooleanField(label="Test equipment was connected", required=False)
    done_by = DoneByField(label="Tried by")

    def prepare(self):
        self.choose_complaint()
        self.fields["done_by"].offer(self)

    def clean(self):
        data = super().clean()
        n, back = data.get("n"), data.get("recurrences")
        if n is not None and back is not None and back > n:
            text = f"It cannot come back {back} times in {n} tries. Count each try once."
            self.add_error("recurrences", ValidationError(text, code="more_than_tries"))
        return data

    def save(self, *, by, at):
        names = ("n", "recurrences", "conditions", "conditions_match", "equipment_connected", "done_by")
        recording.record_trials(
            self.order,
            by=by,
            at=at,
            complaint_ref=self.cleaned_data["complaint"],
            done=self.moment(),
            **self.given(*names),
        )
        data = self.cleaned_data
        back = data["recurrences"]
        came = f"it came back {count_text(back, 'time')}" if back else "it did not come back"
        return f"Kept: {_tries(data['n'])}, {came}."


class CheckForm(MomentFields, JobForm):
    heading = "Record an independent check"
    hint = "By a person who did not do the work."
    ring = "repair"
    field_order = ["work", "checked_by", "note", "done_on", "done_at"]

    work = forms.ChoiceField(label="Of which work")
    checked_by = forms.ChoiceField(label="Checked by")
    note = forms.CharField(
        label="What was looked at", widget=forms.Textarea(attrs={"rows": 2}), required=False
    )

    def prepare(self):
        self.fields["work"].choices = self.on_order.work
        self.fields["checked_by"].choices = self.on_order.staff
        self.fields["checked_by"].initial = self.user.signs_as

    def save(self, *, by, at):
        item = WorkItem.objects.get(order=self.order, ref=self.cleaned_data["work"])
        recording.record_check(item, by=by, at=at, done=self.moment(), **self.given("checked_by", "note"))
        return "Kept: the check."


def _tries(n: int) -> str:
    return count_text(n, "try", "tries")
