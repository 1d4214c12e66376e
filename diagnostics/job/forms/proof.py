"""Proof after the repair: trials, and the check by somebody else."""

from __future__ import annotations

from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError

from diagnostics import recording
from diagnostics.job.forms.base import EVERYBODY, DoneByField, JobForm, MomentFields
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


class CustomerTrialForm(MomentFields, JobForm):
    heading = "Record the customer’s own trial"
    hint = "What they tell of driving it since the repair. It is counted apart from the shop’s trials."
    ring = "proved"
    roles = EVERYBODY
    even_closed = True
    field_order = [
        "complaint", "since_on", "until_on", "starts", "distance", "recurrences", "note", "told_by",
        "done_on", "done_at",
    ]  # fmt: skip
    folds = (
        ("When and by whom it was told, if not now and by the customer", ("told_by", "done_on", "done_at")),
    )

    complaint = forms.ChoiceField(label="Of which complaint")
    since_on = forms.DateField(
        label="Driven from", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    until_on = forms.DateField(label="To", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
    starts = forms.IntegerField(label="Starts", min_value=0, max_value=100_000, required=False)
    distance = forms.DecimalField(
        label="Distance",
        required=False,
        min_value=0,
        max_value=Decimal(9_999_999),
        decimal_places=1,
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
    )
    recurrences = forms.IntegerField(label="It came back", min_value=0, initial=0, help_text="times")
    note = forms.CharField(
        label="In their words", widget=forms.Textarea(attrs={"rows": 2}), max_length=2000, required=False
    )
    told_by = forms.CharField(label="Told by", max_length=150)

    def prepare(self):
        self.choose_complaint()
        self.fields["done_on"].label = "Told on"
        unit = "miles" if self.order.odo_unit == "mi" else "km"
        self.fields["distance"].help_text = unit
        self.fields["told_by"].initial = self.order.customer.name if self.order.customer else ""
        if self.order.returned_on:
            self.fields["since_on"].initial = self.order.returned_on

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["until_on"].initial = self.fields["done_on"].initial  # Set last, by `MomentFields`.

    def clean(self):
        data = super().clean()
        since, until, told = data.get("since_on"), data.get("until_on"), data.get("done_on")
        if since and until and until < since:
            text = f"{until:%d %b %Y} lies before the first day. Write the last day they drove it."
            self.add_error("until_on", ValidationError(text, code="ends_before_it_began"))
        elif until and told and until > told:
            text = f"{until:%d %b %Y} is after the day it was told. Write the last day they drove it."
            self.add_error("until_on", ValidationError(text, code="future"))
        starts, back = data.get("starts"), data.get("recurrences")
        if starts is not None and back is not None and back > starts:
            text = f"It cannot come back {back} times in {starts} starts. Count each start once."
            self.add_error("recurrences", ValidationError(text, code="more_than_tries"))
        return data

    def save(self, *, by, at):
        names = ("since_on", "until_on", "starts", "distance", "recurrences", "note", "told_by")
        recording.record_customer_trial(
            self.order,
            by=by,
            at=at,
            complaint_ref=self.cleaned_data["complaint"],
            told=self.moment(),
            **self.given(*names),
        )
        return "Kept: the customer’s own trial, counted apart."


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
