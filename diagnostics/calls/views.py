from datetime import timedelta
from urllib.parse import urlencode

from django.core.paginator import Paginator
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from diagnostics.calls.acts import record_call
from diagnostics.calls.answered import answered
from diagnostics.calls.due import calls_due
from diagnostics.calls.forms import CallForm
from diagnostics.calls.listing import call_about, calls_of
from diagnostics.models import FollowUp
from shared import sent
from shared.access import roles
from shop.models import Complaint

CALLS_A_PAGE = 20
LATELY_DAYS = 90
LATELY_SHOWN = 10


@roles("advisor", "technician", "owner")
@require_safe
def calls(request):
    """The calls that are due, oldest first, and the ones made lately."""
    today = timezone.localdate()
    page = Paginator(calls_due(today), CALLS_A_PAGE).get_page(request.GET.get("page"))
    made = FollowUp.objects.select_related("order__vehicle", "order__customer")
    context = {
        "page_obj": page,
        "total": page.paginator.count,
        "calls": calls_of(page.object_list),
        "made": made[:LATELY_SHOWN],
        "answered": answered(today - timedelta(days=LATELY_DAYS), today),
        "lately_days": LATELY_DAYS,
        "came_back": _came_back(request.GET.get("back", "")),
    }
    return render(request, "diagnostics/calls.html", context)


@roles("advisor", "technician", "owner")
@require_http_methods(["GET", "POST"])
def call(request, pk, kind, subject):
    """One call: whom, what to ask, and what was said."""
    if before := sent.answered(request):
        return redirect(before.to)
    due = next(
        (row["due"] for row in calls_due(timezone.localdate(), order=pk) if _is(row, kind, subject)), None
    )
    shown = call_about(pk, kind, subject, due) if kind in FollowUp.Kind.values else None
    if shown is None or shown.order.is_open:
        raise Http404("No call can be made about this.")
    form = CallForm(request.POST or None, order=shown.order, kind=kind)
    if request.method == "POST" and form.is_valid():
        return redirect(sent.once(request, lambda: _keep(request, shown, form)).to)
    return render(request, "diagnostics/call.html", {"call": shown, "form": form})


def _is(row, kind, subject):
    return (row["about"], row["subject"]) == (kind, subject)


def _keep(request, shown, form):
    kept = record_call(
        shown.order,
        kind=shown.kind,
        subject=shown.subject,
        due_on=shown.due,
        by=request.user,
        at=timezone.now(),
        **form.given(),
    )
    back = f"?back={kept.pk}" if kept.outcome == FollowUp.Outcome.STILL_THERE else "?kept=1"
    return sent.Answer(f"{reverse('calls')}{back}", "The call is kept.")


def _came_back(text):
    """The call just kept after which a job should be opened, with the address of that job's form."""
    if not text.isdigit() or len(text) > 18:
        return None
    made = FollowUp.objects.select_related("order__vehicle", "order__customer")
    kept = get_object_or_404(made, pk=text, outcome=FollowUp.Outcome.STILL_THERE)
    complaint = Complaint.objects.filter(order=kept.order, ref=kept.subject).first()
    brought = {
        "vehicle": kept.order.vehicle_id,
        "customer": kept.order.customer_id,
        "text": kept.said or (complaint.text if complaint else ""),
        "symptom": complaint.symptom if complaint else "",
        "since_repair": "on",
    }
    known = urlencode({name: value for name, value in brought.items() if value})
    return {"call": kept, "url": f"{reverse('order-new')}?{known}"}
