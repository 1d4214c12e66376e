from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from diagnostics import watching
from diagnostics.watching.asking import standing
from shared.access import roles


@roles("owner")
@require_http_methods(["GET", "POST"])
def recount_page(request):
    """How far the recount is that runs, how the last one went, and the button that asks for one."""
    if request.method == "POST":
        watching.ask_recount(at=timezone.now(), by=request.user)
        messages.success(request, "Everything is counted anew in the background.")
        return redirect("audit-recount")
    return render(request, "diagnostics/audit/recount.html", {"standing": standing()})
