from django.shortcuts import render
from django.utils import timezone

from diagnostics.front.board import MOST_JOBS, board
from shared.access import roles
from shop.models import RepairOrder


@roles("advisor", "technician", "owner")
def front(request):
    """The open jobs, and who each one waits on."""
    waits = board(roles=request.user.roles, now=timezone.now())
    shown = sum(len(wait.jobs) for wait in waits)
    context = {
        "waits": waits,
        "shown": shown,
        "total": RepairOrder.objects.open().count() if shown == MOST_JOBS else shown,
    }
    return render(request, "diagnostics/front.html", context)
