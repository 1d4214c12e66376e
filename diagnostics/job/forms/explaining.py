"""Explanations, waivers, second names, and handing the vehicle back."""

from __future__ import annotations

from django import forms
from django.core.exceptions import ValidationError
from django.utils.functional import cached_property

from diagnostics import recording
from diagnostics.assessment import assess
from diagnostics.evidence import RULES
from diagnostics.job.forms.base import EVERYBODY, JobForm, ReasonField
from diagnostics.models import Explanation, RequiredStep
from shared.past_moment import PastMomentField
from shop import closing
from shop.models import RepairOrder


class SecondNameField(forms.ChoiceField):
    """Somebody who is neither the explainer nor the order's technician."""

    def __init__(self, **kwargs):
        super().__init__(
            **{
                "label": "Approved by",
                "required": False,
                "help_text": "A second name: neither yours nor the technician’s. It can be added later.",
                **kwargs,
            }
        )

    def offer(self, form: JobForm) -> None:
        taken = {form.user.signs_as, form.order.technician}
        people = [choice for choice in form.on_order.staff if choice[0] not in taken]
        self.choices = [("", "nobody yet"), *people]


class ExplanationForm(JobForm):
    heading = "Explain why it stays as it is"
    act = "Sign the explanation"
    even_closed = True

    rule = forms.ChoiceField(choices=[(code, code) for code in RULES], widget=forms.HiddenInput)
    subject = forms.CharField(widget=forms.HiddenInput, max_length=200)
    reason = ReasonField()
    approved_by = SecondNameField()

    def prepare(self):
        self.fields["approved_by"].offer(self)
        asks = self.finding is None or self.finding.needs_second_name
        if not asks or self.order.location.single_person:
            self.fields.pop("approved_by")

    @cached_property
    def finding(self):
        """The finding that is to be explained, as it stands now."""
        rule, subject = self["rule"].value(), self["subject"].value()
        found = assess(self.order.pk).findings
        return next((f for f in found if (f.rule, f.subject) == (rule, subject)), None)

    @property
    def anchor(self):
        return RULES[self.cleaned_data["rule"]].ring

    def save(self, *, by, at):
        approved_by = self.cleaned_data.get("approved_by", "")
        given = self.given("rule", "subject", "reason")
        recording.explain(self.order, by=by, at=at, approved_by=approved_by, **given)
        return "Explained, with your name. It stays in the record."


class ApproveForm(JobForm):
    heading = "Put the second name under an explanation"
    act = "I approve it"
    even_closed = True
    needs_row = True
    roles = EVERYBODY

    @classmethod
    def rows(cls, order):
        return Explanation.objects.filter(order=order).select_related("order")

    @property
    def anchor(self):
        return RULES[self.row.rule].ring

    def save(self, *, by, at):
        recording.approve(self.row, by=by, at=at)
        return "Approved, with your name."


class WaiverForm(JobForm):
    heading = "Leave a required test out"
    act = "Sign the waiver"
    hint = "The test stays on the list as left out, with your reason and name."
    even_closed = True
    needs_row = True

    reason = ReasonField(label="Why it is left out")
    assumption = forms.ChoiceField(
        label="It rests on an assumption",
        required=False,
        help_text="The assumption must be settled or accepted; while it is open the waiver does not count.",
    )
    approved_by = SecondNameField()

    @classmethod
    def rows(cls, order):
        return RequiredStep.objects.filter(complaint__order=order).select_related("complaint__order")

    @classmethod
    def initial_for(cls, order, row):
        return {
            "reason": row.waiver_reason,
            "assumption": row.waiver_assumption,
            "approved_by": row.waiver_approved_by,
        }

    def prepare(self):
        self.fields["approved_by"].offer(self)
        self.fields["assumption"].choices = [("", "none"), *self.on_order.assumptions]
        if not self.row.critical:
            self.fields.pop("approved_by")

    def save(self, *, by, at):
        data = self.cleaned_data
        recording.waive_step(
            self.row,
            by=by,
            at=at,
            reason=data["reason"],
            assumption=data["assumption"],
            approved_by=data.get("approved_by", ""),
        )
        return "Left out, with your reason and name."


class ApproveWaiverForm(JobForm):
    heading = "Put the second name under a waiver"
    act = "I approve it"
    even_closed = True
    needs_row = True
    roles = EVERYBODY

    rows = WaiverForm.rows

    def save(self, *, by, at):
        recording.approve_waiver(self.row, by=by, at=at)
        return "Approved, with your name."


class HandBackForm(JobForm):
    heading = "Hand the vehicle back"
    act = "Hand it back"
    ring = "papers"
    roles = EVERYBODY
    template = "diagnostics/job_close.html"

    outcome = forms.ChoiceField(label="Outcome", choices=RepairOrder.Outcome, widget=forms.RadioSelect)
    left_at = PastMomentField(
        label="Handed over, if not just now", help_text="For a hand-over that is written up later."
    )
    odometer_out = forms.DecimalField(
        label="Odometer at hand-over", min_value=0, max_digits=9, required=False
    )
    odometer_explanation = forms.CharField(
        label="What is odd about the odometer", max_length=300, required=False,
        help_text="Only if it went back, or far.",
    )  # fmt: skip
    reason = ReasonField(label="Reason for leaving gaps open", required=False)
    return_reason = forms.CharField(
        label="A return is agreed, for",
        max_length=300,
        required=False,
        help_text="Look at the repaired cable again",
    )
    return_due_on = forms.DateField(
        label="Return due on",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )

    def prepare(self):
        unit = self.order.get_odo_unit_display()
        self.fields["odometer_out"].label = f"Odometer at hand-over, {unit}"

    def clean_left_at(self):
        left_at = self.cleaned_data["left_at"]
        if left_at and (question := closing.hand_over_question(self.order, left_at)):
            raise ValidationError(question, code="left_before_arrival")
        return left_at

    def clean_odometer_out(self):
        value = self.cleaned_data["odometer_out"]
        said = self.data.get(self.add_prefix("odometer_explanation"), "").strip()
        if value is not None and not said and (question := closing.odometer_question(self.order, value)):
            raise ValidationError(question, code="odometer_unlikely")
        return value

    def clean(self):
        data = super().clean()
        if data.get("return_due_on") and not data.get("return_reason"):
            self.add_error(
                "return_reason",
                ValidationError("Write what the return is for.", code="return_reason_missing"),
            )
        return data

    def save(self, *, by, at):
        data = self.cleaned_data
        planned = (
            closing.ReturnAgreed(data["return_reason"], data["return_due_on"])
            if data["return_reason"]
            else None
        )
        names = ("outcome", "left_at", "odometer_out", "odometer_explanation", "reason")
        closing.hand_back(self.order, by=by, at=at, planned=planned, **self.given(*names))
        return f"Job {self.order.number} is handed back."
