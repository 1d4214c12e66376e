from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.decorators import method_decorator
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from diagnostics import recording
from diagnostics.codes.meanings import starter_codes
from diagnostics.job.forms.base import DIAGNOSIS, EVERYBODY
from diagnostics.models import CodeMeaning, Scan
from diagnostics.recording import OrderIsClosed
from diagnostics.scans.filters import CodeMeaningFilter
from diagnostics.scans.forms import MeaningsForm, ReadScanForm, SupersedeForm
from diagnostics.scans.page import ComparePage, ScanPage, module_rows, standing, with_rows
from shared.access import roles
from shared.lists import Column, ListPage
from shop.models import RepairOrder

REMARKS_SHOWN = 50


@roles(*DIAGNOSIS)
@require_http_methods(["GET", "POST"])
def scan_new(request, pk):
    """Read a report: first show what was understood, then keep it."""
    order = get_object_or_404(RepairOrder.objects.with_people(), pk=pk)
    if not order.is_open:
        messages.error(request, OrderIsClosed(order).messages[0])
        return redirect(order)
    form = ReadScanForm(request.POST or None, request.FILES or None, order=order, user=request.user)
    wants_to_keep = request.POST.get("act") == "keep"
    if form.is_valid() and wants_to_keep and form.is_shown and (scan := _kept(form, request.user)):
        messages.success(request, "Kept: the scan, as it was pasted.")
        return redirect(scan)
    context = {"order": order, "form": form} | _preview(form)
    return render(request, "diagnostics/scan_new.html", context)


@roles(*EVERYBODY)
@require_safe
def scan(request, pk):
    """One scan: what each control unit reported, who is missing, what was not understood."""
    page = ScanPage(_scan(pk))
    form = SupersedeForm(scan=page.scan, auto_id="supersede-%s") if page.of_this_job else None
    context = {"page": page, "scan": page.scan, "order": page.order, "form": form}
    return render(request, "diagnostics/scan.html", context)


@roles(*EVERYBODY)
@require_safe
def scan_text(request, pk):
    """The report as it was pasted or uploaded, as a file."""
    kept = get_object_or_404(Scan, pk=pk)
    response = HttpResponse(kept.text, content_type="text/plain; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="scan-{kept.pk}.txt"'
    return response


@roles(*EVERYBODY)
@require_safe
def scan_compare(request, pk):
    """This scan and another of the same vehicle side by side, the earlier one first."""
    shown = _scan(pk)
    others = standing(shown.order.vehicle_id).exclude(pk=shown.pk)
    wanted = request.GET.get("with", "")
    other = (
        others.filter(pk=wanted).first()
        if wanted.isascii() and wanted.isdigit() and len(wanted) < 18
        else None
    )
    if other is None:
        raise Http404("There is no such scan of this vehicle to compare with.")
    before, after = sorted([shown, other], key=lambda row: (row.done_on, row.kept_at))
    return render(
        request, "diagnostics/scan_compare.html", {"page": ComparePage(before, after), "scan": shown}
    )


@roles(*DIAGNOSIS)
@require_POST
def scan_assume(request, pk):
    """Write down that a unit which gave nothing is taken for not fitted, to be settled."""
    page = ScanPage(_scan(pk))
    key = request.POST.get("unit", "")
    row = next((row.missing for row in page.missing if row.missing.key == key), None)
    if row is None:
        messages.error(request, "Choose one of the control units that are listed as missing.")
        return redirect(page.scan)
    name = row.name or row.address
    try:
        recording.assume_not_fitted(
            page.scan, by=request.user, at=timezone.now(), name=name, key=row.key, why=row.why
        )
    except ValidationError as refused:
        messages.error(request, refused.messages[0])
        return redirect(page.scan)
    messages.success(request, f"Written down as an assumption: {name} is not fitted. Settle it by a test.")
    return redirect(page.scan)


@roles(*DIAGNOSIS)
@require_POST
def scan_supersede(request, pk):
    """Put another scan of the job in the place of one that was kept wrongly."""
    shown = _scan(pk)
    form = SupersedeForm(request.POST, scan=shown, auto_id="supersede-%s")
    if form.is_valid():
        try:
            recording.supersede_scan(shown, form.cleaned_data["newer"], by=request.user, at=timezone.now(),
                                     reason=form.cleaned_data["reason"])  # fmt: skip
        except ValidationError as refused:
            form.add_error(None, ValidationError(refused.messages))
        else:
            messages.success(request, "Superseded. Both scans stay on record.")
            return redirect(form.cleaned_data["newer"])
    context = {"page": ScanPage(shown), "scan": shown, "order": shown.order, "form": form}
    return render(request, "diagnostics/scan.html", context)


@method_decorator(roles(*EVERYBODY), name="dispatch")
class CodeMeaningList(ListPage):
    queryset = CodeMeaning.objects.all()
    filterset_class = CodeMeaningFilter
    template_name = "diagnostics/codemeaning_list.html"
    default_sort = "code"
    csv_name = "codes"
    columns = (
        Column("code", "Code", lambda row: row.code, ("code",)),
        Column("meaning", "What the shop calls it", lambda row: row.meaning, ("meaning", "code")),
        Column("starter", "In the starter list", lambda row: starter_codes().get(row.code[:5], "")),
    )

    def rows_for(self, records):
        return [(row, starter_codes().get(row.code[:5], "")) for row in records]


@roles(*DIAGNOSIS)
@require_http_methods(["GET", "POST"])
def meanings_import(request):
    """Import the shop's own table; faults are named by their line and nothing is taken."""
    form = MeaningsForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        added, changed = recording.import_meanings(form.table.rows, by=request.user)
        messages.success(request, f"{added} added, {changed} changed.")
        return redirect("codemeaning-list")
    return render(request, "diagnostics/codemeaning_import.html", {"form": form})


def _scan(pk):
    return get_object_or_404(
        with_rows(
            Scan.objects.select_related("order__vehicle", "order__location", "instrument", "superseded_by")
        ),
        pk=pk,
    )


def _kept(form, user):
    """Keep the scan; a refusal goes back into the form."""
    try:
        return form.save(by=user, at=timezone.now())
    except ValidationError as refused:
        form.add_error(None, ValidationError(refused.messages))
        return None


def _preview(form):
    """What was understood of the report, for the page on which it can be kept."""
    if not form.is_bound or form.found is None:
        return {}
    found = form.found
    return {
        "found": found,
        "rows": module_rows(found.modules),
        "doubts": found.doubts[:REMARKS_SHOWN],
        "unread": found.unread[:REMARKS_SHOWN],
        "more_unread": max(0, len(found.unread) - REMARKS_SHOWN),
    }
