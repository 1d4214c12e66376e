"""Readings: one line for a known test, the whole form for any other."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.functional import cached_property

from diagnostics import recording
from diagnostics.job.forms.base import DoneByField, JobForm, MomentFields
from diagnostics.job.on_order import caution_texts, limits_written_last, plain_name, reading_words, test_kinds
from diagnostics.models import Instrument, TestKind, TestRun
from diagnostics.models.protocol import PHASES
from diagnostics.reading import read_instruments, read_order
from diagnostics.reading_line import read_line
from shared.quantities import Question
from shared.wording import limits_text

RESULTS = [("pass", "as it should be"), ("fail", "not as it should be")]
LIMITS = ("lo", "hi", "limit_says")
ANSWER_LENGTH = 140
LINE_HINT = "Number and unit. Another point than usual goes after an @: 5.3 mV @ fuse 14"


class ReadingForm(JobForm):
    """One line of typing for a test of the catalogue; limits and point come from its kind."""

    heading = "Record a reading"
    template = "diagnostics/job_reading.html"

    code = forms.CharField(widget=forms.HiddenInput)
    phase = forms.ChoiceField(choices=PHASES, widget=forms.HiddenInput, initial="before")
    complaint = forms.CharField(widget=forms.HiddenInput, required=False)
    back = forms.CharField(widget=forms.HiddenInput, required=False)
    reading = forms.CharField(label="Reading", help_text=LINE_HINT, max_length=ANSWER_LENGTH, required=False)
    result = forms.ChoiceField(label="Result", choices=RESULTS, widget=forms.RadioSelect, required=False)
    observation = forms.CharField(label="What you saw", max_length=500, required=False)
    instrument = forms.ModelChoiceField(
        Instrument.objects.none(), required=False, empty_label="not named", label="With"
    )
    point = forms.CharField(label="Measuring point", max_length=64, required=False)
    isolates = forms.CharField(
        label="Component it isolates",
        max_length=64,
        required=False,
        help_text="If this reading separates one component from the others: which.",
    )
    conditions = forms.CharField(
        label="Conditions",
        max_length=300,
        required=False,
        help_text="Idle, loads on, 20 minutes after locking",
    )

    lo = forms.DecimalField(label="Lower limit", required=False)
    hi = forms.DecimalField(label="Upper limit", required=False)
    limit_says = forms.CharField(
        label="Whose limit it is",
        max_length=300,
        required=False,
        help_text="The vehicle maker’s figure beats every general one: write it, and where it stands.",
    )

    def __init__(self, *args, kind: TestKind | None = None, instruments=None, **kwargs):
        self._kind, self._instruments = kind, instruments
        super().__init__(*args, **kwargs)

    def prepare(self):
        self.fields["reading"].widget.attrs |= {
            "autocomplete": "off",
            "inputmode": "text",
            "enterkeyhint": "send",
        }
        self.fields["instrument"].queryset = self.on_order.instruments
        if self._instruments is not None:
            self.fields["instrument"].choices = self._instruments
        self.question: Question | None = None
        for name in self._left_out():
            self.fields.pop(name, None)
        self._require()

    @cached_property
    def test_kind(self) -> TestKind | None:
        """The kind of the test that is asked for, as it is in force now."""
        return self._kind or test_kinds([self._code]).get(self._code)

    @property
    def title(self) -> str:
        return self.name[:1].upper() + self.name[1:] if self._code else self.heading

    @property
    def name(self) -> str:
        return plain_name(self._code, {self._code: self.test_kind} if self.test_kind else {})

    @property
    def limits_words(self) -> str:
        if self.test_kind is None or self._how != TestKind.Kind.NUMERIC:
            return ""
        return limits_text(self.test_kind.lo, self.test_kind.hi, self.test_kind.unit)

    @property
    def caution_texts(self) -> list[str]:
        """The cautions of this test, to stand above the field."""
        return list(caution_texts({self.test_kind.code: self.test_kind}).values()) if self.test_kind else []

    @property
    def anchor(self):
        return "proved" if self.cleaned_data.get("phase") == "after" else "measured"

    @property
    def _code(self) -> str:
        return (self.data.get(self.add_prefix("code")) if self.is_bound else self.initial.get("code")) or ""

    @property
    def _how(self) -> str:
        if self.test_kind:
            return self.test_kind.kind
        how = self.data.get(self.add_prefix("how")) if self.is_bound else self.initial.get("how")
        return how if how in TestKind.Kind.values else TestKind.Kind.NUMERIC

    def _require(self):
        """What makes the test worth anything must be written; the form says so in its own words."""
        asked = {
            "reading": "What did the instrument show? Write number and unit, such as 12.31 V.",
            "result": "Choose whether it is as it should be.",
            "observation": "What did you see? A verdict without it supports nothing.",
        }
        if self._how == TestKind.Kind.CODE:
            asked["observation"] = "Which codes were read? Write none if there were none."
        for name, text in asked.items():
            if name in self.fields:
                self.fields[name].required = True
                self.fields[name].error_messages["required"] = text

    @property
    def asks_limits(self) -> bool:
        """A kind without a general limit: only the maker's says what the reading means."""
        if self._how != TestKind.Kind.NUMERIC:
            return False
        return self.test_kind is None or (self.test_kind.lo is None and self.test_kind.hi is None)

    def _left_out(self) -> tuple[str, ...]:
        limits = () if self.asks_limits else LIMITS
        if self._how == TestKind.Kind.NUMERIC:
            return "result", "observation", *limits
        return (*limits, "reading", "result") if self._how == TestKind.Kind.CODE else (*limits, "reading")

    def clean(self):
        data = super().clean()
        if self._how != TestKind.Kind.NUMERIC or "reading" not in data:
            return data
        lo, hi = data.get("lo"), data.get("hi")
        if lo is not None and hi is not None and lo > hi:
            self.add_error(
                "hi", ValidationError(f"{hi} is below the lower limit {lo}.", code="limits_crossed")
            )
        self._read(data)
        return data

    def _read(self, data):
        """Read the line; what is not clear becomes a question that stands beside the field."""
        # The line, or the one that was chosen in its place.
        self._line = typed = self._answer("instead") or data["reading"]
        limits = self._limits()
        try:
            data["entry"] = read_line(
                typed,
                unit=self.unit,
                point=data.get("point") or self.usual_point,
                lo=limits["lo"],
                hi=limits["hi"],
                limit_unit=limits["limit_unit"],
                sure=_same_line(self._answer("meant"), typed),
            )
        except Question as question:
            self.question = question
            self.add_error("reading", ValidationError(str(question), code=question.code))

    def _answer(self, name: str) -> str:
        """A question is answered by a button: `meant`, the line as typed, or `instead`, another one."""
        return (self.data.get(self.add_prefix(name)) or "")[:ANSWER_LENGTH].strip()

    @property
    def confirms(self) -> str:
        """The line that stands if the person says that it is meant; empty where nobody can mean it."""
        return self._line if self.question and self.question.can_confirm else ""

    @property
    def confirms_words(self) -> str:
        """The same line with the unit that was taken for it."""
        has_unit = any(character.isalpha() for character in self.confirms)
        return self.confirms if has_unit else f"{self.confirms} {self.unit}".strip()

    @property
    def offers(self) -> list[str]:
        """Readings that may have been meant."""
        return list(self.question.suggestions) if self.question else []

    @property
    def unit(self) -> str:
        return self.test_kind.unit if self.test_kind else ""

    @property
    def usual_point(self) -> str:
        return self.test_kind.point if self.test_kind else ""

    @property
    def _is_repeatable(self) -> bool:
        """Whether it can be taken again after the repair: by its kind, unless the person says it cannot."""
        by_kind = self.test_kind.repeatable if self.test_kind else True
        return by_kind and not self.cleaned_data.get("only_now", False)

    def reading_values(self) -> dict[str, Any]:
        """The fields of the test run that the typed values make."""
        data = self.cleaned_data
        values = {
            "code": data["code"],
            "phase": data["phase"],
            "complaint_ref": data.get("complaint", ""),
            "kind": self._how,
            "instrument": data.get("instrument"),
            "isolates": data.get("isolates", ""),
            "conditions": data.get("conditions", ""),
            "repeatable": self._is_repeatable,
        }
        if self._how != TestKind.Kind.NUMERIC:
            return values | {
                "result": data.get("result", ""),
                "observation": data["observation"],
                "point": data.get("point") or self.usual_point,
            }
        return values | self._numeric_values(data["entry"])

    def _numeric_values(self, entry) -> dict[str, Any]:
        return {
            "typed": entry.typed,
            "value": entry.value,
            "unit": entry.unit,
            "point": entry.point,
            "observation": entry.observation,
            "resolution": entry.resolution,
            **self._limits(),
        }

    def _limits(self) -> dict[str, Any]:
        """The limits as typed where they are asked for, else those of the kind in force."""
        kind, data = self.test_kind, self.cleaned_data
        lo, hi = (data.get("lo"), data.get("hi")) if self.asks_limits else (kind.lo, kind.hi)
        says = data.get("limit_says", "") if self.asks_limits else kind.limit_says
        has_limit = lo is not None or hi is not None
        return {"lo": lo, "hi": hi, "limit_says": says, "limit_unit": self.unit if has_limit else ""}

    def save(self, *, by, at: datetime) -> str:
        return said_of(self, recording.record_test(self.order, by=by, at=at, **self.reading_values()))


class TestRunForm(MomentFields, ReadingForm):
    """Any test, with its own limits, its day, and who did it."""

    __test__ = False  # Not a test class, whatever pytest thinks of the name.

    heading = "Record a test"
    folds = (
        ("Limits, and whose they are", ("test_unit", "lo", "hi", "limit_says", "info_only")),
        *MomentFields.folds,
    )
    template = "diagnostics/job_record.html"
    field_order = [
        "code", "complaint", "phase", "reading", "result", "observation", "instrument", "point", "isolates",
        "conditions", "only_now", "lo", "hi", "limit_says", "info_only", "done_by", "done_on", "done_at",
    ]  # fmt: skip

    how = forms.CharField(widget=forms.HiddenInput, required=False)
    phase = forms.ChoiceField(label="When", choices=PHASES, widget=forms.RadioSelect, initial="before")
    complaint = forms.ChoiceField(label="For which complaint")
    test_unit = forms.CharField(label="Unit of the limits", max_length=32, required=False)
    info_only = forms.BooleanField(label="For information only: not to be judged", required=False)
    only_now = forms.BooleanField(
        label="It cannot be taken again after the repair",
        required=False,
        help_text="The part is gone by then, or the test destroys it: the part unplugged, a cut-open filter.",
    )
    done_by = DoneByField(label="Done by")

    def prepare(self):
        super().prepare()
        self.choose_complaint()
        self.fields["done_by"].offer(self)
        if self.test_kind is not None and not self.test_kind.repeatable:
            self.fields.pop("only_now")
        if self.test_kind is None:
            self.fields["code"] = forms.CharField(label="What is measured", max_length=200)
            self.order_fields(self.field_order)
        if self._how != TestKind.Kind.NUMERIC:
            for name in ("info_only", "test_unit"):
                self.fields.pop(name)
        elif self.test_kind is not None:
            self._put_limits_of_kind()

    def _put_limits_of_kind(self):
        kind = self.test_kind
        self.fields.pop("test_unit")
        if kind.lo is None and kind.hi is None:
            self.folds = MomentFields.folds  # Without the maker's limit the reading says nothing: ask for it.
            runs = TestRun.objects.filter(order=self.order, code=kind.code, superseded_by=None).order_by("pk")
            for name, value in limits_written_last(runs, kind.code, kind.unit).items():
                self.initial.setdefault(name, value)
        for name, value in (("lo", kind.lo), ("hi", kind.hi), ("limit_says", kind.limit_says)):
            self.fields[name].initial = value
            if name != "limit_says":
                self.fields[name].label += f", {kind.unit}"
        self.fields["point"].initial = kind.point

    @property
    def asks_limits(self):
        return self._how == TestKind.Kind.NUMERIC

    @property
    def unit(self):
        return self.test_kind.unit if self.test_kind else self._typed_unit

    @property
    def _typed_unit(self) -> str:
        return getattr(self, "cleaned_data", {}).get("test_unit", "")

    def _numeric_values(self, entry):
        return super()._numeric_values(entry) | {"info_only": self.cleaned_data.get("info_only", False)}

    def save(self, *, by, at):
        run = recording.record_test(
            self.order,
            by=by,
            at=at,
            done=self.moment(),
            done_by=self.cleaned_data["done_by"],
            **self.reading_values(),
        )
        return said_of(self, run)


def _same_line(a: str, b: str) -> bool:
    return a.split() == b.split() != []


def said_of(form: ReadingForm, run: TestRun, verb: str = "Kept") -> str:
    """What was kept, with its verdict: the answer in sight after each entry."""
    test = next(test for test in read_order(form.order.pk).tests if test.id == run.ref)
    point = f", {run.point}" if run.point else ""
    return f"{verb}: {form.name}{point}: {reading_words(test, read_instruments())}."
