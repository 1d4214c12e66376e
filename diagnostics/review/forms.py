from django import forms

from diagnostics.models import ReturnReview, ReturnVisit
from diagnostics.review.coding import Change
from diagnostics.review.coding_forms import CodingForm, DayField, coded, staff_choices
from diagnostics.review.wording import EXCLUSION_WORDS

State = ReturnVisit.State
NOTHING = ReturnReview.Change.NOTHING.value

STATE_CHOICES = [
    (State.IN_REVIEW, "In review: still being looked into"),
    (State.CONFIRMED, "A comeback: the earlier repair did not hold"),
    (State.UNRELATED, "Unrelated: it has nothing to do with the earlier job"),
    (State.EXCLUDED, "Excluded: one of the four exclusions holds"),
    (State.UNDETERMINED, "Cannot be told from what is on record"),
]


class ReviewForm(CodingForm):
    """What the owner says of one return. It has no field for a person blamed, and there must never be one."""

    needs_code = False

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
        help_text="What the record could have shown then, in a few sentences.",
    )
    change_kind = forms.ChoiceField(
        label="One change, to",
        required=False,
        choices=[("", "not decided yet"), *ReturnReview.Change.choices],
    )
    change = forms.CharField(
        label="The change",
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="For “nothing”: why nothing is changed.",
    )
    change_owner = forms.ChoiceField(label="Who makes it", required=False)
    change_due = DayField(label="By when")
    check_on = DayField(label="Look at the effect on", help_text="The queue of reviews brings it up then.")

    def __init__(self, data=None, *, visit, facts=(), first=None):
        initial = {
            "state": "" if visit.state == State.UNREVIEWED else visit.state,
            "exclusion": visit.review_exclusion or visit.exclusion,
            "note": visit.review_note,
        }
        super().__init__(data, facts=facts, initial=initial | coded(first))
        self.first = first
        self.fields["change_owner"].choices = staff_choices(first.change_owner if first else "")

    def clean(self):
        cleaned = super().clean()
        if cleaned.get("state") != State.EXCLUDED:
            cleaned["exclusion"] = ""
        elif not cleaned.get("exclusion") and "exclusion" not in self.errors:
            self._wrong(
                "exclusion", "Choose which exclusion holds, X1 to X4, or say something else of this return."
            )
        if self.first and not cleaned.get("primary") and "primary" not in self.errors:
            self._wrong("primary", "A code that was kept can be changed, not emptied. U1: it cannot be told.")
        self._clean_change(cleaned)
        return cleaned

    def _clean_change(self, said):
        kind, text = said.get("change_kind"), (said.get("change") or "").strip()
        others = any(said.get(name) for name in ("change_owner", "change_due", "check_on"))
        if not kind:
            if text or others:
                self._wrong("change_kind", "Choose what the change is to.")
            return
        if not said.get("primary"):
            self._wrong("primary", "A change is kept with the codes. Choose the primary code first.")
        if not text:
            why = "Write why nothing is changed." if kind == NOTHING else "Write the change in a sentence."
            self._wrong("change", why)
        if kind != NOTHING:
            self._clean_dates(said)

    def _clean_dates(self, said):
        if not said.get("change_owner"):
            self._wrong("change_owner", "Choose who makes the change.")
        for name, text in (
            ("change_due", "Write the day by which the change is made."),
            ("check_on", "Write the day on which its effect is looked at."),
        ):
            if not said.get(name) and name not in self.errors:
                self._wrong(name, text)
        due, look = said.get("change_due"), said.get("check_on")
        if due and look and look < due:
            self._wrong("check_on", "Look at the effect on a day after the change is made.")

    def _change(self):
        said = self.cleaned_data
        if not said["change_kind"]:
            return Change()
        text = said["change"].strip()
        if said["change_kind"] == NOTHING:
            return Change(NOTHING, text)
        return Change(said["change_kind"], text, said["change_owner"], said["change_due"], said["check_on"])
