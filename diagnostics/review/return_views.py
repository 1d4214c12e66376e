"""The page of one return, and what is written on it."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from diagnostics.models import ReturnVisit
from diagnostics.review import acts
from diagnostics.review.coding_forms import LookForm
from diagnostics.review.cost_form import TAKE, CostForm, taken
from diagnostics.review.page import ReturnPage
from shared import sent
from shared.access import roles

NOTHING_CHANGED = "Nothing was changed."
OPENED = "open"
PLACES = {"apart_form": "#apart", "cost_form": "#cost"}


@roles("technician", "owner")
@require_http_methods(["GET", "POST"])
def return_visit(request, pk):
    """Both jobs of one return side by side; the owner says what it was, and why."""
    page = _page(request, pk)
    if request.method == "GET":
        return _shown(request, page)
    if before := sent.answered(request):
        return _answer(request, before)
    if page.form is None:
        return _no(request, page, "The owner reviews returns. Nothing was changed.")
    form = page.review_form(request.POST)
    return _kept(request, page, "form", form, lambda: _decide(request, page, form))


@roles("technician", "owner")
@require_POST
def code_apart(request, pk):
    """Keep a second coding, made without sight of the first."""
    page = _page(request, pk)
    if before := sent.answered(request):
        return _answer(request, before)
    if not page.may_code_apart:
        return _no(request, page, "A return is coded apart once, by somebody who did neither of its jobs.")
    form = page.coding_form(request.POST)

    def keep():
        acts.code_apart(page.visit, form.coding, by=request.user, at=timezone.now())
        return "Your coding is kept. The first one stands beside it now."

    return _kept(request, page, "apart_form", form, keep)


@roles("owner")
@require_POST
def look(request, pk):
    """Keep what a look at the effect of a change showed."""
    page = _page(request, pk)
    if before := sent.answered(request):
        return _answer(request, before)
    if page.look_form is None:
        return _no(request, page, "No change of this return is to be looked at.")
    form = LookForm(request.POST, today=page.today)

    def keep():
        said = form.cleaned_data
        acts.keep_look(page.first, said=said["check_said"], on=said["checked_on"], by=request.user)
        return "What you saw is kept beside the change."

    return _kept(request, page, "look_form", form, keep)


@roles("owner")
@require_POST
def cost(request, pk):
    """Keep what a return cost; or take over what the records say, and go on with the form."""
    page = _page(request, pk)
    if TAKE in request.POST:
        page.cost_form = CostForm(kept=page.kept_cost, typed=taken(request.POST, page.offers))
        return _shown(request, page)
    if before := sent.answered(request):
        return _answer(request, before)
    form = CostForm(request.POST, kept=page.kept_cost)

    def keep():
        is_new = acts.keep_cost(
            page.visit,
            form.amounts,
            currency=page.currency,
            note=form.cleaned_data["note"],
            by=request.user,
            at=timezone.now(),
        )
        return "The cost is kept. What is unknown stays unknown." if is_new else NOTHING_CHANGED

    return _kept(request, page, "cost_form", form, keep)


def _page(request, pk):
    visits = ReturnVisit.objects.select_related(
        "index_order", "return_order__vehicle", "return_order__location"
    )
    visit = get_object_or_404(visits, pk=pk)
    return ReturnPage(visit, request.user, today=timezone.localdate(), is_opened=OPENED in request.GET)


def _shown(request, page):
    context = {"page": page, "visit": page.visit, "both": page.both}
    return render(request, "diagnostics/return_detail.html", context)


def _decide(request, page, form):
    said = form.cleaned_data
    is_changed = acts.decide(
        page.visit,
        state=said["state"],
        exclusion=said["exclusion"],
        note=said["note"],
        coding=form.coding,
        by=request.user,
        at=timezone.now(),
    )
    return "The review is kept. It can be opened again at any time." if is_changed else NOTHING_CHANGED


def _kept(request, page, name, form, act):
    """Keep a form, once, and say so; a form that is refused goes back with all that was typed."""
    if form.is_valid():
        try:
            said = sent.once(request, lambda: sent.Answer(_back(page, name), act()))
        except ValidationError as refused:
            form.add_error(None, ValidationError(refused.messages))
        else:
            return _answer(request, said)
    setattr(page, name, form)
    return _shown(request, page)


def _back(page, name):
    return f"{page.visit.get_absolute_url()}{PLACES.get(name, '')}"


def _answer(request, answer):
    messages.success(request, answer.said)
    return redirect(answer.to)


def _no(request, page, text):
    messages.error(request, text)
    return redirect(page.visit)
