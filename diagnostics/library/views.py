from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Count, Q
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.decorators import method_decorator
from django.views.decorators.http import require_http_methods

from diagnostics import protocols, watching
from diagnostics.learning.acts import change_with_aim
from diagnostics.learning.policy import BAD_SPELL_MONTHS
from diagnostics.learning.spells import spell_before
from diagnostics.library import changing
from diagnostics.library.filters import InstrumentFilter, ProtocolFilter, TestKindFilter
from diagnostics.library.forms import InstrumentForm, TestKindForm
from diagnostics.models import Caution, Instrument, Protocol, TestKind
from shared import audit
from shared.access import roles
from shared.lists import Column, ListPage
from shared.models import AuditEntry
from shared.wording import limits_text
from shop.models import Symptom, System

READINGS_SHOWN = 25

everybody = method_decorator(roles("advisor", "technician", "owner"), name="dispatch")


@everybody
class TestKindList(ListPage):
    queryset = TestKind.objects.filter(is_current=True)
    filterset_class = TestKindFilter
    template_name = "diagnostics/testkind_list.html"
    default_sort = "system"
    csv_name = "tests"
    columns = (
        Column("name", "Test", lambda t: t.name, ("name",)),
        Column("system", "System", lambda t: t.system, ("system", "name")),
        Column("unit", "Unit", lambda t: t.unit, ("unit",)),
        Column("limits", "Should be", lambda t: _limit_text(t)),
        Column("limit_source", "Whose limit", lambda t: t.limit_says, ("limit_source",)),
        Column("minutes", "Minutes", lambda t: t.minutes, ("minutes",), is_number=True),
    )

    def rows_for(self, records):
        systems = _system_names()
        for kind in records:
            kind.system_name = systems.get(kind.system, kind.system)
        return list(records)


@everybody
class ProtocolList(ListPage):
    queryset = Protocol.objects.filter(is_current=True).annotate(
        step_count=Count("steps"), critical_count=Count("steps", filter=Q(steps__critical=True))
    )
    filterset_class = ProtocolFilter
    template_name = "diagnostics/protocol_list.html"
    default_sort = "system"
    csv_name = "protocols"
    columns = (
        Column("symptom", "Symptom", lambda p: p.symptom, ("symptom",)),
        Column("system", "System", lambda p: p.system, ("system", "symptom")),
        Column("version", "Version", lambda p: p.version, ("version",), is_number=True),
        Column("steps", "Steps", lambda p: p.step_count, ("step_count",), is_number=True),
        Column("critical", "Critical", lambda p: p.critical_count, ("critical_count",), is_number=True),
        Column("made_at", "In force since", lambda p: p.made_at, ("made_at",)),
    )

    def rows_for(self, records):
        systems, symptoms = _system_names(), _symptom_names()
        for protocol in records:
            protocol.system_name = systems.get(protocol.system, protocol.system)
            protocol.symptom_name = symptoms.get(protocol.symptom, protocol.symptom)
        return list(records)


@everybody
class InstrumentList(ListPage):
    queryset = Instrument.objects.annotate(reading_count=Count("readings"))
    filterset_class = InstrumentFilter
    template_name = "diagnostics/instrument_list.html"
    default_sort = "name"
    csv_name = "instruments"
    columns = (
        Column("name", "Instrument", lambda i: i.code, ("code",)),
        Column("kind", "Kind", lambda i: i.kind, ("kind",)),
        Column("cal_due", "Calibration due", lambda i: i.cal_due, ("cal_due",)),
        Column("accuracy", "Accuracy", lambda i: i.accuracy_text or i.accuracy),
        Column("readings", "Readings", lambda i: i.reading_count, ("reading_count",), is_number=True),
        Column("state", "Today", lambda i: i.counts_on(timezone.localdate())),
    )

    def rows_for(self, records):
        today = timezone.localdate()
        return [(instrument, instrument.counts_on(today)) for instrument in records]


@roles("advisor", "technician", "owner")
def test_kind(request, code):
    """One test: how to do it, its limits and whose they are, its earlier versions."""
    current = get_object_or_404(TestKind, code=code, is_current=True)
    symptoms = _symptom_names()
    asking = Protocol.objects.filter(is_current=True, steps__test_code=code).distinct()
    context = {
        "kind": current,
        "limit_words": _limit_text(current),
        "version_words": f"version {current.version}",
        "cautions": Caution.objects.filter(code__in=current.cautions),
        "versions": TestKind.objects.filter(code=code).order_by("-version"),
        "asked_for": [(protocol, symptoms.get(protocol.symptom, protocol.symptom)) for protocol in asking],
    }
    return render(request, "diagnostics/testkind.html", context)


@roles("owner")
@require_http_methods(["GET", "POST"])
def test_kind_edit(request, code):
    """Put a new version of a test in force."""
    current = get_object_or_404(TestKind, code=code, is_current=True)
    form = TestKindForm(request.POST or None, instance=current)
    if request.method == "POST" and form.is_valid() and _still_in_force(request, current, form):
        if not form.has_changed():
            messages.info(request, "Nothing was changed, so the version stays.")
            return redirect("testkind", code=code)
        kept = TestKind.objects.get(pk=current.pk)
        version = protocols.new_test_version(kept, form.changes(), by=request.user, at=timezone.now())
        messages.success(
            request, f"Version {version.version} is in force. Readings kept so far stay as judged."
        )
        return redirect("testkind", code=code)
    return render(request, "diagnostics/testkind_edit.html", {"kind": current, "form": form})


@roles("advisor", "technician", "owner")
def protocol(request, pk):
    """One protocol: its steps, its other versions and why they changed."""
    shown = get_object_or_404(Protocol, pk=pk)
    steps = list(shown.steps.all())
    kinds = TestKind.objects.filter(is_current=True, code__in=[step.test_code for step in steps])
    by_code = {kind.code: kind for kind in kinds}
    context = {
        "protocol": shown,
        "steps": [(step, by_code.get(step.test_code)) for step in steps],
        "minutes": sum(by_code[step.test_code].minutes for step in steps if step.test_code in by_code),
        "versions": Protocol.objects.filter(system=shown.system, symptom=shown.symptom).select_related("aim"),
        "symptom_name": _symptom_names().get(shown.symptom, shown.symptom),
        "system_name": _system_names().get(shown.system, shown.system),
    }
    return render(request, "diagnostics/protocol.html", context)


@roles("owner")
@require_http_methods(["GET", "POST"])
def protocol_edit(request, pk):
    """Put a new version of a protocol in force; open orders keep the one they began with."""
    # What was written on a version that another replaced meanwhile is not lost with a 404.
    shown = Protocol.objects.all() if request.method == "POST" else Protocol.objects.filter(is_current=True)
    seen = get_object_or_404(shown, pk=pk)
    current = Protocol.objects.get(system=seen.system, symptom=seen.symptom, is_current=True)
    forms = changing.forms(request, current)
    warned = spell_before(current.system, current.symptom, timezone.localdate())
    valid = request.method == "POST" and all(form.is_valid() for form in forms.values())
    if valid and _still_in_force(request, current, forms["reason"]):
        version = change_with_aim(
            system=current.system,
            symptom=current.symptom,
            steps=forms["steps"].steps(),
            reason=forms["reason"].cleaned_data["reason"],
            aim=forms["aim"].aim(after_bad_spell=warned is not None),
            by=request.user,
            at=timezone.now(),
        )
        messages.success(request, f"Version {version.version} is in force for new complaints.")
        return redirect("protocol", pk=version.pk)
    context = {
        **forms,
        "protocol": current,
        "warned": warned,
        "spell_months": BAD_SPELL_MONTHS,
        "brought": changing.brought(request, current),
        "symptom_name": _symptom_names().get(current.symptom, current.symptom),
    }
    return render(request, "diagnostics/protocol_edit.html", context)


@roles("advisor", "technician", "owner")
def instrument(request, pk):
    """One instrument: whether its readings count, and the readings that lean on it."""
    shown = get_object_or_404(Instrument, pk=pk)
    readings = shown.readings.filter(superseded_by__isnull=True).select_related("order__vehicle")
    context = {
        "instrument": shown,
        "counts": shown.counts_on(timezone.localdate()),
        "readings": _with_test_names(readings.order_by("-done_on", "-pk")[:READINGS_SHOWN]),
        "reading_count": readings.count(),
        "ranges": shown.ranges.all(),
        "calibrations": shown.calibrations.all(),
        "changes": AuditEntry.objects.filter(record=shown._meta.label, record_id=str(shown.pk))[
            :READINGS_SHOWN
        ],
    }
    return render(request, "diagnostics/instrument.html", context)


@roles("technician", "owner")
@require_http_methods(["GET", "POST"])
def instrument_edit(request, pk=None):
    """Add an instrument, or change what is known of one."""
    shown = get_object_or_404(Instrument, pk=pk) if pk else Instrument()
    form = InstrumentForm(request.POST or None, instance=shown)
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            audit.keep(shown, by=request.user)
            if "accuracy" in form.changed_data:  # Some reading may prove more now, or less.
                watching.ask_recount(at=timezone.now())
        messages.success(request, f"{shown} is kept.")
        return redirect("instrument", pk=shown.pk)
    return render(request, "diagnostics/instrument_edit.html", {"instrument": shown, "form": form})


def _still_in_force(request, current, form):
    """Whether the version that the page showed is still the one in force; if not, say so on the form."""
    if request.POST.get("version", str(current.version)) == str(current.version):
        return True
    form.add_error(
        None,
        ValidationError(
            f"{current.made_by} put version {current.version} in force while you were writing. Compare it "
            "with what you wrote here; press again to put yours in its place.",
            code="changed_meanwhile",
        ),
    )
    return False


def _with_test_names(readings):
    kept = list(readings)
    kinds = TestKind.objects.filter(is_current=True, code__in={reading.code for reading in kept})
    names = dict(kinds.values_list("code", "name"))
    return [(reading, names.get(reading.code, reading.code)) for reading in kept]


def _limit_text(kind):
    return limits_text(kind.lo, kind.hi, kind.unit) if kind.lo is not None or kind.hi is not None else ""


def _system_names():
    return dict(System.objects.values_list("code", "name"))


def _symptom_names():
    return dict(Symptom.objects.values_list("code", "name"))
