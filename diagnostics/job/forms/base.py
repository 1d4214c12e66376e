"""What the forms of a job share: who may, which record they belong to, when something was done."""

from __future__ import annotations

from datetime import datetime
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils import timezone

from diagnostics.job.on_order import OnOrder
from shared.moments import Moment, moment_at

DIAGNOSIS = ("technician", "owner")
EVERYBODY = ("advisor", "technician", "owner")


class JobForm(forms.Form):
    """One record of a job, or one change to a record.

    `rows(order)` gives the records that the form may change; a form that adds has none. `save` calls the act
    and returns what to say.
    """

    heading: ClassVar[str] = ""
    act: ClassVar[str] = "Keep it"
    hint: ClassVar[str] = ""
    ring: ClassVar[str] = "measured"
    roles: ClassVar[tuple[str, ...]] = DIAGNOSIS
    even_closed: ClassVar[bool] = False
    needs_row: ClassVar[bool] = False
    template: ClassVar[str] = "diagnostics/job_record.html"
    # What is seldom changed is folded away: a title, and the fields under it.
    folds: ClassVar[tuple[tuple[str, tuple[str, ...]], ...]] = ()

    use_required_attribute = False
    # Whether a file came with the form that was too large to keep.
    upload_refused: bool = False

    def __init__(self, *args, order, user, row=None, **kwargs):
        self.order, self.user, self.row = order, user, row
        self.on_order = OnOrder(order)
        super().__init__(*args, **kwargs)
        self.prepare()

    def prepare(self) -> None:
        """Fill choices that depend on the order."""

    @classmethod
    def rows(cls, order):
        return None

    @classmethod
    def initial_for(cls, order, row) -> dict[str, Any]:
        """What stands in the form when it is opened."""
        return {}

    def save(self, *, by, at: datetime) -> str:
        raise NotImplementedError

    @property
    def title(self) -> str:
        return self.heading

    @property
    def plain_fields(self):
        """The fields that are always in sight."""
        folded = {name for _, names in self.folds for name in names}
        return [bound for bound in self.visible_fields() if bound.name not in folded]

    @property
    def folded_fields(self):
        """Title, fields, and whether the fold stands open: it does where something is to be put right."""
        for title, names in self.folds:
            bounds = [self[name] for name in names if name in self.fields and not self[name].is_hidden]
            if bounds:
                yield title, bounds, any(bound.errors for bound in bounds)

    @property
    def anchor(self) -> str:
        return self.ring

    @property
    def goes_to(self) -> str:
        """Where the answer is shown."""
        return f"{self.order.get_absolute_url()}#{self.anchor}"

    def given(self, *names: str) -> dict[str, Any]:
        """The cleaned values of some fields."""
        return {name: self.cleaned_data[name] for name in names}

    def choose_complaint(self, name: str = "complaint", *, blank: bool = False) -> None:
        """A job with one complaint is not asked which."""
        field = self.fields[name]
        choices = self.on_order.complaints
        field.choices = [("", "the job as a whole"), *choices] if blank else choices
        if len(choices) == 1:
            self.initial.setdefault(name, choices[0][0])
            field.initial = choices[0][0]
            if not blank:
                field.widget = forms.HiddenInput()


class MomentFields(forms.Form):
    """Day and time at which something was done; now, unless another is written."""

    folds = (("When and by whom, if not now and by you", ("done_by", "done_on", "done_at")),)

    done_on = forms.DateField(
        label="Done on", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    done_at = forms.TimeField(
        label="At",
        required=False,
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        help_text="Leave it empty if only the day is known.",
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        now = timezone.now().astimezone(self.order.location.zone)
        self.fields["done_on"].initial = now.date()
        self.fields["done_at"].initial = now.time().replace(second=0, microsecond=0)

    def clean_done_on(self):
        day = self.cleaned_data["done_on"]
        today = timezone.now().astimezone(self.order.location.zone).date()
        if day > today:
            raise ValidationError(
                f"{day:%d %b %Y} is still to come. Write the day it was done, or leave today's.",
                code="future",
            )
        return day

    def moment(self) -> Moment:
        """The day, and the instant where a time is written."""
        day, clock = self.cleaned_data["done_on"], self.cleaned_data.get("done_at")
        if clock is None:
            return Moment(day)
        zone = self.order.location.zone
        return Moment(day, moment_at(datetime.combine(day, clock, zone), zone).instant)


class DoneByField(forms.ChoiceField):
    """The person who did it: somebody of the shop."""

    def offer(self, form: JobForm) -> None:
        names = form.on_order.staff
        kept = form.initial.get("done_by") or form.user.signs_as
        missing = [] if (kept, kept) in names else [(kept, kept)]
        self.choices = [*names, *missing]
        self.initial = kept


class CitedTests(forms.MultipleChoiceField):
    """Tests of this order that speak for the record."""

    widget = forms.CheckboxSelectMultiple

    def __init__(self, **kwargs):
        super().__init__(**{"required": False, "label": "Tests that show it", **kwargs})

    def offer(self, form: JobForm) -> None:
        self.choices = form.on_order.tests
        if not self.choices:
            self.help_text = "No test is recorded yet. It can be cited later."


class ReasonField(forms.CharField):
    """Why, in a sentence that the next person understands."""

    def __init__(self, **kwargs):
        super().__init__(**{"widget": forms.Textarea(attrs={"rows": 3}), "label": "Reason", **kwargs})


class WhyField(forms.CharField):
    """Why a record is corrected; what stood before stays in the trail."""

    def __init__(self, **kwargs):
        super().__init__(
            **{
                "label": "Why it is changed",
                "max_length": 300,
                "help_text": "What stood before stays on record, with this.",
                **kwargs,
            }
        )


def from_address(form_class: type[JobForm], query: QueryDict) -> dict[str, Any]:
    """Values that a link brings along for the fields of a form."""
    many = {
        name for name, field in form_class.base_fields.items() if isinstance(field, forms.MultipleChoiceField)
    }
    return {
        name: query.getlist(name) if name in many else query[name]
        for name in form_class.base_fields
        if name in query
    }
