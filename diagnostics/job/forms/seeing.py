"""Reported and seen: words added, attempts, the plan of the trials."""

from __future__ import annotations

from django import forms
from django.core.exceptions import ValidationError

from diagnostics import recording
from diagnostics.job.forms.base import EVERYBODY, DoneByField, JobForm, MomentFields, WhyField
from diagnostics.models import Attempt
from shared.wording import count_text
from shop.models import Complaint


class NoteForm(JobForm):
    heading = "Add to what was reported"
    act = "Add it"
    hint = "The customer’s own words stay as they are; this is added below them."
    ring = "reported"
    roles = EVERYBODY

    complaint = forms.ChoiceField(label="To which complaint")
    text = forms.CharField(label="What to add", widget=forms.Textarea(attrs={"rows": 4}), max_length=2000)

    def prepare(self):
        self.choose_complaint()

    def save(self, *, by, at):
        complaint = complaint_of(self)
        recording.add_note(complaint, by=by, at=at, text=self.cleaned_data["text"])
        return "Added."


class AttemptForm(MomentFields, JobForm):
    heading = "Record an attempt to see it"
    ring = "seen"
    roles = EVERYBODY
    field_order = [
        "complaint", "outcome", "conditions", "k", "n", "equipment_connected",
        "done_by", "done_on", "done_at",
    ]  # fmt: skip

    complaint = forms.ChoiceField(label="Which complaint")
    outcome = forms.ChoiceField(label="What happened", choices=Attempt.Outcome, widget=forms.RadioSelect)
    conditions = forms.CharField(
        label="Conditions",
        widget=forms.Textarea(attrs={"rows": 3}),
        required=False,
        help_text="The complaint’s own: cold start after a wet night, 9 °C, idle, lights on",
    )
    k = forms.IntegerField(label="It showed", min_value=0, required=False, help_text="times")
    n = forms.IntegerField(label="in", min_value=1, required=False, help_text="tries")
    equipment_connected = forms.BooleanField(label="Test equipment was connected", required=False)
    done_by = DoneByField(label="Tried by")

    def prepare(self):
        self.choose_complaint()
        self.fields["done_by"].offer(self)

    def clean(self):
        data = super().clean()
        k, n, outcome = data.get("k"), data.get("n"), data.get("outcome")
        if k is not None and n is not None and k > n:
            self.add_error(
                "k",
                ValidationError(
                    f"It cannot show {k} times in {n} tries.",
                    code="more_than_tries",
                ),
            )
        if outcome == Attempt.Outcome.REPRODUCED and k == 0:
            self.add_error(
                "k", ValidationError("Seen, but 0 times? Write how often it showed.", code="seen_never")
            )
        return data

    def save(self, *, by, at):
        recording.record_attempt(
            complaint_of(self),
            by=by,
            at=at,
            done=self.moment(),
            **_attempt(self),
            done_by=self.cleaned_data["done_by"],
        )
        return "Kept: the attempt to see it."


class AmendAttemptForm(AttemptForm):
    heading = "Correct an attempt"
    even_closed = True
    needs_row = True
    field_order = [*AttemptForm.field_order, "why"]

    why = WhyField()

    @classmethod
    def rows(cls, order):
        return Attempt.objects.filter(complaint__order=order).select_related("complaint")

    @classmethod
    def initial_for(cls, order, row):
        clock = row.done_at.astimezone(order.location.zone).time() if row.done_at else None
        names = ("outcome", "conditions", "k", "n", "equipment_connected", "done_by", "done_on")
        return {name: getattr(row, name) for name in names} | {
            "complaint": row.complaint.ref,
            "done_at": clock,
        }

    def prepare(self):
        super().prepare()
        self.fields.pop("complaint")

    def save(self, *, by, at):
        done = self.moment()
        recording.amend_attempt(
            self.row,
            by=by,
            at=at,
            why=self.cleaned_data["why"],
            done_on=done.on,
            done_at=done.instant,
            **_attempt(self),
        )
        return "Changed. What stood before is in the record."


class TrialPlanForm(JobForm):
    heading = "Plan the trials"
    hint = "How many clean tries, under which conditions, will count as proof that it is gone."
    ring = "seen"

    complaint = forms.ChoiceField(label="For which complaint")
    n = forms.IntegerField(label="Trials", min_value=1, max_value=10_000)
    conditions = forms.CharField(
        label="Conditions of the trials",
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="The complaint’s own: stand two nights locked, then start",
    )

    def prepare(self):
        self.choose_complaint()

    def save(self, *, by, at):
        data = self.given("n", "conditions")
        recording.set_trial_plan(complaint_of(self), by=by, at=at, **data)
        return f"Planned: {count_text(data['n'], 'trial')}."


def complaint_of(form: JobForm) -> Complaint:
    return Complaint.objects.get(order=form.order, ref=form.cleaned_data["complaint"])


def _attempt(form: JobForm) -> dict:
    return form.given("outcome", "conditions", "k", "n", "equipment_connected")
