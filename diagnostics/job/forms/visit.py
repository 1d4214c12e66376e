"""Time, hand-offs, promises, and what happens around the diagnosis."""

from __future__ import annotations

from django import forms

from diagnostics import recording
from diagnostics.job.forms.base import EVERYBODY, DoneByField, JobForm, MomentFields
from diagnostics.models import HandOff
from diagnostics.searching.handing_over import handed_over
from shared.wording import count_text
from shop.models import OutsideEvent, RepairOrder, TimeEntry

DATE = {"widget": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")}


class MinutesForm(MomentFields, JobForm):
    heading = "Minutes of diagnosis the customer agreed to"
    ring = "repair"
    roles = EVERYBODY
    field_order = ["minutes", "done_on", "done_at"]

    minutes = forms.IntegerField(label="Minutes agreed", min_value=1, max_value=10_000, help_text="60")

    def prepare(self):
        self.fields["done_on"].label = "Agreed on"

    def save(self, *, by, at):
        minutes = self.cleaned_data["minutes"]
        recording.authorise_minutes(self.order, by=by, at=at, minutes=minutes, given=self.moment())
        return f"{count_text(minutes, 'minute')} agreed."


class TimeForm(MomentFields, JobForm):
    heading = "Record time worked"
    ring = "repair"
    field_order = ["minutes", "kind", "complaint", "done_by", "done_on", "done_at"]

    minutes = forms.IntegerField(label="Minutes", min_value=1, max_value=10_000)
    kind = forms.ChoiceField(
        label="On", choices=TimeEntry.Kind, widget=forms.RadioSelect, initial="diagnosis"
    )
    complaint = forms.ChoiceField(label="For which complaint", required=False)
    done_by = DoneByField(label="Worked by")

    def prepare(self):
        self.choose_complaint(blank=True)
        self.fields["done_by"].offer(self)

    def save(self, *, by, at):
        data = self.given("minutes", "kind", "done_by")
        complaint = self.cleaned_data["complaint"]
        recording.record_time(self.order, by=by, at=at, done=self.moment(), complaint_ref=complaint, **data)
        return f"{count_text(data['minutes'], 'minute')} kept."


class HandOffForm(MomentFields, JobForm):
    heading = "Hand the diagnosis to a colleague"
    act = "Hand it over"
    ring = "measured"
    field_order = [
        "complaint",
        "receiver",
        "known",
        "ruled_out",
        "suspected",
        "next_step",
        "done_on",
        "done_at",
    ]

    complaint = forms.ChoiceField(label="Which complaint")
    receiver = forms.ChoiceField(label="Who takes over")
    known = forms.CharField(label="What is known", widget=forms.Textarea(attrs={"rows": 3}))
    ruled_out = forms.CharField(
        label="What is ruled out",
        widget=forms.Textarea(attrs={"rows": 3}),
        required=False,
        help_text="One a line.",
    )
    suspected = forms.CharField(
        label="What is still suspected", widget=forms.Textarea(attrs={"rows": 3}), required=False,
        help_text="One a line.",
    )  # fmt: skip
    next_step = forms.CharField(label="What to do next", widget=forms.Textarea(attrs={"rows": 2}))

    @classmethod
    def initial_for(cls, order, row):
        return handed_over(order)

    def prepare(self):
        self.choose_complaint()
        own = self.user.signs_as
        self.fields["receiver"].choices = [choice for choice in self.on_order.staff if choice[0] != own]

    def save(self, *, by, at):
        data = self.cleaned_data
        recording.hand_off(
            self.order,
            by=by,
            at=at,
            complaint_ref=data["complaint"],
            done=self.moment(),
            ruled_out=_lines(data["ruled_out"]),
            suspected=_lines(data["suspected"]),
            **self.given("receiver", "known", "next_step"),
        )
        return f"Handed to {data['receiver']}, who acknowledges it on this page."


class AcknowledgeForm(JobForm):
    heading = "Take over"
    act = "I have read it and take over"
    ring = "measured"
    needs_row = True
    roles = EVERYBODY

    @classmethod
    def rows(cls, order):
        return HandOff.objects.filter(order=order).select_related("order")

    def save(self, *, by, at):
        recording.acknowledge(self.row, by=by, at=at)
        return "Taken over."


class PlannedReturnForm(JobForm):
    heading = "Agree a return before it leaves"
    ring = "papers"
    roles = EVERYBODY

    reason = forms.CharField(label="What for", widget=forms.Textarea(attrs={"rows": 2}))
    due_on = forms.DateField(label="Due on", required=False, **DATE)
    system = forms.ChoiceField(label="System", required=False)

    def prepare(self):
        self.fields["system"].choices = [("", "not known"), *self.on_order.systems]

    def save(self, *, by, at):
        recording.plan_return(self.order, by=by, at=at, **self.given("reason", "due_on", "system"))
        return "Return agreed."


class OutsideEventForm(JobForm):
    heading = "Damage or somebody else’s work since the last visit"
    ring = "reported"
    roles = EVERYBODY

    kind = forms.ChoiceField(label="What it was", choices=OutsideEvent.Kind, widget=forms.RadioSelect)
    happened_on = forms.DateField(label="When", **DATE)
    system = forms.ChoiceField(label="To which system")
    evidence = forms.CharField(
        label="Photo, reading, report or document",
        required=False,
        max_length=500,
        help_text="Its number or where it is kept. Without it a person decides.",
    )

    def prepare(self):
        self.fields["system"].choices = self.on_order.systems

    def save(self, *, by, at):
        names = ("kind", "happened_on", "system", "evidence")
        recording.record_outside_event(self.order, by=by, at=at, **self.given(*names))
        return "Kept: what happened outside."


class PromiseForm(JobForm):
    heading = "Promise a time"
    ring = "reported"
    roles = EVERYBODY

    promised_at = forms.DateTimeField(
        label="Ready by",
        required=False,
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
        input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M"],
        help_text="Empty: no time is promised.",
    )

    @classmethod
    def initial_for(cls, order, row):
        return {"promised_at": order.promised_at}

    def save(self, *, by, at):
        recording.promise(self.order, by=by, at=at, promised_at=self.cleaned_data["promised_at"])
        return "Promise kept on record." if self.cleaned_data["promised_at"] else "No time is promised."


class TechnicianForm(JobForm):
    heading = "Whose job it is"
    ring = "reported"
    roles = EVERYBODY

    technician = forms.ChoiceField(label="Technician", required=False)

    @classmethod
    def initial_for(cls, order, row):
        return {"technician": order.technician}

    def prepare(self):
        self.fields["technician"].choices = [("", "nobody yet"), *self.on_order.technicians]

    def save(self, *, by, at):
        recording.assign(self.order, by=by, at=at, technician=self.cleaned_data["technician"])
        return "Kept."


class WaitingForm(JobForm):
    heading = "Who the job waits on"
    ring = "reported"
    roles = EVERYBODY

    waiting_on = forms.ChoiceField(
        label="Waiting on",
        choices=[("", "nobody"), *RepairOrder.WaitingOn.choices],
        widget=forms.RadioSelect,
        required=False,
    )
    note = forms.CharField(
        label="For what", max_length=200, required=False, help_text="Consent for 60 minutes"
    )

    @classmethod
    def initial_for(cls, order, row):
        return {"waiting_on": order.waiting_on, "note": order.waiting_note}

    def save(self, *, by, at):
        recording.set_waiting(self.order, by=by, at=at, **self.given("waiting_on", "note"))
        return "Kept."


def _lines(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip()]
