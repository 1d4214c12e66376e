"""Work, parts, components disturbed, work declined."""

from __future__ import annotations

from django import forms

from diagnostics import recording
from diagnostics.job.forms.base import EVERYBODY, CitedTests, DoneByField, JobForm, MomentFields, WhyField
from diagnostics.job.forms.causes import ComponentField
from shop.models import DeclinedItem, PartFitted, WorkItem

WORK = ("kind", "component", "reason", "cause", "evidence", "safety", "note", "failure_analysis")
PART = {
    "part_description": "description",
    "part_number": "number",
    "part_quantity": "quantity",
    "part_condition": "condition",
    "part_supplier": "supplier",
    "part_batch": "batch",
}


class WorkForm(MomentFields, JobForm):
    heading = "Record work done"
    folds = (
        ("The part fitted", tuple(PART)),
        ("Note, and why the last one failed", ("note", "failure_analysis")),
        *MomentFields.folds,
    )
    ring = "repair"
    field_order = ["complaint", *WORK[:6], "note", *PART, "failure_analysis", "done_by", "done_on", "done_at"]

    complaint = forms.ChoiceField(label="For which complaint", required=False)
    kind = forms.ChoiceField(label="What was done", choices=WorkItem.Kind, widget=forms.RadioSelect)
    component = ComponentField(label="To which component")
    reason = forms.ChoiceField(label="Why", choices=WorkItem.Reason, widget=forms.RadioSelect)
    cause = forms.ChoiceField(label="The cause that called for it", required=False)
    evidence = CitedTests(label="Readings that condemned it")
    safety = forms.BooleanField(
        label="Critical to safety: somebody else checks it",
        required=False,
        help_text="Brakes, steering, suspension, restraint, fuel, wheels.",
    )
    note = forms.CharField(label="Note", widget=forms.Textarea(attrs={"rows": 2}), required=False)
    part_description = forms.CharField(label="Part fitted", max_length=300, required=False)
    part_number = forms.CharField(label="Part number", max_length=64, required=False)
    part_quantity = forms.CharField(label="How many", max_length=32, required=False, help_text="1, 4.2 L")
    part_condition = forms.ChoiceField(
        label="Condition", choices=[("", "no part"), *PartFitted.Condition.choices], required=False
    )
    part_supplier = forms.CharField(label="Supplier", max_length=64, required=False)
    part_batch = forms.CharField(label="Batch or serial number", max_length=64, required=False)
    failure_analysis = forms.CharField(
        label="Why the last one failed",
        widget=forms.Textarea(attrs={"rows": 2}),
        required=False,
        help_text="If this component was replaced before.",
    )
    done_by = DoneByField(label="Done by")

    def prepare(self):
        on = self.on_order
        self.choose_complaint(blank=True)
        self.fields["cause"].choices = [("", "none"), *on.causes]
        self.fields["component"].offer(self)
        self.fields["evidence"].offer(self)
        self.fields["done_by"].offer(self)

    def work(self) -> dict:
        data = self.cleaned_data
        values = self.given(*(name for name in WORK if name != "cause"))
        return values | {"cause_ref": data["cause"], "complaint_ref": data["complaint"]}

    def part(self) -> dict | None:
        values = {name: self.cleaned_data[field] for field, name in PART.items()}
        return values if any(values.values()) else None

    def save(self, *, by, at):
        recording.add_work(
            self.order,
            by=by,
            at=at,
            done=self.moment(),
            done_by=self.cleaned_data["done_by"],
            part=self.part(),
            **self.work(),
        )
        return "Kept: the work done."


class AmendWorkForm(WorkForm):
    heading = "Correct a work item"
    even_closed = True
    needs_row = True
    field_order = [*WorkForm.field_order, "why"]

    why = WhyField()

    @classmethod
    def rows(cls, order):
        return WorkItem.objects.filter(order=order).select_related("part", "order")

    @classmethod
    def initial_for(cls, order, row):
        names = (
            "kind",
            "component",
            "reason",
            "evidence",
            "safety",
            "note",
            "failure_analysis",
            "done_by",
            "done_on",
        )
        part = getattr(row, "part", None)
        return (
            {name: getattr(row, name) for name in names}
            | {"complaint": row.complaint_ref, "cause": row.cause_ref}
            | {"done_at": row.done_at.astimezone(order.location.zone).time() if row.done_at else None}
            | {field: getattr(part, name) for field, name in PART.items() if part}
        )

    def save(self, *, by, at):
        done = self.moment()
        recording.amend_work(
            self.row,
            by=by,
            at=at,
            why=self.cleaned_data["why"],
            part=self.part(),
            done_by=self.cleaned_data["done_by"],
            done_on=done.on,
            done_at=done.instant,
            **self.work(),
        )
        return "Changed. What stood before is in the record."


class DisturbedForm(JobForm):
    heading = "Component taken off or moved for access"
    hint = "If it gives trouble later, the next person sees that it was touched."
    ring = "repair"

    component = ComponentField()

    def prepare(self):
        self.fields["component"].offer(self)

    def save(self, *, by, at):
        recording.disturb(self.order, by=by, at=at, component=self.cleaned_data["component"])
        return "Kept: the component that was disturbed."


class DeclinedForm(JobForm):
    heading = "Work that is known and not done"
    ring = "repair"
    roles = EVERYBODY

    component = forms.CharField(label="What needs doing", max_length=300)
    system = forms.ChoiceField(
        label="System",
        required=False,
        help_text="What the customer complained of, if this work would have put that right.",
    )
    symptom = forms.CharField(widget=forms.HiddenInput, required=False, max_length=64)
    risk = forms.ChoiceField(label="If it is left", choices=DeclinedItem.Risk, widget=forms.RadioSelect)
    informed_on = forms.DateField(
        label="Customer told on",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    follow_up_on = forms.DateField(
        label="Look again on",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    test = forms.ChoiceField(label="Reading that shows it", required=False)

    def prepare(self):
        on = self.on_order
        self.fields["system"].choices = [("", "not known"), *on.systems]
        self.fields["test"].choices = [("", "none"), *on.tests]
        if len(on.snapshot.complaints) == 1:
            self.initial.setdefault("system", on.snapshot.complaints[0].system)

    @property
    def _symptom(self) -> str:
        """The symptom that was there, else that of the only complaint of the system."""
        system, kept = self.cleaned_data["system"], self.cleaned_data["symptom"]
        said = {one.symptom for one in self.on_order.snapshot.complaints if system and one.system == system}
        return kept or (said.pop() if len(said) == 1 else "")

    def item(self) -> dict:
        names = ("component", "system", "risk", "informed_on", "follow_up_on")
        return self.given(*names) | {"symptom": self._symptom, "test_ref": self.cleaned_data["test"]}

    def save(self, *, by, at):
        recording.decline(self.order, by=by, at=at, **self.item())
        return "Kept: known, and not done."


class AmendDeclinedForm(DeclinedForm):
    heading = "Follow up declined work"
    even_closed = True
    needs_row = True

    why = WhyField()

    @classmethod
    def rows(cls, order):
        return DeclinedItem.objects.filter(order=order).select_related("order")

    @classmethod
    def initial_for(cls, order, row):
        names = ("component", "system", "symptom", "risk", "informed_on", "follow_up_on")
        return {name: getattr(row, name) for name in names} | {"test": row.test_ref}

    def save(self, *, by, at):
        recording.amend_declined(self.row, by=by, at=at, why=self.cleaned_data["why"], **self.item())
        return "Changed. What stood before is in the record."
