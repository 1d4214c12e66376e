from dataclasses import replace

from django import forms
from django.core.exceptions import ValidationError

from diagnostics.bench_sums import typed
from diagnostics.bench_sums.shown import sentence_case
from shared.computing import Given, Refused, compute
from shared.wording import number_text

IN_JSON = ("list", "object", "any")
LARGEST_TYPED = 1e5


class SearchForm(forms.Form):
    q = forms.CharField(label="Find a sum", max_length=60, required=False)


class GivenField(forms.CharField):
    """A value of a computation as hands type it; what is cleaned is the value in the unit asked for."""

    def __init__(self, given: Given, **options):
        self.given = given
        options.setdefault("max_length", typed.LONGEST_TEXT)
        super().__init__(**options)

    def to_python(self, value):
        text = super().to_python(value)
        if text in self.empty_values:
            return None
        try:
            return typed.read(self.given, text)
        except typed.Unclear as why:
            raise ValidationError(str(why), code="unclear") from why

    def run_validators(self, value):
        """Texts are read into values above; only what stayed a text has a length."""
        if isinstance(value, str):
            super().run_validators(value)


class SumForm(forms.Form):
    """The values of one computation, from the address: so an answer can be kept as a bookmark."""

    answer = None

    def __init__(self, found, *args, **kwargs):
        super().__init__(*args, auto_id="given-%s", **kwargs)
        self.found = found
        for given in found.given:
            self.fields[given.key] = field_of(given)

    @property
    def values(self):
        """What the computation is given: what was typed, without what was left empty."""
        return {key: value for key, value in self.cleaned_data.items() if value not in (None, "")}

    def clean(self):
        data = super().clean()
        if not self.errors:
            try:
                self.answer = compute(self.found.name, self.values)
            except Refused as refused:
                self.add_error(refused.field if refused.field in self.fields else None, _told(refused))
        return data


def _told(refused):
    message = refused.message
    if refused.allowed and refused.allowed not in message:
        message = f"{message} Allowed: {refused.allowed}."
    return ValidationError(message, code="refused")


def field_of(given):
    """Return the form field of one value that a computation is given."""
    options = {"label": _label(given), "required": not given.optional, "help_text": _hint(given)}
    if given.kind == "choice":
        choices = [(choice, choice) for choice in given.choices]
        return forms.ChoiceField(choices=[("", "Choose"), *choices], **options)
    if given.kind == "yes":
        return forms.BooleanField(**{**options, "required": False})
    widget = forms.TextInput(attrs={"autocomplete": "off"})
    if given.kind in ("texts", *IN_JSON) or "\n" in str(given.example):
        widget = forms.Textarea(attrs={"rows": 3})
    options["error_messages"] = {
        "required": f"{sentence_case(given.meaning)} is missing. Allowed: {given.allowed}."
    }
    return GivenField(given, widget=widget, **options)


def _label(given):
    meaning = sentence_case(given.meaning)
    return f"{meaning}, {given.unit}" if given.unit else meaning


def _hint(given):
    parts = [_range(given)] if given.kind in ("number", "whole", "numbers") else []
    if given.kind == "numbers":
        parts.append("several, with a blank between")
    if given.kind == "texts":
        parts.append("one a line")
    if given.kind in IN_JSON:
        parts.append("as JSON")
    if given.example is not None and given.kind not in ("choice", "yes"):
        parts.append(f"such as {example_text(given)}")
    return sentence_case("; ".join(part for part in parts if part))


def _range(given):
    """The validity range; a bound that no hand ever types is left to the refusal."""
    low = given.low if given.low is not None and given.low > -LARGEST_TYPED else None
    high = given.high if given.high is not None and given.high < LARGEST_TYPED else None
    return replace(given, low=low, high=high).range_words


def example_text(given):
    """Return the example of a value as hands would type it."""
    if isinstance(given.example, list | tuple):
        return " ".join(str(value) for value in given.example)
    if isinstance(given.example, bool | str | dict):
        return str(given.example)
    return number_text(given.example)
