"""Earlier jobs like this one; shown once the suspects are written down."""

from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from diagnostics.job.forms.base import EVERYBODY
from diagnostics.models import Cause
from diagnostics.similar.finding import alike
from diagnostics.similar.hits import kept_hits
from diagnostics.statistics.proportions import proportion
from shared.access import roles
from shared.wording import interval_text
from shop.models import RepairOrder


@roles(*EVERYBODY)
@require_safe
def similar(request, pk):
    """The jobs most like one complaint of a job, and what separated their cause.

    What an earlier job found leads the eye, so the technician's own suspects come first.
    """
    order = get_object_or_404(RepairOrder.objects.with_people(), pk=pk)
    complaints = list(order.complaint_set.prefetch_related("suspects"))
    wanted = request.GET.get("complaint", "")
    complaint = next((one for one in complaints if one.ref == wanted), complaints[0] if complaints else None)
    may_see = bool(complaint) and _has_thought(order, complaint)
    context = {
        "order": order,
        "complaint": complaint,
        "complaints": complaints,
        "may_see": may_see,
        "may_add": order.is_open and any(request.user.has_role(role) for role in ("technician", "owner")),
        "found": alike(order, complaint) if may_see else (),
        "hits": _hits(),
    }
    return render(request, "diagnostics/job_similar.html", context)


def _has_thought(order, complaint):
    """Whether suspects are on record, or it is too late for them to matter."""
    if complaint.suspects.all() or not order.is_open:
        return True
    return Cause.objects.filter(order=order, complaint_ref=complaint.ref).exists()


def _hits():
    hits = kept_hits()
    if hits is None or not hits.jobs:
        return None
    share = proportion(hits.among_five, hits.jobs)
    return {
        "counts": hits,
        "share": f"{100 * share.share:.0f}",
        "interval": interval_text(share.low, share.high),
    }
