"""Every part of the pages in every state, for the people who build them. Served only while debugging."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal

from django import forms
from django.conf import settings
from django.core.paginator import Paginator
from django.http import Http404
from django.shortcuts import render

CHAIN_WITH_GAPS = [
    {"name": "reported", "state": "joined"},
    {"name": "seen", "state": "explained"},
    {"name": "measured", "state": "open", "word": "open: 2 gaps"},
    {"name": "cause", "state": "joined"},
    {"name": "repair", "state": "joined"},
    {"name": "proved", "state": "open"},
    {"name": "papers", "state": "ahead"},
]
CHAIN_JUST_OPENED = [
    {"name": name, "state": "joined" if name == "reported" else "ahead"}
    for name in ("reported", "seen", "measured", "cause", "repair", "proved", "papers")
]
CHAIN_COMPLETE = [{"name": link["name"], "state": "joined"} for link in CHAIN_WITH_GAPS]
CHAIN_ALL_OPEN = [
    {"name": link["name"], "state": "joined" if link["name"] in ("reported", "papers") else "open"}
    for link in CHAIN_WITH_GAPS
]

READINGS = [
    {
        "name": "Battery at rest, terminals",
        "by": "Sat 08:12, T. Marl, meter 2",
        "value": Decimal("12.05"),
        "unit": "V",
        "lo": Decimal("12.40"),
        "limit_note": "Shop limit, battery at rest",
        "level": "E4",
    },
    {
        "name": "Draw on the battery lead, network asleep",
        "by": "Sat 08:58, T. Marl, clamp 1",
        "value": Decimal("1.21"),
        "unit": "A",
        "hi": Decimal("0.05"),
        "limit_note": "Shop limit, 45 min after locking",
        "level": "E5",
    },
    {
        "name": "Charging voltage, idle, loads off",
        "by": "Sat 09:40, T. Marl",
        "value": Decimal("14.2"),
        "unit": "V",
        "lo": Decimal("13.5"),
        "hi": Decimal("14.7"),
        "limit_note": "Instrument not named",
        "level": "E3",
    },
    {
        "name": "Data bus, end to end, ignition off",
        "by": "Mon 10:20, I. Renk, meter 1",
        "value": Decimal("120"),
        "unit": "Ω",
        "lo": Decimal("57"),
        "hi": Decimal("63"),
        "level": "E4",
    },
    {
        "name": "Lead to the rear lamp, resistance",
        "by": "Sat 09:50",
        "value": Decimal("61"),
        "unit": "Ω",
        "level": "E2",
    },
    {
        "name": "Belt, looked at",
        "by": "Sat 09:52, T. Marl",
        "text": "no cracks, no glaze",
        "verdict": "pass",
        "level": "E1",
    },
    {"name": "Battery, tester", "by": "Mon 28 Sep", "value": None, "unit": "", "level": "E0"},
]


class ExampleForm(forms.Form):
    odo_in = forms.DecimalField(label="Odometer in", help_text="As the dashboard shows it: 61,516.")
    reading = forms.CharField(label="Reading", help_text="Number and unit: 12.31 V.")
    words = forms.CharField(label="The customer's words", widget=forms.Textarea)
    pattern = forms.ChoiceField(
        label="How often",
        choices=[("constant", "Every time"), ("intermittent", "Now and then")],
        widget=forms.RadioSelect,
        help_text="Ask: can you show it to me now?",
    )
    lamps = forms.MultipleChoiceField(
        label="Lamps lit",
        required=False,
        choices=[("charge", "Charging"), ("engine", "Engine"), ("brake", "Brakes")],
        widget=forms.CheckboxSelectMultiple,
    )
    system = forms.ChoiceField(label="System", choices=[("charging", "Charging"), ("battery", "Battery")])
    due_on = forms.DateField(
        label="Promised for", required=False, widget=forms.DateInput(attrs={"type": "date"})
    )
    photo = forms.FileField(label="Photo", required=False, help_text="Its place data is taken out.")
    since_repair = forms.BooleanField(label="Since we had it", required=False)
    plate = forms.CharField(label="Plate", disabled=True, initial="QX 4471", required=False)

    def clean_reading(self):
        raise forms.ValidationError("No unit in “12,31”. Write it as 12.31 V.", code="no_unit")


class ExampleFilter(forms.Form):
    text = forms.CharField(label="Words, plate or number", required=False)
    state = forms.ChoiceField(label="State", required=False, choices=[("", "Any"), ("open", "Open")])


class ReadingForm(forms.Form):
    reading = forms.CharField(label="Reading", help_text="number and unit: 0.03 A")


def styleguide(request):
    """Show the parts."""
    if not settings.DEBUG:
        raise Http404("The parts are shown only while debugging.")
    refused = ExampleForm(
        {
            "odo_in": "sixty",
            "reading": "12,31",
            "words": "It’s flat again after standing two nights.",
            "pattern": "",
        }
    )
    now = datetime(2026, 10, 17, 10, 20, tzinfo=UTC)
    return render(
        request,
        "styleguide.html",
        {
            "gaps": CHAIN_WITH_GAPS,
            "new": CHAIN_JUST_OPENED,
            "whole": CHAIN_COMPLETE,
            "cut": CHAIN_ALL_OPEN,
            "readings_rows": READINGS,
            "form": ExampleForm(),
            "refused": refused,
            "filter_form": ExampleFilter(request.GET or None),
            "reading_form": ReadingForm(),
            "page": Paginator(range(214), 25).get_page(request.GET.get("page", 3)),
            "now": now,
            "waited": timedelta(hours=2, minutes=5),
            "value": Decimal("12.31"),
            "lo": Decimal("12.40"),
            "hi": Decimal("12.90"),
            "small": Decimal("0.05"),
            "draw": Decimal("1.21"),
            "words": ["seen", "measured", "proved"],
            "care": [
                "A side airbag lead runs behind the same trim. Follow the maker’s procedure.",
                "Opening the tailgate wakes the network. Latch the catch by hand first.",
            ],
        },
    )
