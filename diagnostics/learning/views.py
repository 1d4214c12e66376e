from datetime import timedelta

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from diagnostics.calls.answered import answered
from diagnostics.learning import acts, pages
from diagnostics.learning.changes import change, changes
from diagnostics.learning.curves import compared_curves
from diagnostics.learning.forms import DecisionForm
from diagnostics.learning.proposing import proposals
from diagnostics.learning.together import compared_with_unchanged
from diagnostics.models import ProtocolAim
from shared.access import roles

CHANGES_A_PAGE = 20
YEAR_DAYS = 365


@roles("owner")
@require_safe
def learning(request):
    """The changes of protocols with what became of them, those to look at first."""
    today = timezone.localdate()
    found = pages.open_first(changes(today))
    page = Paginator(found, CHANGES_A_PAGE).get_page(request.GET.get("page"))
    together = compared_with_unchanged([one.aim for one in found], today) if found else None
    context = {
        "page_obj": page,
        "changes": [
            (one, pages.said(one.measured), *pages.sides_of(one.measured)) for one in page.object_list
        ],
        "due": sum(one.is_due for one in found),
        "together": together,
        "together_words": pages.points(together.change) if together else "",
        "answered": answered(today - timedelta(days=YEAR_DAYS), today),
        "today": today,
    }
    return render(request, "diagnostics/learning.html", context)


@roles("owner")
@require_safe
def proposed(request):
    """What the record speaks for taking away from the protocols, and for adding."""
    drop, add = pages.proposed(proposals(timezone.localdate()))
    sections = [
        (
            "Steps that told no two jobs apart",
            drop,
            "Each step that was done often enough told jobs apart, or was cited.",
        ),
        ("Steps that would have helped", add, "No test proved causes that its protocol does not ask for."),
    ]
    return render(request, "diagnostics/learning_proposals.html", {"sections": sections})


@roles("owner")
@require_http_methods(["GET", "POST"])
def one_change(request, pk):
    """One change before and after; whether it stays is decided here."""
    aim = get_object_or_404(ProtocolAim.objects.select_related("protocol"), pk=pk)
    today = timezone.localdate()
    form = None if aim.decision else DecisionForm(request.POST or None)
    if (
        request.method == "POST"
        and form is not None
        and form.is_valid()
        and _decided(request, aim, form, today)
    ):
        return redirect("learning-change", pk=pk)
    found = change(aim, today)
    context = {
        "change": found,
        "measures": pages.measures(found),
        "expected": pages.expected(aim),
        "curves": pages.curves_said(compared_curves(found.asked, today)),
        "before": acts.version_before(aim.protocol),
        "form": form,
    }
    return render(request, "diagnostics/learning_change.html", context)


def _decided(request, aim, form, today):
    try:
        acts.decide(aim, on=today, by=request.user, at=timezone.now(), **form.cleaned_data)
    except ValidationError as refused:
        form.add_error(None, refused)
        return False
    messages.success(request, "The decision is kept.")
    return True
