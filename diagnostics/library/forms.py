from django import forms
from django.core.exceptions import ValidationError

from diagnostics.models import Instrument, TestKind
from diagnostics.models.protocol import MOST_STEPS, PHASES
from shared.units import is_known


class TestKindForm(forms.ModelForm):
    """A change of a test kind; what is kept is a new version."""

    __test__ = False

    class Meta:
        model = TestKind
        fields = [
            "name",
            "plain",
            "unit",
            "lo",
            "hi",
            "limit_source",
            "limit_says",
            "minutes",
            "point",
            "how",
        ]
        widgets = {"how": forms.Textarea(attrs={"rows": 5})}
        help_texts = {
            "lo": "Leave it empty where there is no lower limit.",
            "hi": "Leave it empty where there is no upper limit.",
            "limit_says": "The maker's figure always wins: write whose it is.",
        }

    def clean_unit(self):
        unit = self.cleaned_data["unit"].strip()
        if self.instance.kind == TestKind.Kind.NUMERIC and not is_known(unit):
            raise ValidationError(
                f"'{unit}' is not a unit this site knows. Write one such as V, ohm or kPa.", code="unit"
            )
        return unit

    def clean(self):
        data = super().clean()
        lo, hi = data.get("lo"), data.get("hi")
        if lo is not None and hi is not None and lo > hi:
            self.add_error(
                "hi", ValidationError(f"The upper limit {hi} is below the lower limit {lo}.", code="limits")
            )
        if (lo is not None or hi is not None) and not data.get("limit_source"):
            self.add_error("limit_source", ValidationError("Say where the limit comes from.", code="source"))
        return data

    def changes(self):
        """Return the changed values by field name."""
        return {name: self.cleaned_data[name] for name in self.changed_data}


class InstrumentForm(forms.ModelForm):
    class Meta:
        model = Instrument
        fields = ["code", "kind", "cal_required", "cal_due", "withdrawn_on", "accuracy", "accuracy_text"]
        widgets = {
            "cal_due": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            "withdrawn_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        }
        labels = {"code": "Name"}
        help_texts = {
            "code": "As it is written on the instrument: meter 2",
            "accuracy": "Half the width of the band: 0.05 for ±0.05 V",
            "accuracy_text": "0.5 % + 2 counts",
        }

    def clean_code(self):
        code = " ".join(self.cleaned_data["code"].split())
        if self.instance.pk and code != self.instance.code:
            raise ValidationError(
                "Readings name this instrument. Withdraw it and add the new name instead.", code="renamed"
            )
        return code

    def clean_accuracy(self):
        accuracy = self.cleaned_data["accuracy"]
        if accuracy is not None and accuracy < 0:
            raise ValidationError("An accuracy cannot be below 0. Write 0.05 for ±0.05.", code="negative")
        return accuracy


class StepForm(forms.Form):
    test = forms.ChoiceField(label="Test", required=False)
    phase = forms.ChoiceField(label="When", choices=PHASES, required=False, initial="before")
    critical = forms.BooleanField(label="Critical", required=False)

    def __init__(self, *args, tests=(), **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["test"].choices = [("", "No step"), *tests]


class BaseSteps(forms.BaseFormSet):
    default_error_messages = {"too_many_forms": f"{MOST_STEPS} steps at most. Take one away."}

    def clean(self):
        if any(self.errors):
            return
        steps = self.steps()
        if not steps:
            raise ValidationError("A protocol needs at least one step. Choose a test.", code="no_step")
        if len({step[:2] for step in steps}) < len(steps):
            raise ValidationError(
                "One test is asked for twice in the same phase. Take one of them away.", code="step_twice"
            )

    def steps(self):
        """Return the steps chosen, in order: test code, phase, critical."""
        return [
            (form.cleaned_data["test"], form.cleaned_data["phase"] or "before", form.cleaned_data["critical"])
            for form in self.forms
            if form.cleaned_data.get("test")
        ]


Steps = forms.formset_factory(StepForm, formset=BaseSteps, extra=0, max_num=MOST_STEPS, validate_max=True)


class ProtocolReasonForm(forms.Form):
    reason = forms.CharField(
        label="Why this version",
        max_length=300,
        help_text="What a return taught us, or what turned out not to help",
    )
