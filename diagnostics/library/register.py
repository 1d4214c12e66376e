"""Pages of the instrument register: ranges, calibrations as found, what is due, and the look-back."""

from django.contrib import messages
from django.db.models import OuterRef, Subquery
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.decorators import method_decorator
from django.utils.functional import cached_property
from django.views.decorators.http import require_http_methods

from diagnostics import calibrating
from diagnostics.job.on_order import plain_name, test_kinds
from diagnostics.library.filters import DueFilter, LookBackFilter
from diagnostics.library.register_forms import CalibrationForm, RangeForm
from diagnostics.models import Calibration, Instrument, InstrumentRange
from diagnostics.reading import read_instruments
from shared.access import roles
from shared.lists import Column, ListPage
from shared.wording import days_text, limits_text, quantity_text

everybody = method_decorator(roles("advisor", "technician", "owner"), name="dispatch")


@roles("technician", "owner")
@require_http_methods(["GET", "POST"])
def range_edit(request, pk, range_pk=None):
    """Add a range to an instrument, change it, or take it off the list."""
    instrument = get_object_or_404(Instrument, pk=pk)
    shown = (
        get_object_or_404(InstrumentRange, pk=range_pk, instrument=instrument)
        if range_pk
        else InstrumentRange(instrument=instrument)
    )
    if request.method == "POST" and range_pk and "remove" in request.POST:
        calibrating.remove_range(shown, by=request.user)
        messages.success(request, f"The range {shown} is off the list.")
        return redirect("instrument", pk=pk)
    form = RangeForm(request.POST or None, instance=shown)
    if request.method == "POST" and form.is_valid():
        calibrating.keep_range(shown, by=request.user)
        messages.success(request, f"The range {shown} is kept: {shown.accuracy.words}.")
        return redirect("instrument", pk=pk)
    context = {"instrument": instrument, "range": shown, "form": form}
    return render(request, "diagnostics/instrument_range_edit.html", context)


@roles("technician", "owner")
@require_http_methods(["GET", "POST"])
def calibration_new(request, pk):
    """Write down what a calibration found."""
    instrument = get_object_or_404(Instrument, pk=pk)
    form = CalibrationForm(request.POST or None, instance=Calibration(instrument=instrument))
    if request.method == "POST" and form.is_valid():
        kept = calibrating.keep_calibration(form.instance, by=request.user, at=timezone.now())
        if kept.in_tolerance:
            messages.success(request, f"The calibration of {instrument} is kept.")
            return redirect("instrument", pk=pk)
        messages.success(request, f"{instrument} was out. These readings leaned on it until then.")
        return redirect("calibration-readings", pk=kept.pk)
    return render(request, "diagnostics/calibration_new.html", {"instrument": instrument, "form": form})


@everybody
class DueList(ListPage):
    """Instruments that need calibration, the one that is due first on top."""

    queryset = Instrument.objects.filter(cal_required=True, withdrawn_on=None).annotate(
        last_on=Subquery(Calibration.objects.filter(instrument=OuterRef("pk")).values("done_on")[:1]),
        last_good=Subquery(Calibration.objects.filter(instrument=OuterRef("pk")).values("in_tolerance")[:1]),
    )
    filterset_class = DueFilter
    template_name = "diagnostics/instrument_due.html"
    default_sort = "due"
    csv_name = "calibration-due"
    columns = (
        Column("name", "Instrument", lambda i: i.code, ("code",)),
        Column("kind", "Kind", lambda i: i.kind, ("kind",)),
        Column("due", "Calibration due", lambda i: i.cal_due, ("cal_due",)),
        Column("days", "Days left", lambda i: _days_left(i), is_number=True),
        Column("last", "Last calibrated", lambda i: i.last_on, ("last_on",)),
        Column("found", "Found then", lambda i: _found_words(i.last_good)),
    )

    def rows_for(self, records):
        return [(record, *_days_words(record), _found_words(record.last_good)) for record in records]


@everybody
class LookBackList(ListPage):
    """The readings that leaned on an instrument before a calibration, and what its error would change."""

    filterset_class = LookBackFilter
    template_name = "diagnostics/calibration_readings.html"
    default_sort = "-done"
    csv_name = "look-back"

    @cached_property
    def calibration(self):
        return get_object_or_404(Calibration.objects.select_related("instrument"), pk=self.kwargs["pk"])

    @cached_property
    def found(self):
        """What each reading says without the error, by key; every reading is looked at once."""
        instruments = read_instruments()
        runs = calibrating.leaned_on(self.calibration)
        return {run.pk: calibrating.looked_back(run, self.calibration, instruments) for run in runs}

    @cached_property
    def names(self):
        codes = calibrating.leaned_on(self.calibration).order_by().values_list("code", flat=True).distinct()
        kinds = test_kinds(codes)
        return {code: plain_name(code, kinds) for code in codes}

    @cached_property
    def columns(self):
        return (
            Column("done", "Done", lambda run: run.done_on, ("done_on",)),
            Column("test", "Test", lambda run: self.names[run.code], ("code",)),
            Column("point", "Point", lambda run: run.point, ("point",)),
            Column("job", "Job", lambda run: run.order.number, ("order__number",)),
            Column("vehicle", "Vehicle", lambda run: str(run.order.vehicle)),
            Column("value", "Shown", lambda run: quantity_text(run.value, run.unit), is_number=True),
            Column("should", "Should be", _should_be),
            Column("corrected", "Without the error", self._corrected, is_number=True),
            Column("verdict", "Verdict on record", lambda run: self.found[run.pk].was),
            Column("would", "Without the error", lambda run: self.found[run.pk].would_be),
            Column("change", "What changes", lambda run: self.found[run.pk].words),
        )

    def get_queryset(self):
        self.queryset = calibrating.leaned_on(self.calibration)
        return super().get_queryset()

    def get_filterset_kwargs(self, filterset_class):
        return {**super().get_filterset_kwargs(filterset_class), "found": self.found}

    def rows_for(self, records):
        return [(run, self.names[run.code], self.found[run.pk], _should_be(run)) for run in records]

    def get_context_data(self, **kwargs):
        found = self.found.values()
        return super().get_context_data(**kwargs) | {
            "calibration": self.calibration,
            "error_of": f"in readings of {self.calibration.error_of}" if self.calibration.error_of else "",
            "since": calibrating.last_good_before(self.calibration),
            "leaned": len(found),
            "jobs": calibrating.leaned_on(self.calibration).order_by().values("order").distinct().count(),
            "changed": sum(one.changes for one in found),
            "weakened": sum(one.weakens for one in found),
            "unknown": sum(bool(one.why_not) for one in found),
        }

    def _corrected(self, run):
        corrected = self.found[run.pk].corrected
        return "" if corrected is None else quantity_text(corrected, run.unit)


def _should_be(run):
    return limits_text(run.lo, run.hi, run.limit_unit or run.unit) if run.kind == "numeric" else ""


def _days_left(instrument):
    return None if instrument.cal_due is None else (instrument.cal_due - timezone.localdate()).days


def _days_words(instrument):
    """Whether its readings still count, and the days in words."""
    days = _days_left(instrument)
    if days is None:
        return False, "no date"
    return days >= 0, days_text(days) if days >= 0 else f"overdue by {days_text(-days)}"


def _found_words(in_tolerance):
    return {True: "within its accuracy", False: "out of its accuracy"}.get(in_tolerance, "nothing on record")
