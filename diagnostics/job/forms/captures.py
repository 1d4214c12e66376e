"""Recorded signals: uploaded, described better, chosen for the findings sheet, set aside."""

from __future__ import annotations

from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import MinValueValidator

from diagnostics import recording
from diagnostics.captures.files import ALLOWED_WORDS, SUFFIXES, why_not
from diagnostics.job.forms.base import DoneByField, JobForm, MomentFields, ReasonField, WhyField
from diagnostics.models import Capture, Instrument
from diagnostics.models.protocol import PHASES
from shared import uploads

POINTS = ("point_1", "point_2", "point_3", "point_4")
NOT_IN_FILE = ("volts_per_count", "sample_rate_hz")
AS_WRITTEN = ("phase", "battery_v", "bus", *NOT_IN_FILE, "equipment_connected", "note")


class AboutCapture(forms.Form):
    """What people write about a recording."""

    shows = forms.CharField(
        label="What it shows", max_length=120, help_text="Crank sensor while it stalls; data bus at rest"
    )
    phase = forms.ChoiceField(label="When", choices=PHASES, widget=forms.RadioSelect, initial="before")
    complaint = forms.ChoiceField(label="For which complaint", required=False)
    point_1 = forms.CharField(
        label="Channel A is connected to",
        max_length=100,
        required=False,
        help_text="Pin and part, and what it is measured against: connector 14 pin 3, to battery negative",
    )
    point_2 = forms.CharField(label="Channel B is connected to", max_length=100, required=False)
    point_3 = forms.CharField(label="Channel C is connected to", max_length=100, required=False)
    point_4 = forms.CharField(label="Channel D is connected to", max_length=100, required=False)
    battery_v = forms.DecimalField(
        label="Battery voltage meanwhile, V",
        required=False,
        min_value=1,
        max_value=60,
        max_digits=6,
        decimal_places=4,
        help_text="Needed to say that a line is stuck near battery.",
    )
    bus = forms.ChoiceField(
        label="Data bus",
        required=False,
        choices=[("", "none, or not known"), *Capture.Bus.choices],
        help_text="Its levels are checked and its frames decoded.",
    )
    volts_per_count = forms.DecimalField(
        label="Volts of one count, or of full scale 1.0",
        required=False,
        max_digits=16,
        decimal_places=12,
        validators=[MinValueValidator(Decimal("1e-12"))],
        help_text="For a WAV, or a column of bare numbers",
    )
    sample_rate_hz = forms.DecimalField(
        label="Samples a second",
        required=False,
        min_value=Decimal("0.001"),
        max_value=Decimal("1e10"),
        max_digits=16,
        decimal_places=3,
        help_text="For a table without times",
    )
    equipment_connected = forms.BooleanField(label="Test equipment was connected", required=False)
    test = forms.ChoiceField(label="It belongs to the test", required=False)
    note = forms.CharField(
        label="Note", widget=forms.Textarea(attrs={"rows": 3}), required=False, max_length=2000
    )

    def offer_choices(self) -> None:
        self.choose_complaint(blank=True)
        self.fields["test"].choices = [("", "no test of the list"), *self.on_order.tests]

    def about(self) -> dict:
        """The fields of the record that the typed values make."""
        points = [self.cleaned_data[name].strip() for name in POINTS]
        while points and not points[-1]:
            points.pop()
        return {
            "complaint_ref": self.cleaned_data["complaint"],
            "test_ref": self.cleaned_data["test"],
            "points": points,
            "title": self.cleaned_data["shows"],
            **self.given(*AS_WRITTEN),
        }


class CaptureForm(AboutCapture, MomentFields, JobForm):
    heading = "Add a recorded signal"
    act = "Upload it"
    # Common practice; the maker's procedure comes first.
    care = (
        "Ignition, injector and solenoid lines kick back hundreds of volts: use a probe rated for it.",
        "High-voltage parts of hybrid and electric vehicles are for trained people with rated tools.",
        "Keep leads clear of moving parts, and do not pierce insulation of airbag lines.",
    )
    field_order = ["file", "shows", "phase", "complaint", *POINTS, "battery_v", "bus", "equipment_connected"]
    folds = (
        ("Instrument, test and note", ("instrument", "test", "note")),
        ("Channels C and D", ("point_3", "point_4")),
        ("What the file does not say", NOT_IN_FILE),
        *MomentFields.folds,
    )

    file = forms.FileField(
        label="The file, as the instrument saved it",
        max_length=255,
        widget=forms.FileInput(attrs={"accept": ",".join(SUFFIXES)}),
        error_messages={
            "required": "Choose the file that the instrument saved.",
            "empty": f"This file is empty. Save the recording again. Allowed: {ALLOWED_WORDS}.",
        },
    )
    instrument = forms.ModelChoiceField(
        Instrument.objects.none(), required=False, empty_label="not named", label="Recorded with"
    )
    done_by = DoneByField(label="Recorded by")

    def prepare(self):
        self.offer_choices()
        self.fields["done_by"].offer(self)
        self.fields["instrument"].queryset = self.on_order.instruments
        self.fields["file"].help_text = f"{ALLOWED_WORDS}; {uploads.limit_words()} at most."
        self.fields["file"].widget.attrs["data-most"] = uploads.settings.UPLOAD_LIMIT

    def clean_file(self):
        file = self.cleaned_data["file"]
        reason = why_not(file.name, file.read(512))
        file.seek(0)
        if reason:
            raise ValidationError(reason, code="not_a_recording")
        if not uploads.has_room_for(file.size):
            raise uploads.no_room()
        return file

    def clean(self):
        data = super().clean()
        if self.upload_refused:
            self.errors.pop("file", None)
            self.add_error("file", uploads.too_large())
        return data

    @property
    def goes_to(self):
        return self._capture.get_absolute_url()

    def save(self, *, by, at):
        file = self.cleaned_data["file"]
        self._capture = recording.add_capture(
            self.order,
            by=by,
            at=at,
            file=file,
            name=file.name,
            done=self.moment(),
            done_by=self.cleaned_data["done_by"],
            instrument=self.cleaned_data["instrument"],
            **self.about(),
        )
        return f"Kept: {self._capture.original_name}. It is being read."


class CaptureRowForm(JobForm):
    """A change to one recording."""

    even_closed = True
    needs_row = True

    @classmethod
    def rows(cls, order):
        return Capture.objects.filter(order=order).select_related("order")

    @property
    def ring(self):
        return "proved" if self.row.phase == "after" else "measured"

    @property
    def goes_to(self):
        return self.row.get_absolute_url()


class AmendCaptureForm(AboutCapture, CaptureRowForm):
    heading = "Correct what is written about a recording"
    hint = "The file stays as it was uploaded. Another battery voltage or data bus has it read again."
    field_order = [
        "shows", "phase", "complaint", *POINTS, "battery_v", "bus", *NOT_IN_FILE,
        "equipment_connected", "test", "note",
    ]  # fmt: skip

    why = WhyField()

    def prepare(self):
        self.offer_choices()

    @classmethod
    def initial_for(cls, order, row):
        points = {name: row.point(place) for place, name in enumerate(POINTS)}
        kept = {name: getattr(row, name) for name in AS_WRITTEN}
        return {**points, **kept, "shows": row.title, "complaint": row.complaint_ref, "test": row.test_ref}

    def save(self, *, by, at):
        recording.amend_capture(self.row, by=by, at=at, why=self.cleaned_data["why"], **self.about())
        return "Corrected; what stood before is in the trail."


class CaptureOnSheetForm(CaptureRowForm):
    heading = "Show a recording on the findings sheet"
    hint = "A sheet takes its picture as it is when the sheet is issued."

    on_sheet = forms.BooleanField(label="Show it on the findings sheet", required=False)

    @classmethod
    def initial_for(cls, order, row):
        return {"on_sheet": row.on_sheet}

    def save(self, *, by, at):
        on_sheet = self.cleaned_data["on_sheet"]
        recording.put_on_sheet(self.row, by=by, at=at, on_sheet=on_sheet)
        return "It goes on the findings sheet." if on_sheet else "It does not go on the findings sheet."


class SetAsideCaptureForm(CaptureRowForm):
    heading = "Set a recording aside"
    act = "Set it aside"
    hint = "It stays on record with the reason, and is used for nothing any more."

    reason = ReasonField(max_length=300, label="Why it is not used", help_text="Probe was on the wrong pin")
    superseded_by = forms.ModelChoiceField(
        Capture.objects.none(), required=False, empty_label="none", label="Which one takes its place"
    )

    def prepare(self):
        others = Capture.objects.filter(order=self.order, set_aside_at__isnull=True)
        self.fields["superseded_by"].queryset = others.exclude(pk=self.row.pk)

    def save(self, *, by, at):
        recording.set_aside_capture(self.row, by=by, at=at, **self.given("reason", "superseded_by"))
        return "Set aside."


class ReadAgainForm(CaptureRowForm):
    heading = "Read a recording again"
    act = "Read it again"

    def save(self, *, by, at):
        recording.read_again(self.row, by=by)
        return "It is asked for once more."
