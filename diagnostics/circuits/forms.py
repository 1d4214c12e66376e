"""Drawing a map by forms: everything can be done with a finger or the keyboard."""

from __future__ import annotations

from hashlib import sha256

from django import forms
from django.core.exceptions import ValidationError

from diagnostics.isolation.circuit import Circuit, CircuitError, template
from diagnostics.isolation.circuit.checking import BELONGS
from diagnostics.isolation.circuit.names import read_names
from diagnostics.job.forms.photos import MOST_AT_ONCE, PicturesField
from diagnostics.library.filters import systems
from diagnostics.models import CircuitMap, MapPlace, MapTest, MapWire, MapZone
from shared.pictures import ALLOWED_WORDS

SHAPES = (
    ("single_star", "one hub, a unit on each leg"),
    ("joined_stars", "two hubs or more, joined by bridges"),
    ("two_wire", "two-wire line with an end resistor at both ends"),
    ("feed_chain", "feed: fuse, switch, load, ground in a row"),
    ("supply_tree", "supply: fuses and what hangs on each"),
)


class PlatformForm(forms.ModelForm):
    """What a map is called and which vehicles it is of; every field of the platform may stay empty."""

    class Meta:
        model = CircuitMap
        fields = ["title", "make", "model", "year_from", "year_to", "engine", "system", "note"]
        widgets = {"note": forms.Textarea(attrs={"rows": 3})}
        help_texts = {
            "title": "As you would ask for it: body line, two hubs",
            "make": "Empty: of any vehicle",
            "note": "What is odd about it, and where the drawing comes from",
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["system"] = forms.ChoiceField(
            label="System", required=False, choices=[("", "any system"), *systems()]
        )
        if self.instance.pk and self.instance.topology == CircuitMap.Topology.BUS:
            wires = [(1, "one"), (2, "two, with an end resistor at both ends")]
            self.fields["lines"] = forms.TypedChoiceField(
                label="Wires of the line", choices=wires, coerce=int, initial=self.instance.lines
            )
        for name in ("make", "model", "year_from", "year_to", "engine"):
            self.fields[name].widget.attrs["autocomplete"] = "off"

    @property
    def about(self):
        """The values by the names of their fields."""
        return {name: self.cleaned_data[name] for name in self._meta.fields}


class NewMapForm(PlatformForm):
    shape = forms.ChoiceField(label="Shape", choices=SHAPES, widget=forms.RadioSelect)
    names = forms.CharField(
        label="What hangs on it, one name a line",
        max_length=8000,
        widget=forms.Textarea(attrs={"rows": 13, "spellcheck": "false"}),
        help_text="Paste the list. A line that ends with a colon, or a blank line, begins the next hub. "
        "“seat unit ?” is on the drawing only. “roof unit @ headliner 6+4” takes 6 minutes to open and 4 "
        "to refit. A supply: “F14: trailer unit, rear wash”.",
    )
    field_order = [
        "shape", "names", "title", "make", "model", "year_from", "year_to", "engine", "system", "note",
    ]  # fmt: skip
    circuit: Circuit | None = None

    @property
    def mark(self) -> str:
        """Tells one drawing from another, so that only what was shown can be kept."""
        text = f"{self.data.get('shape', '')}\n{self.data.get('names', '')}".replace("\r\n", "\n")
        return sha256(text.encode()).hexdigest()[:16]

    @property
    def is_shown(self) -> bool:
        return self.data.get("shown") == self.mark

    def clean(self):
        data = super().clean()
        if data.get("shape") and data.get("names"):
            try:
                self.circuit = template(data["shape"], data["names"])
            except CircuitError as refused:
                self.add_error("names", [fault.message for fault in refused.faults])
            else:
                self.instance.topology, self.instance.lines = self.circuit.topology, self.circuit.lines
        return data


class PartForm(forms.ModelForm):
    """A zone, place or wire of one map; its choices are of that map."""

    OWN = {"zone": MapZone, "inside": MapZone, "start": MapPlace, "end": MapPlace}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name, model in self.OWN.items():
            if name in self.fields:
                rows = model.objects.filter(circuit_map=self.instance.circuit_map)
                self.fields[name].queryset = rows.exclude(pk=self.instance.pk) if name == "inside" else rows
                if name in ("zone", "inside"):
                    self.fields[name].empty_label = "nothing to open"


class ZoneForm(PartForm):
    class Meta:
        model = MapZone
        fields = ["label", "open_minutes", "close_minutes", "inside", "where"]
        labels = {"label": "What is opened", "inside": "Lies behind"}
        help_texts = {"label": "left sill trim, rear bench out"}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["label"].required = True

    def save_changes(self):
        """A number that a person types is no longer one that was learned."""
        if "open_minutes" in self.changed_data:
            self.instance.general_minutes, self.instance.learned_count = None, 0


class PlaceForm(PartForm):
    class Meta:
        model = MapPlace
        fields = ["label", "kind", "zone", "fitted", "where", "note"]
        labels = {"zone": "Lies behind", "fitted": "Is it fitted?"}
        widgets = {"fitted": forms.RadioSelect, "note": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["label"].required = True
        kinds = [("", "choose"), *kinds_of(self.instance.circuit_map.topology, self.instance.kind)]
        self.fields["kind"] = forms.ChoiceField(label="What it is", choices=kinds)
        self.fields["fitted"].choices = MapPlace.Fitted.choices


class WireForm(PartForm):
    class Meta:
        model = MapWire
        fields = ["start", "end", "label", "zone", "is_removable"]
        labels = {"start": "From", "end": "To", "zone": "Lies behind", "is_removable": "Can be parted"}
        help_texts = {"label": "Empty: wire to the door unit", "is_removable": "At the end where it begins"}


FORMS = {"zone": ZoneForm, "place": PlaceForm, "wire": WireForm}


class AddHereForm(forms.Form):
    """Places to hang on one place, each with its wire."""

    names = forms.CharField(
        label="One name a line",
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 4, "spellcheck": "false", "autofocus": True}),
        help_text="“seat unit ?” is on the drawing only; “roof unit @ headliner 6+4” lies behind what takes "
        "6 minutes to open and 4 to refit.",
    )
    kind = forms.ChoiceField(label="What they are")
    zone = forms.ModelChoiceField(
        MapZone.objects.none(), label="They lie behind", required=False, empty_label="nothing to open"
    )
    is_removable = forms.BooleanField(label="Their wires can be parted here", required=False)

    def __init__(self, *args, hub, **kwargs):
        super().__init__(*args, **kwargs)
        drawn = hub.circuit_map
        self.fields["kind"].choices = kinds_of(drawn.topology)
        self.fields["kind"].initial = "module" if drawn.topology == "bus" else "load"
        self.fields["zone"].queryset = drawn.zones.all()
        self.fields["is_removable"].initial = hub.kind in ("hub", "connector", "splice")

    def clean_names(self):
        try:
            return read_names(self.cleaned_data["names"])
        except CircuitError as refused:
            raise ValidationError([fault.message for fault in refused.faults]) from None


class MapTestForm(forms.ModelForm):
    __test__ = False

    class Meta:
        model = MapTest
        fields = ["minutes", "caution", "is_offered"]
        widgets = {"caution": forms.Textarea(attrs={"rows": 3})}
        labels = {"minutes": "Minutes hands-on", "caution": "Own caution", "is_offered": "Propose this test"}
        help_texts = {
            "minutes": "At the open place, without opening and refitting. Empty: the general value",
            "caution": "Stands above the general cautions of this test",
        }


class MapPhotoForm(forms.Form):
    pictures = PicturesField(
        label="Photos",
        help_text=f"{ALLOWED_WORDS}; up to {MOST_AT_ONCE} at once. Mind number plates and faces.",
        error_messages={"required": "Choose a photo, or take one.", "empty": "This file is empty."},
    )
    caption = forms.CharField(label="What is to be seen", max_length=200)


def kinds_of(topology, now=""):
    """The kinds of places that have a part in a map, and the one a place has already."""
    belongs = {*BELONGS[topology], now}
    return [choice for choice in MapPlace.Kind.choices if choice[0] in belongs]
