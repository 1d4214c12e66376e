from fractions import Fraction

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from diagnostics.metrology import read_accuracy
from diagnostics.metrology.look_back import PERCENT
from diagnostics.models import Calibration, InstrumentRange
from shared.quantities import Question
from shared.units import find_unit


def known_unit(text):
    """Return the unit as the table writes it, or say that it is not known."""
    unit = find_unit(text)
    if unit is None:
        raise ValidationError(
            f"'{text}' is not a unit this site knows. Write one such as V, ohm or kPa.", code="unit"
        )
    return unit.symbol


class RangeForm(forms.ModelForm):
    """One range: the accuracy is read when it is entered, so that it can be used later."""

    class Meta:
        model = InstrumentRange
        fields = ["unit", "low", "high", "resolution", "accuracy_text"]
        labels = {"accuracy_text": "Accuracy, as the maker states it"}
        help_texts = {
            "unit": "V, mV, ohm, A, kPa",
            "low": "0 for most ranges; both polarities are meant",
            "high": "The largest value it shows: 6, 60, 600",
            "resolution": "The step of the last digit: 0.01",
            "accuracy_text": "±(0.5 % + 2), 1 % + 0.02 V, 1.5 % of full scale, 0.05 V",
        }

    def clean_unit(self):
        return known_unit(self.cleaned_data["unit"])

    def clean_resolution(self):
        step = self.cleaned_data["resolution"]
        if step is not None and step <= 0:
            raise ValidationError("A step is above 0. Write it like 0.01.", code="step")
        return step

    def clean_accuracy_text(self):
        text = self.cleaned_data["accuracy_text"]
        try:
            read_accuracy(text)
        except Question as question:
            raise ValidationError(str(question), code=question.code) from None
        return text

    def clean(self):
        data = super().clean()
        low, high = data.get("low"), data.get("high")
        if low is not None and high is not None and low >= high:
            self.add_error("high", ValidationError(f"{high} is not above {low}.", code="range_crossed"))
        self._look_for_the_same(data)
        if high is not None and data.get("unit") and data.get("accuracy_text"):
            self._try_accuracy(high, data["unit"], data["accuracy_text"])
        return data

    def _look_for_the_same(self, data):
        """The instrument is not a field of the form, so its constraint is not looked at by itself."""
        names = ("unit", "low", "high")
        if any(data.get(name) is None for name in names):
            return
        others = InstrumentRange.objects.filter(instrument=self.instance.instrument_id)
        if others.exclude(pk=self.instance.pk).filter(**{name: data[name] for name in names}).exists():
            self.add_error(
                "high", ValidationError("This range is on the list already. Change that one.", code="twice")
            )

    def _try_accuracy(self, high, unit, text):
        """The fixed part must be in a unit of the range's kind."""
        try:
            read_accuracy(text).half_width(Fraction(high), unit, resolution=Fraction(1), span=Fraction(high))
        except Question as question:
            self.add_error("accuracy_text", ValidationError(str(question), code=question.code))


class CalibrationForm(forms.ModelForm):
    in_tolerance = forms.TypedChoiceField(
        label="Found, before anything was adjusted",
        choices=[("yes", "within its accuracy"), ("no", "out of its accuracy")],
        coerce=lambda answer: answer == "yes",
        widget=forms.RadioSelect,
    )

    class Meta:
        model = Calibration
        fields = ["done_on", "in_tolerance", "found_error", "error_unit", "error_of", "due_next", "note"]
        widgets = {
            "done_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            "due_next": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        }
        help_texts = {
            "found_error": "What it showed too much, as found: 0.15; with a minus if it showed too little",
            "error_unit": "V, kPa, °C; or % for a share of the reading",
            "error_of": "A unit such as V, if only such readings were out; empty: all that it shows",
            "due_next": "The instrument is due then.",
            "note": "Which point, by whom, the number of the certificate",
        }

    def clean_done_on(self):
        day, today = self.cleaned_data["done_on"], timezone.localdate()
        if day > today:
            raise ValidationError(
                f"{day:%d %b %Y} is still to come. Write the day it was done.", code="future"
            )
        return day

    def clean_error_unit(self):
        text = self.cleaned_data["error_unit"].strip()
        return text if text in ("", PERCENT) else known_unit(text)

    def clean_error_of(self):
        text = self.cleaned_data["error_of"].strip()
        return known_unit(text) if text else ""

    def clean(self):
        data = super().clean()
        done, due = data.get("done_on"), data.get("due_next")
        if done and due and due <= done:
            self.add_error(
                "due_next", ValidationError("The next one is due after this one was done.", code="due")
            )
        return data
