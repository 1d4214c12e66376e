"""Read a scan, supersede one, import the shop's meanings."""

from __future__ import annotations

from hashlib import sha256

from django import forms
from django.core.exceptions import ValidationError

from diagnostics import recording
from diagnostics.codes.decoding import MOST_BYTES, Unreadable, decode_text
from diagnostics.codes.found import ScanText
from diagnostics.codes.scan_text import read_scan
from diagnostics.codes.shop_table import Table, read_table
from diagnostics.job.forms.base import DoneByField, JobForm, MomentFields
from diagnostics.models import Instrument, RequiredStep, Scan, TestKind
from diagnostics.models.protocol import PHASES

READ_FILES = ".txt,.csv,.log,.json,.xml,.htm,.html,text/plain,text/csv"


class ReportFields(forms.Form):
    """A report pasted or as a file; a file that could be read stands in the text field from then on."""

    text = forms.CharField(
        label="The report as text",
        required=False,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 12, "spellcheck": "false", "class": "report"}),
        help_text="Paste all of it, as it is. Any layout will do.",
    )
    file = forms.FileField(
        label="Or its file",
        required=False,
        allow_empty_file=True,
        widget=forms.ClearableFileInput(attrs={"accept": READ_FILES}),
        help_text="Text or CSV, 2 MB at the most.",
    )
    report = ""

    def clean_file(self):
        """The text of the file; a file goes before what stands in the field."""
        file = self.cleaned_data["file"]
        if file is None:
            return None
        if file.size > MOST_BYTES:
            raise ValidationError(
                "The file has more than 2 MB. Leave the recorded live data out.", code="too_long"
            )
        return self._decoded(file.read())

    def _decoded(self, data: bytes) -> str:
        try:
            return decode_text(data)
        except Unreadable as refused:
            raise ValidationError(str(refused), code="unreadable") from None

    def take_text(self) -> str:
        """Keep the report with one kind of line end, from the file where there is one, and return it.

        The text of a file is put into the field too, so that it is sent again with the next press.
        """
        chosen = self.cleaned_data.get("file")
        text = self.cleaned_data.get("text", "") if chosen is None else chosen
        self.report = text.replace("\r\n", "\n").replace("\r", "\n").replace("\x00", " ")
        if chosen is not None:
            self.data = self.data.copy()
            self.data[self.add_prefix("text")] = self.report
        return self.report


class ReadScanForm(ReportFields, MomentFields, JobForm):
    heading = "Read a scan"
    hint = (
        "A code is a report of a control unit, not a reading. It says where to measure, and never which part "
        "is at fault."
    )
    folds = (("When and by whom, if not now and by you", ("done_by", "done_on", "done_at")),)
    field_order = [
        "text", "file", "phase", "instrument", "record_as", "complaint", "done_by", "done_on", "done_at",
    ]  # fmt: skip

    phase = forms.ChoiceField(label="Read", choices=PHASES, widget=forms.RadioSelect)
    instrument = forms.ModelChoiceField(
        Instrument.objects.none(), required=False, empty_label="not named", label="With"
    )
    record_as = forms.ChoiceField(
        label="Stands among the tests as",
        required=False,
        help_text="It then counts as that step done. A code read has no outcome and proves no cause.",
    )
    complaint = forms.ChoiceField(label="For which complaint", required=False)
    done_by = DoneByField(label="Read by")

    found: ScanText | None = None

    @property
    def mark(self) -> str:
        """Tells one text from another, so that only what was shown can be kept."""
        return sha256(self.report.encode()).hexdigest()[:16]

    @property
    def is_shown(self) -> bool:
        """Whether this very text was shown with what was understood of it."""
        return self.data.get("shown") == self.mark

    def prepare(self):
        self.fields["instrument"].queryset = self.on_order.instruments
        self.fields["done_by"].offer(self)
        self.choose_complaint(blank=True)
        kinds = TestKind.objects.filter(is_current=True, kind=TestKind.Kind.CODE).order_by("name")
        choices = list(kinds.values_list("code", "name"))
        self.fields["record_as"].choices = [("", "no test, only a scan"), *choices]
        asked = RequiredStep.objects.filter(complaint__order=self.order, code__in=dict(choices)).first()
        if asked:
            self.fields["record_as"].initial = asked.code
        has_work = bool(self.on_order.work)
        self.fields["phase"].initial = "after" if has_work else "before"

    def clean(self):
        data = super().clean()
        if "file" not in data:
            return data
        text = self.take_text()
        if not text.strip():
            self.add_error("text", ValidationError("Paste the report, or choose its file.", code="empty"))
            return data
        try:
            self.found = read_scan(text)
        except Unreadable as refused:
            self.add_error("text", ValidationError(str(refused), code="unreadable"))
        return data

    def save(self, *, by, at) -> Scan:
        data = self.cleaned_data
        return recording.keep_scan(
            self.order,
            self.found,
            by=by,
            at=at,
            text=self.report,
            done=self.moment(),
            complaint_ref=data["complaint"],
            **self.given("phase", "instrument", "record_as", "done_by"),
        )


class SupersedeForm(forms.Form):
    newer = forms.ModelChoiceField(
        Scan.objects.none(), label="The scan that stands instead", empty_label=None
    )
    reason = forms.CharField(label="Why", max_length=300)

    def __init__(self, *args, scan, **kwargs):
        super().__init__(*args, **kwargs)
        others = Scan.objects.filter(order=scan.order_id, superseded_by__isnull=True).exclude(pk=scan.pk)
        self.fields["newer"].queryset = others


class MeaningsForm(ReportFields):
    """A table of codes; every fault of it is named by its line, and nothing is taken until there is none."""

    table: Table | None = None

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["text"].label = "The table"
        self.fields["text"].help_text = "A line a code: P0171, mixture too lean on our test bench"

    def clean(self):
        data = super().clean()
        if "file" not in data:
            return data
        text = self.take_text()
        try:
            self.table = read_table(text)
        except Unreadable as refused:
            self.add_error("text", ValidationError(str(refused), code="unreadable"))
            return data
        if not (self.table.rows or self.table.faults):
            self.add_error("text", ValidationError("Paste the table, or choose its file.", code="empty"))
        elif self.table.faults:
            self.add_error("text", [_fault(fault) for fault in self.table.faults[:MOST_FAULTS]])
        return data


MOST_FAULTS = 20


def _fault(fault) -> ValidationError:
    return ValidationError(f"Line {fault.line}: {fault.text}", code="line")
