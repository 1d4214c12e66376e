"""How a search begins, and how its problem is put anew: its map as it is now, two faults at once."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from diagnostics import recording
from diagnostics.circuits.reading import circuit_of
from diagnostics.isolation.circuit import CircuitError
from diagnostics.judging import outcome as outcome_of
from diagnostics.models import CircuitMap, FaultSearch
from diagnostics.recording.searches import Posed
from diagnostics.searching.forms import ActForm
from diagnostics.searching.posing import WRONG_MINUTES, pose
from diagnostics.searching.reading import tests_of
from shop.models import Complaint, RepairOrder

BUS_STATES = [
    ("dead-low", "dead: it stays low"),
    ("dead-high", "dead: it stays high"),
    ("dead", "dead: level not known"),
    ("noisy", "messages are lost or disturbed"),
    ("alive", "alive, and units below do not answer"),
]


class StartForm(forms.Form):
    """What was confirmed at the vehicle, on a map that is chosen already."""

    use_required_attribute = False

    complaint = forms.CharField(widget=forms.HiddenInput)
    map = forms.IntegerField(widget=forms.HiddenInput)
    bus = forms.ChoiceField(
        label="What the line does at the test socket", choices=BUS_STATES, widget=forms.RadioSelect
    )
    silent = forms.MultipleChoiceField(
        label="Units that do not answer", required=False, widget=forms.CheckboxSelectMultiple
    )
    loads_dead = forms.MultipleChoiceField(
        label="What does not work", required=False, widget=forms.CheckboxSelectMultiple,
        help_text="Nothing ticked: all of it.",
    )  # fmt: skip
    symptom_runs = forms.MultipleChoiceField(
        label="Readings that show it", required=False, widget=forms.CheckboxSelectMultiple,
        help_text="They are cited with the cause, and taken again after the repair.",
    )  # fmt: skip
    intermittent = forms.ChoiceField(
        label="The fault",
        choices=[("no", "is there all the time"), ("yes", "comes and goes")],
        widget=forms.RadioSelect,
    )
    open = forms.MultipleChoiceField(
        label="Stands open already", required=False, widget=forms.CheckboxSelectMultiple
    )
    pairs = forms.BooleanField(label="Reckon with two faults at once", required=False)
    wrong_minutes = forms.IntegerField(
        label="A wrong call costs, min",
        min_value=1,
        max_value=10_000,
        initial=WRONG_MINUTES,
        help_text=f"The comeback, in minutes. {WRONG_MINUTES} is the usual value: the higher, the surer "
        "it is before a cause is named.",
    )

    def __init__(
        self, *args: Any, order: RepairOrder, complaint: Complaint, drawn: CircuitMap, **kwargs: Any
    ) -> None:
        self.order, self.of_complaint, self.drawn = order, complaint, drawn
        super().__init__(*args, **kwargs)
        self._prepare()

    def _prepare(self) -> None:
        circuit = circuit_of(self.drawn)
        fitted = [place for place in circuit.places if place.fitted != "no"]
        units = [(place.id, place.name) for place in fitted if place.kind == "module"]
        loads = [(place.id, place.name) for place in fitted if place.kind in ("load", "module")]
        self.fields["silent"].choices, self.fields["loads_dead"].choices = units, loads
        shut = [zone for zone in circuit.zones if not zone.already_open]
        self.fields["open"].choices = [(zone.id, zone.label or zone.id) for zone in shut]
        self.fields["symptom_runs"].choices = self._failing()
        pattern = "no" if self.of_complaint.pattern == Complaint.Pattern.CONSTANT else "yes"
        self.fields["intermittent"].initial = pattern
        self.fields["complaint"].initial = self.of_complaint.ref
        self.fields["map"].initial = self.drawn.pk
        asked = {"bus": ("bus", "silent"), "feed": ("loads_dead",), "draw": ()}[self.drawn.topology]
        for name in {"bus", "silent", "loads_dead"} - set(asked):
            self.fields.pop(name)
        for name in ("open", "symptom_runs", "silent"):
            if name in self.fields and not self.fields[name].choices:
                self.fields.pop(name)

    def _failing(self) -> list[tuple[str, str]]:
        tests = [
            test
            for test in tests_of(self.order)
            if test.complaint == self.of_complaint.ref
            and test.phase == "before"
            and outcome_of(test) == "fail"
        ]
        return [(test.id, f"{test.id}: {test.code.replace('_', ' ')} {test.point}".strip()) for test in tests]

    @property
    def plain_fields(self) -> list[Any]:
        return [bound for bound in self.visible_fields() if bound.name not in self._folded]

    @property
    def folded_fields(self) -> list[Any]:
        return [bound for bound in self.visible_fields() if bound.name in self._folded]

    _folded = ("pairs", "wrong_minutes")

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        if data.get("bus") == "alive" and not data.get("silent"):
            self.add_error(
                "silent", ValidationError("Tick the units that do not answer.", code="nothing_silent")
            )
        if not self.errors:
            try:
                self.posed = self._pose(data)
            except CircuitError as error:
                self.add_error(None, ValidationError([fault.message for fault in error.faults]))
        return data

    def _pose(self, data: dict[str, Any]) -> Posed:
        bus, _, level = data.get("bus", "").partition("-")
        options = {
            "symptom": {
                "bus": bus,
                "level": level,
                "silent": data.get("silent", []) if bus != "dead" else [],
                "loads_dead": data.get("loads_dead", []),
            },
            "intermittent": data["intermittent"] == "yes",
            "pairs": "best" if data["pairs"] else "none",
            "open": data.get("open", []),
            "symptom_runs": data.get("symptom_runs", []),
            "wrong_minutes": data["wrong_minutes"],
        }
        return pose(self.order, self.of_complaint, self.drawn, options=options)

    def save(self, *, by: Any, at: datetime) -> FaultSearch:
        return recording.start_search(self.of_complaint, by=by, at=at, posed=self.posed)


class PoseAgainForm(ActForm):
    """The same search from its map as that is now."""

    heading = "Take the map as it is now"
    why = "the map was changed"

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        if self.search.circuit_map is None:
            raise ValidationError("This search was not begun from a map of the shop.", code="no_map")
        try:
            self.posed = self._pose()
        except CircuitError as error:
            raise ValidationError([fault.message for fault in error.faults]) from error
        return data

    def _pose(self) -> Posed:
        complaint = Complaint.objects.get(order=self.order, ref=self.search.complaint_ref)
        return pose(
            self.order, complaint, self.search.circuit_map, options=self._options(), weigh=self._weigh()
        )

    def _options(self) -> dict[str, Any]:
        return dict(self.search.options)

    def _weigh(self) -> dict[str, float]:
        return {}

    def save(self, *, by: Any, at: datetime) -> str:
        recording.pose_again(self.search, by=by, at=at, posed=self.posed, why=self.why)
        return "The search goes on with the map as it is now. Every reading is heard again."


class TwoFaultsForm(PoseAgainForm):
    """Two faults at once: the two likeliest before the contradiction are put together on the list."""

    heading = "Reckon with two faults at once"
    why = "two faults at once"

    def _options(self) -> dict[str, Any]:
        return {**self.search.options, "pairs": "all"}

    def save(self, *, by: Any, at: datetime) -> str:
        super().save(by=by, at=at)
        return "Pairs of faults are on the list now. Every reading is heard again."


class RouteForm(ActForm):
    """A route of the technician's own, to set beside the plan."""

    heading = "Compare a route"

    name = forms.CharField(label="What it is called", max_length=60)
    tests = forms.MultipleChoiceField(
        label="Its tests", required=False, widget=forms.CheckboxSelectMultiple,
        help_text="In the order of the list. None: the route is forgotten.",
    )  # fmt: skip

    def prepare(self) -> None:
        terms = self.thought.terms
        self.fields["tests"].choices = [(name, terms.test(name)) for name in terms.tests]

    def save(self, *, by: Any, at: datetime) -> str:
        name, tests = self.cleaned_data["name"], self.cleaned_data["tests"]
        recording.keep_route(self.search, by=by, at=at, name=name, tests=tests)
        return f"Set beside the plan: {name}." if tests else f"Not compared any more: {name}."

    @property
    def goes_to(self) -> str:
        return f"{self.search.get_absolute_url()}?routes=1#routes"
