"""The forms of a review: codes with their evidence, one change, a look at its effect."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from diagnostics.models import ReturnReview
from diagnostics.review.codes import ESCAPE_POINTS, codes_by_group
from diagnostics.review.coding import KNOWN_STEPS, Change, Coding, Rests
from diagnostics.review.suggesting import Fact
from shop.models import StaffMember

SLOTS: Mapping[str, str] = {
    "primary": "Primary code",
    "second": "Contributing code",
    "third": "Another contributing code",
}
CODE_CHOICES = [
    (f"{letter}, {name}", [(code.code, code.label) for code in codes])
    for letter, name, codes in codes_by_group()
]


class DayField(forms.DateField):
    """A day, typed or chosen."""

    def __init__(self, **kwargs: Any) -> None:
        widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
        super().__init__(**{"required": False, "widget": widget, **kwargs})


class CodingForm(forms.Form):
    """Codes of one return. It has no field for a person blamed, and there must never be one."""

    use_required_attribute = False
    needs_code = True

    def __init__(self, data: Any = None, *, facts: Sequence[Fact], initial: Mapping[str, Any] | None = None):
        super().__init__(data, initial=dict(initial or {}))
        self.texts = {fact.key: fact.text for fact in facts}
        self._keep_cited()
        cites = [(key, text) for key, text in self.texts.items()]
        for slot, label in SLOTS.items():
            self.fields[slot] = forms.ChoiceField(
                label=label,
                required=self.needs_code and slot == "primary",
                choices=[("", "none" if slot != "primary" else "not chosen"), *CODE_CHOICES],
                error_messages={"required": "Choose the primary code; U1 says that it cannot be told."},
            )
            self.fields[f"{slot}_facts"] = forms.MultipleChoiceField(
                label="It rests on, from the records",
                required=False,
                choices=cites,
                widget=forms.CheckboxSelectMultiple,
            )
            self.fields[f"{slot}_says"] = forms.CharField(
                label="In your words",
                required=False,
                max_length=1000,
                widget=forms.Textarea(attrs={"rows": 2}),
            )
        self.fields["escape_point"] = forms.ChoiceField(
            label="Where it could have been caught",
            required=self.needs_code,
            choices=[("", "not chosen"), *ESCAPE_POINTS.items()],
            error_messages={"required": "Choose the step that could have caught it first."},
        )
        for link, label in KNOWN_STEPS.items():
            self.fields[f"known_{link}"] = forms.CharField(
                label=label,
                required=False,
                max_length=1000,
                widget=forms.Textarea(attrs={"rows": 2}),
            )

    def _keep_cited(self) -> None:
        """A fact that was cited and is not in the records any more can still be cited."""
        for slot in SLOTS:
            for key, text in self.initial.get(f"{slot}_kept", ()):
                self.texts.setdefault(key, text)

    @property
    def slots(self) -> list[dict[str, Any]]:
        """Each code with the fields of its evidence; `is_used` where it holds anything."""
        return [
            {
                "code": self[slot],
                "facts": self[f"{slot}_facts"],
                "says": self[f"{slot}_says"],
                "is_used": bool(self[slot].value() or self[slot].errors or self[f"{slot}_says"].errors),
            }
            for slot in SLOTS
        ]

    @property
    def known_fields(self) -> list[forms.BoundField]:
        """What each step could know then."""
        return [self[f"known_{link}"] for link in KNOWN_STEPS]

    @property
    def knows_something(self) -> bool:
        """Whether the fold of what each step could know stands open."""
        return any(bound.value() or bound.errors for bound in self.known_fields)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        chosen = {slot: cleaned.get(slot, "") for slot in SLOTS}
        if not chosen["primary"] and not self.errors.get("primary"):
            self._clean_without(chosen)
            return cleaned
        self._clean_codes(chosen)
        if not cleaned.get("escape_point") and "escape_point" not in self.errors:
            self._wrong("escape_point", "Choose the step that could have caught it first.")
        return cleaned

    def _clean_codes(self, chosen: Mapping[str, str]) -> None:
        seen: set[str] = set()
        for slot, code in chosen.items():
            if not code:
                if self._evidence_of(slot):
                    self._wrong(slot, "There is evidence without a code. Choose the code it speaks for.")
            elif code in seen:
                self._wrong(slot, f"{code} is chosen already. Each code stands once.")
            elif not self._evidence_of(slot):
                self._wrong(f"{slot}_says", f"Say what {code} rests on: a fact above, or your own words.")
            seen.add(code)

    def _clean_without(self, chosen: Mapping[str, str]) -> None:
        if chosen["second"] or chosen["third"] or self.cleaned_data.get("escape_point"):
            self._wrong("primary", "Choose the primary code as well, or leave all codes empty.")

    def _evidence_of(self, slot: str) -> bool:
        cleaned = self.cleaned_data
        return bool(cleaned.get(f"{slot}_facts") or (cleaned.get(f"{slot}_says") or "").strip())

    def _wrong(self, name: str, text: str) -> None:
        self.add_error(name, ValidationError(text, code="coding"))

    @property
    def coding(self) -> Coding | None:
        """What was chosen, None while nothing is."""
        said = self.cleaned_data
        codes = {slot: said[slot] for slot in SLOTS if said[slot]}
        if "primary" not in codes:
            return None
        return Coding(
            primary=codes["primary"],
            escape_point=said["escape_point"],
            contributing=tuple(code for slot, code in codes.items() if slot != "primary"),
            evidence={
                code: Rests(
                    tuple((key, self.texts[key]) for key in said[f"{slot}_facts"]),
                    said[f"{slot}_says"].strip(),
                )
                for slot, code in codes.items()
            },
            known_then={link: said[f"known_{link}"].strip() for link in KNOWN_STEPS},
            change=self._change(),
        )

    def _change(self) -> Change:
        return Change()


class LookForm(forms.Form):
    """What a look at the effect of a change showed."""

    use_required_attribute = False

    checked_on = DayField(
        label="Looked on", required=True, error_messages={"required": "Write the day you looked."}
    )
    check_said = forms.CharField(
        label="What the look showed",
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": "Write what you saw, also if it was nothing."},
        help_text="Counts before and after, or “too few jobs to tell”. A change that did nothing is worth "
        "knowing too.",
    )

    def __init__(self, *args: Any, today: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["checked_on"].initial = today

    def clean_checked_on(self) -> Any:
        day = self.cleaned_data["checked_on"]
        if day > self.today:
            raise ValidationError("That day is still to come. Write the day you looked.", code="future")
        return day


def coded(review: ReturnReview | None) -> dict[str, Any]:
    """Return a kept coding as the initial values of its form."""
    if review is None:
        return {}
    values: dict[str, Any] = {"escape_point": review.escape_point}
    for slot, code in zip(SLOTS, (review.primary, *review.contributing), strict=False):
        rests = review.evidence.get(code, {})
        cited = rests.get("facts", [])
        values |= {
            slot: code,
            f"{slot}_facts": [key for key, _ in cited],
            f"{slot}_kept": cited,
            f"{slot}_says": rests.get("says", ""),
        }
    values |= {f"known_{link}": text for link, text in review.known_then.items()}
    return values | {
        "change_kind": review.change_kind,
        "change": review.change,
        "change_owner": review.change_owner,
        "change_due": review.change_due,
        "check_on": review.check_on,
    }


def staff_choices(kept: str = "") -> Iterable[tuple[str, str]]:
    """Who can make a change: the people of the shop, and the one on record."""
    names = list(StaffMember.objects.filter(is_active=True).values_list("signs_as", flat=True))
    if kept and kept not in names:
        names.append(kept)
    return [("", "not chosen"), *((name, name) for name in names)]
