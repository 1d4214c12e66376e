from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from diagnostics.calls.due import MOST_COUNTED, count_due
from diagnostics.front.board import board, one_wait
from shared.access import roles
from shop.models import RepairOrder


@roles("advisor", "technician", "owner")
@require_safe
def front(request):
    """The open jobs, and who each one waits on; all that wait on one kind of person, page by page."""
    people, now = request.user.roles, timezone.now()
    wanted = request.GET.get("waiting", "")
    if wanted in RepairOrder.WaitingOn.values:
        wait, page = one_wait(wanted, roles=people, now=now, page=request.GET.get("page", ""))
        return render(request, "diagnostics/front_wait.html", {"wait": wait, "page_obj": page})
    waits = board(roles=people, now=now)
    total = sum(wait.total for wait in waits)
    calls = count_due(timezone.localdate())
    context = {"waits": waits, "total": total, "calls": calls, "calls_cut": calls >= MOST_COUNTED}
    return render(request, "diagnostics/front.html", context)
