"""What is said to a search: a reading, a zone that stands open, a test that cannot be done, its end."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from diagnostics import recording
from diagnostics.isolation.minutes import shared_out
from diagnostics.isolation.wording.figures import suspects
from diagnostics.job.entries import instrument_choices
from diagnostics.job.forms.readings import ReadingForm
from diagnostics.models import FaultSearch, TestKind, TestRun
from diagnostics.searching.problem import can_be_repeated
from diagnostics.searching.reading import thought_of
from diagnostics.searching.thinking import Thought
from diagnostics.snapshot import Test
from shared.moments import Moment
from shop.models import RepairOrder

MINUTES = {"min_value": 0, "max_value": 999, "max_digits": 4, "decimal_places": 1, "required": False}


class ActForm(forms.Form):
    """Something that is said to a search. `save` calls the act and returns what to say."""

    heading: ClassVar[str] = ""
    act: ClassVar[str] = "Keep it"
    hint: ClassVar[str] = ""

    use_required_attribute = False

    def __init__(self, *args: Any, thought: Thought, order: RepairOrder, user: Any, **kwargs: Any) -> None:
        self.thought, self.order, self.user = thought, order, user
        super().__init__(*args, **kwargs)
        self.prepare()

    def prepare(self) -> None:
        """Fill choices that depend on the search."""

    @property
    def search(self) -> FaultSearch:
        return self.thought.search

    @property
    def title(self) -> str:
        return self.heading

    @property
    def goes_to(self) -> str:
        return f"{self.search.get_absolute_url()}#next"

    def save(self, *, by: Any, at: datetime) -> str:
        raise NotImplementedError


class TakeForm(ReadingForm):
    """The reading of one test of the search: a button for each outcome, or the line to type a number on."""

    template = "diagnostics/search.html"

    test = forms.CharField(widget=forms.HiddenInput)
    outcome = forms.ChoiceField(
        label="What it read",
        required=False,
        widget=forms.RadioSelect,
        error_messages={"invalid_choice": "Choose one of the outcomes of this test."},
    )
    minutes = forms.DecimalField(
        label="It took, min", help_text="All of it, since the last reading.", **MINUTES
    )
    access_minutes = forms.DecimalField(label="of that to get in, min", **MINUTES)
    zones = forms.MultipleChoiceField(
        label="Opened for it", required=False, widget=forms.CheckboxSelectMultiple
    )
    note = forms.CharField(
        label="What else you saw", max_length=300, required=False, help_text="Stands with the reading."
    )

    def __init__(self, *args: Any, thought: Thought, test_id: str, **kwargs: Any) -> None:
        self.thought, self.test_id = thought, test_id
        self.listens: dict[str, Any] = thought.search.listens[test_id]
        self.asked = next(each for each in thought.document["tests"] if each["id"] == test_id)
        super().__init__(*args, kind=_kind_of(self.asked, self.listens), **kwargs)

    def prepare(self) -> None:
        super().prepare()
        for name in ("code", "phase", "complaint", "point", "isolates", "result", "observation"):
            self.fields.pop(name, None)
        self.fields["test"].initial = self.test_id
        outcomes = self.thought.terms.tests[self.test_id].outcomes
        self.fields["outcome"].choices = [(one.id, one.label) for one in outcomes]
        to_open = self.thought.terms.to_open(self.test_id, self.thought.belief.open_zones)
        self.fields["zones"].choices = [(zone.id, zone.label) for zone in to_open]
        self.fields["zones"].initial = [zone.id for zone in to_open]
        if not to_open:
            self.fields.pop("zones")
            self.fields.pop("access_minutes")
        if self.listens.get("unit"):
            self.fields.pop("outcome")
        else:
            self.fields.pop("instrument")

    @property
    def title(self) -> str:
        return self.thought.terms.test(self.test_id)

    @property
    def goes_to(self) -> str:
        return f"{self.thought.search.get_absolute_url()}#next"

    @property
    def _code(self) -> str:
        return self.listens["code"]

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        if "outcome" in self.fields and not data.get("outcome") and "outcome" not in self.errors:
            self.add_error("outcome", ValidationError("Press what it read.", code="required"))
        took, access = data.get("minutes"), data.get("access_minutes")
        if took is not None and access is not None and access > took:
            self.add_error(
                "access_minutes",
                ValidationError(
                    f"{access} min to get in are more than the {took} min it took.", code="too_long"
                ),
            )
        return data

    def reading_values(self) -> dict[str, Any]:
        """The fields of the test run."""
        data = self.cleaned_data
        values = {
            "code": self.listens["code"],
            "kind": self._how,
            "instrument": data.get("instrument"),
            "conditions": data.get("conditions", ""),
            "repeatable": can_be_repeated(self.asked),
        }
        if self._how == TestKind.Kind.NUMERIC:
            values |= self._numeric_values(data["entry"])
            return values | {"observation": _joined(values["observation"], data.get("note", ""))}
        outcome = data["outcome"]
        seen = self.listens["observation"].get(outcome) or f"{self.title}: {outcome}."
        return values | {
            "point": self.listens["point"],
            "result": self.listens["says"][outcome],
            "observation": _joined(seen, data.get("note", "")),
        }

    def save(self, *, by: Any, at: datetime) -> str:
        values = self.reading_values()
        data = self.cleaned_data
        run = recording.take_reading(
            self.thought.search,
            by=by,
            at=at,
            test=self.test_id,
            isolates=self._isolates(values),
            zones=data.get("zones", []),
            **_minutes_of(self),
            **values,
        )
        return said_of(self.thought.search, run)

    def _isolates(self, values: dict[str, Any]) -> str:
        """The component that this reading leaves standing alone; empty where it leaves several."""
        after = self.thought.after(_as_test(values, self.thought.search.complaint_ref))
        name = after.standing if after.heard[-1].counts else ""
        return self.thought.search.components.get(name, {}).get("component", "")


def take_form(thought: Thought, test: str, *, order: RepairOrder, user: Any, data: Any = None) -> TakeForm:
    """Return the form of one test."""
    return TakeForm(
        data,
        thought=thought,
        test_id=test,
        order=order,
        user=user,
        instruments=instrument_choices(order) if thought.search.listens[test].get("unit") else [],
        auto_id=f"take-{test}-%s",
    )


def _kind_of(asked: Mapping[str, Any], listens: Mapping[str, Any]) -> TestKind:
    """The kind of test that the search asks for: the reading line goes by it."""
    unit = listens.get("unit", "")
    return TestKind(
        code=listens["code"],
        name=asked.get("label") or asked["id"],
        kind=TestKind.Kind.NUMERIC if unit else TestKind.Kind.ATTRIBUTE,
        unit=unit,
        lo=_decimal(listens.get("lo")),
        hi=_decimal(listens.get("hi")),
        limit_says="limit of the test on the map" if unit else "",
        point=listens["point"],
        repeatable=can_be_repeated(asked),
    )


def _decimal(value: Any) -> Decimal | None:
    return None if value is None else Decimal(str(value))


def _joined(seen: str, note: str) -> str:
    return f"{seen} {note.strip()}".strip()


def _as_test(values: Mapping[str, Any], complaint: str) -> Test:
    """A reading that is about to be kept, as the search would hear it."""
    instrument = values.get("instrument")
    names = ("code", "kind", "point", "value", "unit", "lo", "hi", "limit_unit", "observation")
    return Test(
        id="about to be kept",
        phase="before",
        on=Moment(timezone.localdate()),
        complaint=complaint,
        result=values.get("result") or None,
        instrument=instrument.code if instrument else "",
        **{name: values[name] for name in names if name in values},
    )


def _minutes_of(form: TakeForm) -> dict[str, Decimal | None]:
    """Minutes of work and minutes to get in; where only the whole is known, shared out as was expected."""
    data, thought = form.cleaned_data, form.thought
    took, access = data.get("minutes"), data.get("access_minutes")
    zones = [thought.terms.zones[name] for name in data.get("zones", [])]
    if took is None:
        return {"minutes": None, "access_minutes": access}
    if access is None and zones and took > 0:
        expected = {"work": thought.terms.tests[form.test_id].minutes}
        expected["access"] = sum(zone.open_minutes + zone.close_minutes for zone in zones)
        shared = shared_out(float(took), expected)
        access = round(Decimal(shared.get("access", 0.0)), 1)
    return {"minutes": took - (access or 0), "access_minutes": access}


def said_of(search: FaultSearch, run: TestRun) -> str:
    """What was kept, whether the search hears it, and what is left."""
    after = thought_of(search)
    one = next((one for one in after.heard if one.run == run.ref), None)
    if one is None:
        return f"Kept: {run}. The search does not hear it: it was taken at another point than asked."
    kept = f"Kept: {after.terms.test(one.test)}"
    if not one.counts:
        return f"{kept}. The search does not count it: {one.why}."
    kept = f"{kept}: {after.terms.tests[one.test].outcome(one.outcome).label}"
    if after.belief.is_impossible:
        return f"{kept}. It does not go with the other readings."
    return f"{kept}. {suspects(len(after.suspected))} left."


class RunForm(ActForm):
    """Something about one reading of the search."""

    run = forms.CharField(widget=forms.HiddenInput)

    def clean_run(self) -> TestRun:
        found = (
            recording.live(self.order).filter(ref=self.cleaned_data["run"]).select_related("order").first()
        )
        heard = {one.run for one in self.thought.heard}
        if found is None or found.ref not in heard:
            raise ValidationError("This reading is not one of the search any more.", code="not_heard")
        return found


class UndoForm(RunForm):
    """A reading taken back."""

    heading = "Take a reading back"
    act = "Take it back"
    hint = "It stays on record, with the reason."

    reason = forms.CharField(
        label="Why", max_length=300, required=False, initial=recording.PRESSED_BY_MISTAKE
    )

    def save(self, *, by: Any, at: datetime) -> str:
        recording.undo_reading(self.cleaned_data["run"], by=by, at=at, reason=self.cleaned_data["reason"])
        return "Taken back. It stays on record with the reason."


class ZoneForm(ActForm):
    """A zone that was found open, or is closed again."""

    heading = "What stands open"

    zone = forms.ChoiceField()
    is_open = forms.BooleanField(required=False)

    def prepare(self) -> None:
        self.fields["zone"].choices = [(name, zone.label) for name, zone in self.thought.terms.zones.items()]

    def save(self, *, by: Any, at: datetime) -> str:
        zone, is_open = self.cleaned_data["zone"], self.cleaned_data["is_open"]
        told = [name for name in self.thought.told_open if name != zone] + ([zone] if is_open else [])
        recording.tell_search(self.search, by=by, at=at, told={"open": told})
        label = self.thought.terms.zones[zone].label
        return f"{label}: {'stands open' if is_open else 'not counted as open any more'}."


class TestForm(ActForm):
    """Something about one test of the search."""

    __test__ = False  # Not a test class, whatever pytest thinks of the name.

    test = forms.ChoiceField(widget=forms.HiddenInput)

    def prepare(self) -> None:
        tests = [each["id"] for each in self.search.document["tests"]]
        self.fields["test"].choices = [(name, name) for name in tests]

    def label(self) -> str:
        """What the test is called."""
        found = next(
            each for each in self.search.document["tests"] if each["id"] == self.cleaned_data["test"]
        )
        return found.get("label") or found["id"]

    def _without(self) -> list[dict[str, Any]]:
        return [one for one in self.thought.left_out if one["test"] != self.cleaned_data["test"]]


class CannotForm(TestForm):
    """A test that cannot be done here; the plan goes round it."""

    heading = "Could not do it"
    act = "Leave it out"
    hint = "The plan goes round it. It can be put back any time."

    reason = forms.CharField(
        label="Why",
        max_length=200,
        help_text="The bolt is seized; no second meter; the customer does not want the trim off.",
        error_messages={"required": "Write why, so that the next person need not try."},
    )

    def save(self, *, by: Any, at: datetime) -> str:
        one = {
            "test": self.cleaned_data["test"],
            "label": self.label(),
            "reason": self.cleaned_data["reason"],
            "by": by.signs_as,
        }
        recording.tell_search(self.search, by=by, at=at, told={"left_out": [*self._without(), one]})
        return f"Left out: {self.label()}."


class AgainForm(TestForm):
    """A test that was left out is offered again."""

    heading = "Offer it again"

    def save(self, *, by: Any, at: datetime) -> str:
        recording.tell_search(self.search, by=by, at=at, told={"left_out": self._without()})
        return f"Offered again: {self.label()}."


class StopForm(ActForm):
    heading = "Stop the search without finding it"
    act = "Stop the search"
    hint = "Every reading stays. Another search of this complaint hears them all."

    reason = forms.CharField(
        label="Why it is stopped",
        widget=forms.Textarea(attrs={"rows": 3}),
        max_length=300,
        error_messages={"required": "Write why the search is stopped."},
    )

    def save(self, *, by: Any, at: datetime) -> str:
        recording.stop_search(self.search, by=by, at=at, reason=self.cleaned_data["reason"])
        return "The search is stopped. Its readings stay."

    @property
    def goes_to(self) -> str:
        return f"{self.order.get_absolute_url()}#cause"
