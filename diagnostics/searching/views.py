"""The page of a search, its beginning, what is said to it, and its problem as a file."""

from __future__ import annotations

import json

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from diagnostics.job.forms.base import DIAGNOSIS, EVERYBODY
from diagnostics.models import CircuitMap, FaultSearch
from diagnostics.recording import OrderIsClosed
from diagnostics.searching.acts import ACTS, PLAIN, ask
from diagnostics.searching.page import SearchPage
from diagnostics.searching.posing_forms import StartForm
from diagnostics.searching.reading import running_search, thought_of
from shared import sent
from shared.access import roles
from shop.models import RepairOrder


@roles(*DIAGNOSIS)
@require_http_methods(["GET", "POST"])
def search_new(request, pk):
    """Begin a search: choose the map, say what is confirmed."""
    order = _order(pk)
    if before := sent.answered(request):
        return _answer(request, before)
    if not order.is_open:
        messages.error(request, OrderIsClosed(order).messages[0])
        return redirect(order)
    given = request.POST if request.method == "POST" else request.GET
    complaint = _complaint(order, given.get("complaint", ""))
    if running := running_search(order, complaint.ref):
        messages.info(request, "A search for the fault of this complaint is running already.")
        return redirect(running)
    maps = list(CircuitMap.objects.for_vehicle(order.vehicle, complaint))
    drawn = _chosen(maps, given.get("map", ""))
    from_job = f"?order={order.pk}&vehicle={order.vehicle_id}&complaint={complaint.ref}"
    context = {"order": order, "complaint": complaint, "maps": maps, "drawn": drawn, "form": None}
    context["from_job"] = from_job
    if drawn:
        data = request.POST if request.method == "POST" else None
        form = StartForm(data, order=order, complaint=complaint, drawn=drawn)
        if data and form.is_valid() and (answer := _begun(request, form)):
            return _answer(request, answer)
        context["form"] = form
    return render(request, "diagnostics/search_new.html", context)


@roles(*EVERYBODY)
@require_safe
def search(request, pk, n):
    """One search: what comes next, who is left, what was read."""
    page = _page(request, pk, n, wanted=request.GET.get("test", ""))
    return render(request, "diagnostics/search.html", _context(request, page))


@roles(*EVERYBODY)
@require_safe
def card(request, pk, n):
    """The next test alone, once it is worked out in full."""
    page = _page(request, pk, n, wanted=request.GET.get("test", ""))
    page.thought.wants_full = True
    return render(request, "diagnostics/_search_card.html", _context(request, page))


@roles(*EVERYBODY)
@require_safe
def problem(request, pk, n):
    """The problem as a file, for the commands: as it stands, or as it was posed."""
    found = _search(_order(pk), n)
    response = HttpResponse(
        json.dumps(found.document, ensure_ascii=False, indent=1), content_type="application/json"
    )
    response["Content-Disposition"] = f'attachment; filename="search-{found.order.number}-{found.ref}.json"'
    return response


@roles(*DIAGNOSIS)
@require_http_methods(["GET", "POST"])
def act(request, pk, n, kind):
    """Something that is said to a search. What is not clear is asked where it was typed."""
    if kind not in ACTS:
        raise Http404("There is no such form of a search.")
    order = _order(pk)
    found = _search(order, n)
    if before := sent.answered(request):
        return _answer(request, before)
    if not (order.is_open and found.is_running):
        messages.error(request, _closed(order))
        return redirect(found)
    thought = thought_of(found)
    data = request.POST if request.method == "POST" else None
    form = ask(kind, data, thought, order=order, user=request.user, given=request.GET)
    if form is None:
        return redirect(found)
    if data is not None and form.is_valid() and (answer := _save(request, form)):
        return _answer(request, answer)
    page = SearchPage(thought, order, request.user, form=form if kind == "reading" else None)
    if kind in PLAIN:
        context = _context(request, page) | {"form": form, "kind": kind}
        return render(request, "diagnostics/search_act.html", context)
    context = _context(request, page) | {"refused": form, "kind": kind}
    return render(request, "diagnostics/search.html", context)


def _order(pk):
    return get_object_or_404(RepairOrder.objects.with_people(), pk=pk)


def _search(order, n):
    return get_object_or_404(
        FaultSearch.objects.select_related("circuit_map", "order__location"), order=order, pk=n
    )


def _page(request, pk, n, **shown):
    order = _order(pk)
    return SearchPage(thought_of(_search(order, n)), order, request.user, **shown)


def _context(request, page):
    complaint = page.order.complaint_set.filter(ref=page.search.complaint_ref).first()
    wants_routes = "routes" in request.GET
    return {"page": page, "order": page.order, "complaint": complaint, "wants_routes": wants_routes}


def _complaint(order, ref):
    """The complaint that is asked for; a job with one is not asked which."""
    found = order.complaint_set.filter(ref=ref) if ref else order.complaint_set.all()
    complaint = found.order_by("position", "pk").first()
    if complaint is None:
        raise Http404("There is no such complaint on this job.")
    return complaint


def _chosen(maps, wanted):
    """The map that is asked for; a single one is not asked for."""
    if not wanted and len(maps) == 1:
        return maps[0]
    return next((drawn for drawn in maps if str(drawn.pk) == wanted), None)


def _begun(request, form):
    def keep():
        found = form.save(by=request.user, at=timezone.now())
        return sent.Answer(found.get_absolute_url(), "The search has begun. Here is the first test.")

    return _once(request, form, keep)


def _save(request, form):
    def keep():
        said = form.save(by=request.user, at=timezone.now())
        return sent.Answer(_back(request, form), said)

    return _once(request, form, keep)


def _once(request, form, keep):
    try:
        return sent.once(request, keep)
    except ValidationError as refused:
        form.add_error(None, ValidationError(refused.messages))
        return None


def _back(request, form):
    if request.POST.get("back") == "bay" and not getattr(form, "leads_away", False):
        return f"{reverse('order-bay', args=[form.order.pk])}?kept=1"
    return form.goes_to


def _answer(request, answer):
    messages.success(request, answer.said)
    return redirect(answer.to)


def _closed(order):
    if not order.is_open:
        return OrderIsClosed(order).messages[0]
    return "This search has ended. Start another one to go on; it hears every reading of the complaint."
