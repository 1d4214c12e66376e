from django import forms
from django.core.exceptions import ValidationError

from diagnostics.models import ReturnVisit
from diagnostics.review.names import system_names
from diagnostics.review.wording import EXCLUSION_WORDS

State = ReturnVisit.State

STATE_CHOICES = [
    (State.IN_REVIEW, "In review: still being looked into"),
    (State.CONFIRMED, "A comeback: the earlier repair did not hold"),
    (State.UNRELATED, "Unrelated: it has nothing to do with the earlier job"),
    (State.EXCLUDED, "Excluded: one of the four exclusions holds"),
    (State.UNDETERMINED, "Cannot be told from what is on record"),
]


class ReviewForm(forms.Form):
    """What the owner says of one return. It has no field for a person, and there must never be one."""

    state = forms.ChoiceField(
        label="This return is",
        choices=STATE_CHOICES,
        widget=forms.RadioSelect,
        error_messages={"required": "Choose what this return is."},
    )
    exclusion = forms.ChoiceField(
        label="Which exclusion",
        required=False,
        choices=[("", "none"), *((code, f"{code}, {text}") for code, text in EXCLUSION_WORDS.items())],
        help_text="Needs its evidence: the declined item, the agreed return, the report, the document.",
    )
    note = forms.CharField(
        label="What we learn from it",
        required=False,
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="What could have shown it then, and one change to a protocol, a tool, a time or a wording.",
    )

    def __init__(self, data=None, *, visit):
        initial = {
            "state": "" if visit.state == State.UNREVIEWED else visit.state,
            "exclusion": visit.review_exclusion or visit.exclusion,
            "note": visit.review_note,
        }
        super().__init__(data, initial=initial)

    def clean(self):
        cleaned = super().clean()
        if cleaned.get("state") != State.EXCLUDED:
            cleaned["exclusion"] = ""
        elif not cleaned.get("exclusion") and "exclusion" not in self.errors:
            self.add_error(
                "exclusion",
                ValidationError(
                    "Choose which exclusion holds, X1 to X4, or say something else of this return.",
                    code="exclusion_missing",
                ),
            )
        return cleaned


class PeriodForm(forms.Form):
    """Which jobs the audit counts: handed back in a period, with a complaint of a system."""

    since = forms.DateField(
        label="Handed back from",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    until = forms.DateField(
        label="Handed back until",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    system = forms.ChoiceField(label="System", required=False)

    def __init__(self, data, *, since, until):
        asked = {name: value for name, value in data.items() if value}
        super().__init__({"since": since.isoformat(), "until": until.isoformat(), "system": ""} | asked)
        self.fields["system"].choices = [("", "Every system"), *sorted(system_names().items(), key=_by_name)]
        self.default = since, until

    def clean(self):
        cleaned = super().clean()
        since, until = cleaned.get("since"), cleaned.get("until")
        if since and until and since > until:
            self.add_error(
                "until",
                ValidationError(
                    "The period ends before it begins. Write a later day here, or an earlier one before.",
                    code="period_reversed",
                ),
            )
        return cleaned

    @property
    def period(self):
        """The two days asked for, or the usual ones where what was typed cannot be read."""
        if not self.is_valid():
            return self.default
        return self.cleaned_data["since"] or self.default[0], self.cleaned_data["until"] or self.default[1]

    @property
    def chosen_system(self):
        return self.cleaned_data.get("system", "") if self.is_valid() else ""


def _by_name(choice):
    return choice[1]
