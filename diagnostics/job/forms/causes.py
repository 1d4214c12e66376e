"""Suspects, causes, assumptions, and what happened when."""

from __future__ import annotations

from django import forms
from django.core.exceptions import ValidationError

from diagnostics import recording
from diagnostics.job.forms.base import CitedTests, JobForm, MomentFields, ReasonField, WhyField
from diagnostics.job.forms.seeing import complaint_of
from diagnostics.models import Assumption, Cause, Claim, Event, Suspect


class ComponentField(forms.CharField):
    """A component, with those already named on the order to choose from."""

    def __init__(self, **kwargs):
        super().__init__(**{"label": "Component", "max_length": 300, **kwargs})

    def offer(self, form: JobForm) -> None:
        form.known_components = form.on_order.components
        self.widget.attrs |= {"list": "components", "autocomplete": "off"}


class SuspectForm(JobForm):
    heading = "Add a suspect"
    hint = "More than one, before the first is pursued."
    ring = "cause"

    complaint = forms.ChoiceField(label="For which complaint")
    component = ComponentField(help_text="One component: alternator, cable from alternator to battery")

    def prepare(self):
        self.choose_complaint()
        self.fields["component"].offer(self)

    def save(self, *, by, at):
        suspect = recording.add_suspect(
            complaint_of(self), by=by, at=at, component=self.cleaned_data["component"]
        )
        return f"Suspect added: {suspect.component}."


class SettleSuspectForm(JobForm):
    heading = "Say what became of this suspect"
    ring = "cause"
    needs_row = True

    state = forms.ChoiceField(label="It is", choices=Suspect.State, widget=forms.RadioSelect)
    evidence = CitedTests()

    @classmethod
    def rows(cls, order):
        return Suspect.objects.filter(complaint__order=order).select_related("complaint__order")

    @classmethod
    def initial_for(cls, order, row):
        return {"state": row.state, "evidence": row.evidence}

    def prepare(self):
        self.fields["evidence"].offer(self)

    def save(self, *, by, at):
        suspect = recording.settle_suspect(self.row, by=by, at=at, **self.given("state", "evidence"))
        return f"{suspect.component}: {suspect.get_state_display()}."


class CauseForm(JobForm):
    heading = "Name the cause"
    hint = "One component and how it failed. A stored code is a report, not a reading."
    ring = "cause"

    complaint = forms.ChoiceField(label="Of which complaint")
    component = ComponentField()
    mode = forms.CharField(
        label="How it failed", max_length=300, required=False, help_text="Does not go to sleep; open circuit"
    )
    statement = forms.CharField(
        label="How we know",
        widget=forms.Textarea(attrs={"rows": 3}),
        required=False,
        help_text="In a sentence the customer can follow.",
    )
    evidence = CitedTests(
        help_text="At least one reading that failed before the repair and isolates this component."
    )

    def prepare(self):
        self.choose_complaint()
        self.fields["component"].offer(self)
        self.fields["evidence"].offer(self)

    def save(self, *, by, at):
        data = self.given("component", "mode", "statement", "evidence")
        recording.name_cause(self.order, by=by, at=at, complaint_ref=self.cleaned_data["complaint"], **data)
        return f"Cause named: {data['component']}."


class AmendCauseForm(CauseForm):
    heading = "Correct the cause, or cite more tests"
    even_closed = True
    needs_row = True

    why = WhyField()

    @classmethod
    def rows(cls, order):
        return Cause.objects.filter(order=order)

    @classmethod
    def initial_for(cls, order, row):
        names = ("component", "mode", "statement", "evidence")
        return {name: getattr(row, name) for name in names} | {"complaint": row.complaint_ref}

    def prepare(self):
        super().prepare()
        self.fields.pop("complaint")

    def save(self, *, by, at):
        data = self.given("component", "mode", "statement", "evidence")
        recording.amend_cause(self.row, by=by, at=at, why=self.cleaned_data["why"], **data)
        return "Changed. What stood before is in the record."


class AssumptionForm(JobForm):
    heading = "Write down an assumption"
    hint = "Anything relied on and not tested: not fitted, renewed last year, never opened."
    ring = "cause"

    text = forms.CharField(label="What is assumed", widget=forms.Textarea(attrs={"rows": 3}), max_length=1000)
    bears_on = forms.ChoiceField(label="It bears on", required=False)

    def prepare(self):
        on = self.on_order
        self.fields["bears_on"].choices = [("", "the job as a whole"), *on.complaints, *on.causes]

    def save(self, *, by, at):
        recording.add_assumption(self.order, by=by, at=at, **self.given("text", "bears_on"))
        return "Written down, and open until it is settled."


class SettleAssumptionForm(JobForm):
    heading = "Settle an assumption"
    ring = "cause"
    needs_row = True

    status = forms.ChoiceField(
        label="A test shows that it is",
        choices=[("confirmed", "true: confirmed"), ("refuted", "not true: refuted")],
        widget=forms.RadioSelect,
    )
    evidence = CitedTests(
        label="Which test",
        required=True,
        error_messages={
            "required": "Choose the test that settles it. Without a test it can only be accepted."
        },
    )

    @classmethod
    def rows(cls, order):
        return Assumption.objects.filter(order=order).select_related("order")

    def prepare(self):
        self.fields["evidence"].offer(self)

    def save(self, *, by, at):
        row = recording.settle_assumption(self.row, by=by, at=at, **self.given("status", "evidence"))
        return f"Assumption {row.get_status_display()}."


class AcceptAssumptionForm(JobForm):
    heading = "Accept an assumption without a test"
    ring = "cause"
    even_closed = True
    needs_row = True

    reason = ReasonField(label="Why it is accepted")

    rows = SettleAssumptionForm.rows

    def save(self, *, by, at):
        recording.accept_assumption(self.row, by=by, at=at, reason=self.cleaned_data["reason"])
        return "Accepted, with your name."


class EventForm(MomentFields, JobForm):
    heading = "Record what happened"
    hint = "With its time of day: what follows within half an hour may be more than chance, or not."
    ring = "cause"
    field_order = ["kind", "what", "complaint", "change", "done_on", "done_at"]

    kind = forms.ChoiceField(label="What it was", choices=Event.Kind, widget=forms.RadioSelect)
    what = forms.CharField(label="What happened", widget=forms.Textarea(attrs={"rows": 2}), max_length=500)
    complaint = forms.ChoiceField(label="On which complaint", required=False)
    change = forms.CharField(label="How the symptom changed", max_length=300, required=False)

    def prepare(self):
        self.choose_complaint(blank=True)
        self.fields["done_on"].label = "Happened on"

    def save(self, *, by, at):
        data = self.given("kind", "what", "change")
        complaint = self.cleaned_data["complaint"]
        recording.record_event(
            self.order, by=by, at=at, happened=self.moment(), complaint_ref=complaint, **data
        )
        return "Kept: what happened."


class ClaimForm(JobForm):
    heading = "Claim that it made the difference"
    hint = "A claim asks for a reversal: put the condition back, and the symptom must come back."
    ring = "cause"

    complaint = forms.ChoiceField(label="Which complaint")
    event = forms.ChoiceField(label="What happened")
    role = forms.ChoiceField(label="It", choices=Claim.Role, widget=forms.RadioSelect)

    def prepare(self):
        self.choose_complaint()
        self.fields["event"].choices = self.on_order.events

    def save(self, *, by, at):
        data = self.cleaned_data
        recording.claim_effect(
            self.order,
            by=by,
            at=at,
            complaint_ref=data["complaint"],
            event_ref=data["event"],
            role=data["role"],
        )
        return "Kept. Put the condition back to see whether it holds."


class ReversalForm(JobForm):
    heading = "Record a reversal"
    hint = "Off, on, off: at least three phases, two conditions in turn, each tried at least once."
    ring = "cause"

    event = forms.ChoiceField(label="Of what")
    condition_a = forms.CharField(label="One condition", max_length=200, help_text="Module unplugged")
    condition_b = forms.CharField(label="The other condition", max_length=200, help_text="Module plugged in")
    phases = forms.CharField(
        label="What was seen, phase by phase",
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="One line a phase, in the order tried: a or b, whether the symptom showed, how many tries. "
        "Like: a no 3",
    )

    def prepare(self):
        self.fields["event"].choices = self.on_order.events

    def clean(self):
        data = super().clean()
        names = {"a": data.get("condition_a", ""), "b": data.get("condition_b", "")}
        lines = [line.split() for line in data.get("phases", "").lower().splitlines() if line.strip()]
        wrong = [line for line in lines if not _is_phase(line)]
        if wrong:
            said = " ".join(wrong[0])
            self.add_error(
                "phases",
                ValidationError(f"'{said}' is no phase. Write it like: a no 3", code="phase_unclear"),
            )
        else:
            data["read"] = [
                {"condition": names[which], "present": showed == "yes", "n": int(tries)}
                for which, showed, tries in lines
            ]
        return data

    def save(self, *, by, at):
        data = self.cleaned_data
        recording.record_reversal(self.order, by=by, at=at, event_ref=data["event"], phases=data["read"])
        return "Kept: the reversal."


def _is_phase(words: list[str]) -> bool:
    return (
        len(words) == 3
        and words[0] in "ab"
        and words[1] in ("yes", "no")
        and words[2].isascii()
        and words[2].isdigit()
    )
