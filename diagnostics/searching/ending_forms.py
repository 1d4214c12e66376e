"""The end of a search: the one reading of the suspect itself, and the cause that is named."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from diagnostics import recording
from diagnostics.job.entries import instrument_choices
from diagnostics.job.forms.readings import ReadingForm
from diagnostics.models import TestKind
from diagnostics.searching.confirming import Confirmation, confirmations_of
from diagnostics.searching.forms import ActForm
from diagnostics.searching.naming import Named, named
from diagnostics.searching.thinking import Thought
from shop.models import RepairOrder

SHOWN, SOUND = "shown", "sound"


class ConfirmForm(ReadingForm):
    """The reading that shows the suspect itself; it isolates the component where it fails."""

    candidate = forms.CharField(widget=forms.HiddenInput)
    outcome = forms.ChoiceField(
        label="What it read",
        required=False,
        choices=[(SHOWN, "it shows the fault"), (SOUND, "nothing wrong there")],
    )
    note = forms.CharField(label="What you saw", max_length=300, required=False)

    def __init__(self, *args: Any, thought: Thought, one: Confirmation, **kwargs: Any) -> None:
        self.thought, self.one = thought, one
        super().__init__(*args, kind=_kind_of(one), **kwargs)

    def prepare(self) -> None:
        super().prepare()
        for name in ("code", "phase", "complaint", "point", "isolates", "result", "observation"):
            self.fields.pop(name, None)
        self.fields["candidate"].initial = self.one.candidate
        self.fields.pop("outcome" if self.one.unit else "instrument")

    @property
    def title(self) -> str:
        return self.one.title

    @property
    def _code(self) -> str:
        return self.one.code

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        if "outcome" in self.fields and not data.get("outcome") and "outcome" not in self.errors:
            self.add_error("outcome", ValidationError("Press what it read.", code="required"))
        return data

    def reading_values(self) -> dict[str, Any]:
        """The fields of the test run."""
        data, one = self.cleaned_data, self.one
        values = {
            "code": one.code,
            "phase": "before",
            "kind": self._how,
            "complaint_ref": self.thought.search.complaint_ref,
            "instrument": data.get("instrument"),
            "isolates": one.component,
            "conditions": data.get("conditions", ""),
            "repeatable": one.can_be_repeated,
        }
        note = data.get("note", "").strip()
        if self._how == TestKind.Kind.NUMERIC:
            values |= self._numeric_values(data["entry"])
            return values | {"observation": f"{values['observation']} {note}".strip(), "point": one.point}
        is_shown = data["outcome"] == SHOWN
        return values | {
            "point": one.point,
            "result": "fail" if is_shown else "pass",
            "observation": f"{one.shown if is_shown else one.sound} {note}".strip(),
        }

    @property
    def goes_to(self) -> str:
        return f"{self.thought.search.get_absolute_url()}#next"

    def save(self, *, by: Any, at: datetime) -> str:
        run = recording.record_test(self.order, by=by, at=at, **self.reading_values())
        if run.result == "pass":
            return f"Kept: {run.observation} Then it is not that: repeat the readings that led here."
        return f"Kept: {run.observation}" if run.observation else f"Kept: {self.one.title}."


def confirm_form(
    thought: Thought, one: Confirmation, *, order: RepairOrder, user: Any, data: Any = None
) -> ConfirmForm:
    """Return the form of one confirmation."""
    return ConfirmForm(
        data,
        thought=thought,
        one=one,
        order=order,
        user=user,
        instruments=instrument_choices(order) if one.unit else [],
        auto_id=f"confirm-{one.candidate}-%s",
    )


def _kind_of(one: Confirmation) -> TestKind:
    return TestKind(
        code=one.code,
        name=one.title,
        kind=TestKind.Kind.NUMERIC if one.unit else TestKind.Kind.ATTRIBUTE,
        unit=one.unit,
        lo=one.lo,
        hi=one.hi,
        limit_says="limit of the test on the map" if one.unit else "",
        point=one.point,
        repeatable=one.can_be_repeated,
    )


class NameForm(ActForm):
    """The suspect that is left is named, with everything that follows from the readings."""

    heading = "Name the cause"
    act = "Name this as the cause"
    hint = "Each other suspect is written down with the readings that rule it out. The search ends."

    mode = forms.CharField(label="How it failed", max_length=300, required=False)
    statement = forms.CharField(
        label="How we know",
        widget=forms.Textarea(attrs={"rows": 3}),
        required=False,
        help_text="In a sentence the customer can follow.",
    )

    def prepare(self) -> None:
        found = self.proposed
        if found:
            self.fields["mode"].initial = found[0].mode
            self.fields["statement"].initial = found[0].statement
        if len(found) > 1:  # Two faults at once keep the words of the map.
            for name in ("mode", "statement"):
                self.fields.pop(name)

    @property
    def proposed(self) -> list[Named]:
        """What would be written down, one cause after the other."""
        if not hasattr(self, "_proposed"):
            thought = self.thought
            ones = confirmations_of(thought, thought.named, thought.tests) if thought.named else []
            self._confirmed = bool(ones) and all(one.shown_by for one in ones)
            self._proposed = [
                named(
                    one.candidate,
                    pair=thought.named if len(ones) > 1 else "",
                    members=[each.candidate for each in ones],
                    terms=thought.terms,
                    components=self.search.components,
                    posterior=thought.belief.posterior,
                    heard=thought.heard,
                    tests=thought.tests,
                    complaint=self.search.complaint_ref,
                    symptom=self.search.options.get("symptom_runs", []),
                    ref=self.search.ref,
                )
                for one in ones
            ]
        return self._proposed

    def clean(self) -> dict[str, Any]:
        if not self.proposed:
            raise ValidationError(
                "More than one suspect is left. Go on, or name the cause on the job page.",
                code="not_isolated",
            )
        if not self._confirmed:
            raise ValidationError(
                "Confirm it by one reading of its own first: left over is not yet shown.",
                code="not_confirmed",
            )
        return super().clean()

    def save(self, *, by: Any, at: datetime) -> str:
        first, *others = self.proposed
        words = {name: self.cleaned_data[name] for name in ("mode", "statement") if name in self.fields}
        recording.name_found(self.search, by=by, at=at, causes=[replace(first, **words), *others])
        return f"Cause named: {' and '.join(one.component for one in self.proposed)}. The search has ended."

    @property
    def goes_to(self) -> str:
        return f"{self.order.get_absolute_url()}#cause"
