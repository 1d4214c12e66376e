"""What a page of the audit is asked for: the form of the period, and the question it makes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import HttpRequest
from django.utils import timezone

from diagnostics.audit.scope import Scope
from diagnostics.review.names import system_names
from shop.models import Location

COUNTED = (
    ("provisional", "by the verdict"),
    ("reviewed_low", "as reviewed, undetermined left out"),
    ("reviewed_high", "as reviewed, undetermined counted"),
)
WINDOW_DAYS = 90  # Of a person who belongs to no shop. practice.md section 9.


@dataclass(frozen=True, slots=True)
class Asked:
    """A question as it was asked for on a page.

    form : to show again.
    scope : to count.
    since_is_usual : the period begins where it does by itself.
    """

    form: PeriodForm
    scope: Scope
    since_is_usual: bool = False

    @property
    def query(self) -> dict[str, str]:
        """The parts of the address that ask the same again."""
        return self.form.query

    @property
    def has_shops(self) -> bool:
        """Whether several shops are counted together."""
        return "location" in self.form.fields and not self.scope.location


class PeriodForm(forms.Form):
    """Which jobs the audit counts: handed back in a period, in a shop, with a complaint of a system."""

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
    location = forms.ChoiceField(label="Shop", required=False)
    system = forms.ChoiceField(label="System", required=False)
    counted = forms.ChoiceField(label="Came back", required=False, choices=COUNTED)

    def __init__(self, data: Any, *, since: date):
        asked = {name: value for name, value in data.items() if value}
        super().__init__({"since": since.isoformat(), "counted": "provisional"} | asked)
        self.default_since = since
        shops = list(Location.objects.values_list("code", "name"))
        if len(shops) > 1:
            self.fields["location"].choices = [("", "Every shop"), *((c, n or c) for c, n in shops)]
        else:
            del self.fields["location"]
        self.fields["system"].choices = [("", "Every system"), *sorted(system_names().items(), key=_name)]
        self.systems = dict(self.fields["system"].choices)

    def clean(self) -> dict[str, Any]:
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

    def scope(self, as_of: date) -> Scope:
        """Return the question; where a field cannot be read, the usual one."""
        if not self.is_valid():
            return Scope(as_of=as_of, since=self.default_since)
        said = self.cleaned_data
        return Scope(
            as_of=as_of,
            since=said["since"] or self.default_since,
            until=said["until"],
            location=said.get("location", ""),
            system=said["system"],
            counted=said["counted"] or "provisional",
        )

    @property
    def query(self) -> dict[str, str]:
        """The fields that were filled, as the address has them."""
        if not self.is_valid():
            return {}
        said = {name: value for name, value in self.cleaned_data.items() if value}
        return {
            name: getattr(value, "isoformat", lambda value=value: value)() for name, value in said.items()
        }

    @property
    def system_name(self) -> str:
        """The system that was chosen, in words; empty for every system."""
        chosen = self.cleaned_data.get("system", "") if self.is_valid() else ""
        return self.systems.get(chosen, chosen) if chosen else ""


def asked_of(request: HttpRequest) -> Asked:
    """Return what a request asks the audit, counted on today's date.

    Without a period: from the day a year before the newest job whose window has run, on.
    """
    today = timezone.localdate()
    own = request.user.location
    form = PeriodForm(request.GET, since=a_year(today, own.window_days if own else WINDOW_DAYS))
    scope = form.scope(today)
    return Asked(form, scope, since_is_usual=scope.since == form.default_since)


def a_year(today: date, window_days: int) -> date:
    """Return the first of the newest twelve months of hand-overs whose window has passed."""
    newest = today - timedelta(days=window_days + 1)
    return _year_before(newest) + timedelta(days=1)


def _year_before(day: date) -> date:
    is_leap_day = (day.month, day.day) == (2, 29)
    return day.replace(year=day.year - 1, day=28 if is_leap_day else day.day)


def _name(choice: tuple[str, str]) -> str:
    return choice[1]
