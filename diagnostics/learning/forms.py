"""What a change of a protocol is to change, and what is decided of it later."""

from __future__ import annotations

from datetime import timedelta

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from diagnostics.models import ProtocolAim

Measure, Decision = ProtocolAim.Measure, ProtocolAim.Decision
USUAL_DAYS = 180
DATE = {"widget": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")}


class PercentField(forms.FloatField):
    """A share, typed in per cent and given as 0 to 1."""

    def __init__(self, **kwargs):
        super().__init__(
            min_value=0,
            max_value=100,
            required=False,
            widget=forms.TextInput(attrs={"inputmode": "decimal"}),
            help_text="per cent",
            **kwargs,
        )

    def clean(self, value):
        percent = super().clean(value)
        return None if percent is None else percent / 100


class AimForm(forms.Form):
    """The aim of a new version. All of it may stay empty: then nobody can tell later whether it helped."""

    use_required_attribute = False

    text = forms.CharField(
        label="What it should change",
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="The draw is read before a battery is sold. Empty: a change without an aim.",
    )
    measure = forms.ChoiceField(
        label="Measured by",
        choices=Measure,
        widget=forms.RadioSelect,
        initial=Measure.STEP_DONE,
        required=False,
    )
    step_code = forms.ChoiceField(label="Which step it is about", required=False)
    share_from = PercentField(label="From")
    share_to = PercentField(label="To")
    starts_on = forms.DateField(label="Counted from", required=False, **DATE)
    by_on = forms.DateField(label="Look at it on", required=False, **DATE)

    def __init__(self, *args, tests=(), **kwargs):
        super().__init__(*args, **kwargs)
        today = timezone.localdate()
        self.fields["step_code"].choices = [("", "no one step"), *tests]
        self.fields["starts_on"].initial = today
        self.fields["by_on"].initial = today + timedelta(days=USUAL_DAYS)

    def clean(self):
        data = super().clean()
        if not data.get("text"):
            return data
        starts_on, by_on = data.get("starts_on") or timezone.localdate(), data.get("by_on")
        if not by_on and "by_on" not in self.errors:
            self._refuse("by_on", "Write the day on which to look at it.", "no_day")
        if by_on and by_on <= starts_on:
            self._refuse(
                "by_on", "The day to look at it lies before the start. Choose a later day.", "too_early"
            )
        if starts_on < timezone.localdate():
            self._refuse("starts_on", "The new steps count from today on. Write today or later.", "past")
        if data.get("measure") == Measure.STEP_DONE and not data.get("step_code"):
            self._refuse("step_code", "Choose the step that should be done more often.", "no_step")
        self._check_shares(data)
        return data

    def _check_shares(self, data):
        first, second = data.get("share_from"), data.get("share_to")
        more = data.get("measure") == Measure.STEP_DONE
        if first is not None and second is not None and (second > first) != more:
            words = "more often" if more else "less often"
            self._refuse("share_to", f"The aim is that it happens {words}. Write another share.", "wrong_way")

    def _refuse(self, name, text, code):
        self.add_error(name, ValidationError(text, code=code))

    def aim(self, *, after_bad_spell):
        """Return the aim, not saved yet; None where none was written."""
        data = self.cleaned_data
        if not data["text"]:
            return None
        return ProtocolAim(
            text=data["text"],
            measure=data["measure"] or Measure.STEP_DONE,
            step_code=data["step_code"],
            share_from=data["share_from"],
            share_to=data["share_to"],
            starts_on=data["starts_on"] or timezone.localdate(),
            by_on=data["by_on"],
            after_bad_spell=after_bad_spell,
        )


class DecisionForm(forms.Form):
    """Whether a change stays."""

    use_required_attribute = False

    decision = forms.ChoiceField(
        label="What becomes of it",
        widget=forms.RadioSelect,
        choices=[
            (Decision.KEPT, "It stays"),
            (Decision.WITHDRAWN, "It is withdrawn: the steps before it are put in force again"),
        ],
    )
    why = forms.CharField(label="Why", max_length=1000, widget=forms.Textarea(attrs={"rows": 3}))
