"""What the customer said on the phone."""

from __future__ import annotations

from datetime import timedelta

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from diagnostics.models import FollowUp

Outcome, Kind = FollowUp.Outcome, FollowUp.Kind
AFTER_A_REPAIR = (Outcome.GONE, Outcome.STILL_THERE, Outcome.ELSEWHERE, Outcome.LEFT, Outcome.NO_ANSWER)
AFTER_DECLINING = (Outcome.DONE, Outcome.STILL_DECLINED, Outcome.LEFT, Outcome.NO_ANSWER)
TRY_AGAIN_DAYS = 2
LONGEST_WORDS = 2000
SELDOM = ("called_on", "left_on", "times")


class CallForm(forms.Form):
    """The outcome of one call."""

    use_required_attribute = False

    outcome = forms.ChoiceField(
        label="What came of it",
        widget=forms.RadioSelect,
        error_messages={"required": "Choose what came of the call."},
    )
    times = forms.IntegerField(
        label="How often it came back",
        min_value=1,
        max_value=10_000,
        required=False,
        help_text="Where it came back; 1 where they did not count.",
    )
    said = forms.CharField(
        label="In their words",
        widget=forms.Textarea(attrs={"rows": 3}),
        max_length=LONGEST_WORDS,
        required=False,
    )
    again_on = forms.DateField(
        label="Call again on",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text=f"Nobody answered: in {TRY_AGAIN_DAYS} days, unless you write another day. "
        "Answered: leave it empty, and it is done.",
    )
    left_on = forms.DateField(
        label="Gone since",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text="Where the vehicle is sold or gone; empty: the day of the call.",
    )
    called_on = forms.DateField(
        label="Called on", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )

    def __init__(self, *args, order, kind, **kwargs):
        super().__init__(*args, **kwargs)
        self.order = order
        self.today = timezone.now().astimezone(order.location.zone).date()
        offered = AFTER_DECLINING if kind == Kind.DECLINED else AFTER_A_REPAIR
        self.fields["outcome"].choices = [(one.value, one.label) for one in offered]
        self.fields["called_on"].initial = self.today
        if kind == Kind.DECLINED:
            del self.fields["times"]

    @property
    def seldom(self):
        """What is seldom asked."""
        return [self[name] for name in SELDOM if name in self.fields]

    @property
    def is_seldom_open(self):
        """Whether one of those is to be put right."""
        return any(bound.errors for bound in self.seldom)

    def clean_called_on(self):
        day = self.cleaned_data["called_on"]
        if day > self.today:
            raise ValidationError(f"{day:%d %b %Y} is still to come.", code="future")
        if self.order.returned_on and day < self.order.returned_on:
            raise ValidationError(
                f"The job was handed back on {self.order.returned_on:%d %b %Y}. Write a day since then.",
                code="before_hand_over",
            )
        return day

    def clean(self):
        data = super().clean()
        called_on, again_on = data.get("called_on"), data.get("again_on")
        if called_on and again_on and again_on <= called_on:
            self.add_error(
                "again_on", ValidationError("Call again on a later day than this call.", code="not_later")
            )
        left_on = data.get("left_on")
        if left_on and called_on and not (self.order.returned_on or left_on) <= left_on <= called_on:
            self.add_error(
                "left_on",
                ValidationError("Write a day from hand-over to the call.", code="not_between"),
            )
        return data

    def given(self):
        """The values as `record_call` takes them."""
        data = dict(self.cleaned_data)
        data["times"] = data.get("times") or 0
        if data["outcome"] == Outcome.NO_ANSWER and not data["again_on"]:
            data["again_on"] = data["called_on"] + timedelta(days=TRY_AGAIN_DAYS)
        if data["outcome"] != Outcome.LEFT:
            data["left_on"] = None
        return data
