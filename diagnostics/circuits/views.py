from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import Count
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.decorators import method_decorator
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from diagnostics.circuits import acts
from diagnostics.circuits.filters import CircuitFilter
from diagnostics.circuits.forms import NewMapForm, PlatformForm
from diagnostics.circuits.minutes import KINDS, test_rows
from diagnostics.circuits.page import MapPage
from diagnostics.job.forms.base import DIAGNOSIS, EVERYBODY
from diagnostics.models import CircuitMap
from shared import sent
from shared.access import roles
from shared.lists import Column, ListPage
from shop.models import Complaint, System, Vehicle


@method_decorator(roles(*EVERYBODY), name="dispatch")
class CircuitList(ListPage):
    queryset = CircuitMap.objects.annotate(
        place_count=Count("places", distinct=True), search_count=Count("searches", distinct=True)
    )
    filterset_class = CircuitFilter
    template_name = "diagnostics/circuit_list.html"
    default_sort = "platform"
    csv_name = "circuits"
    columns = (
        Column("title", "Circuit", lambda m: m.title, ("title",)),
        Column("platform", "Of", lambda m: m.platform, ("make", "model", "title")),
        Column("topology", "Kind", lambda m: m.get_topology_display(), ("topology",)),
        Column("system", "System", lambda m: m.system, ("system", "title")),
        Column("places", "Places", lambda m: m.place_count, ("place_count",), is_number=True),
        Column("searches", "Searches", lambda m: m.search_count, ("search_count",), is_number=True),
        Column("state", "State", lambda m: m.get_state_display(), ("state",)),
    )

    def rows_for(self, records):
        names = dict(System.objects.values_list("code", "name"))
        return [(drawn, names.get(drawn.system, drawn.system or "any")) for drawn in records]


@roles(*DIAGNOSIS)
@require_http_methods(["GET", "POST"])
def circuit_new(request):
    """Draw a map from a pasted list: first show what it becomes, then keep it."""
    if before := sent.answered(request):
        return redirect(before.to)
    form = NewMapForm(request.POST or None, initial=_of_job(request))
    wants_to_keep = request.POST.get("act") == "keep"
    if form.is_valid() and wants_to_keep and form.is_shown:
        answer = sent.once(request, lambda: _made(request, form))
        messages.success(request, answer.said)
        return redirect(answer.to)
    return render(request, "diagnostics/circuit_new.html", {"form": form})


def _made(request, form):
    drawn = acts.make_map(by=request.user, at=timezone.now(), about=form.about, circuit=form.circuit)
    if order := _number(request, "order"):
        there = {"complaint": request.GET.get("complaint", ""), "map": drawn.pk}
        to = f"{reverse('search-new', args=[order])}?{urlencode(there)}"
        return sent.Answer(to, "The map is kept. Go on with the search.")
    return sent.Answer(drawn.get_absolute_url(), "The map is kept. Add what is missing, and where to open.")


def _of_job(request):
    """What is known where a map is begun from a job: the vehicle, and the system of the complaint."""
    known = {}
    vehicle = Vehicle.objects.filter(pk=_number(request, "vehicle")).first()
    if vehicle:
        known = {"make": vehicle.make, "model": vehicle.model, "engine": vehicle.engine}
        known |= {"year_from": vehicle.year, "year_to": vehicle.year}
    wanted = request.GET.get("complaint", "")
    complaints = Complaint.objects.filter(order=_number(request, "order"))
    complaint = next((each for each in complaints if wanted in (each.ref, str(each.pk))), None)
    return known | ({"system": complaint.system} if complaint else {})


def _number(request, name):
    wanted = request.GET.get(name, "")
    return int(wanted) if wanted.isascii() and wanted.isdigit() and len(wanted) < 18 else None


@roles(*EVERYBODY)
@require_safe
def circuit(request, pk):
    """One map: the drawing, what hangs on what, what is to be opened, where it was used."""
    page = _page(request, pk)
    system = System.objects.filter(code=page.drawn.system).first() if page.drawn.system else None
    context = {"page": page, "drawn": page.drawn, "system": system}
    return render(request, "diagnostics/circuit.html", context)


@roles(*DIAGNOSIS)
@require_http_methods(["GET", "POST"])
def circuit_edit(request, pk):
    """Change the title, the platform, the note."""
    drawn = get_object_or_404(CircuitMap, pk=pk)
    form = PlatformForm(request.POST or None, instance=CircuitMap.objects.get(pk=pk))
    if request.method == "POST" and form.is_valid():
        changes = {name: form.cleaned_data[name] for name in form.changed_data}
        if is_done(form, lambda: acts.change_map(drawn, by=request.user, at=timezone.now(), changes=changes)):
            messages.success(request, "Kept.")
            return redirect("circuit", pk=pk)
    context = {"form": form, "drawn": drawn, "heading": f"Change {drawn}", "act": "Keep it"}
    return render(request, "diagnostics/circuit_form.html", context)


@roles(*DIAGNOSIS)
@require_http_methods(["GET", "POST"])
def circuit_copy(request, pk):
    """Take the circuit over to another platform."""
    drawn = get_object_or_404(CircuitMap, pk=pk)
    if before := sent.answered(request):
        return redirect(before.to)
    copy = CircuitMap(topology=drawn.topology, lines=drawn.lines)
    initial = {"title": drawn.title, "system": drawn.system, "make": drawn.make, "note": drawn.note}
    form = PlatformForm(request.POST or None, instance=copy, initial=initial | _of_job(request))
    if request.method == "POST" and form.is_valid():
        answer = sent.once(request, lambda: _copied(request, drawn, form))
        messages.success(request, answer.said)
        return redirect(answer.to)
    context = {
        "form": form,
        "drawn": drawn,
        "heading": f"Copy {drawn} to another platform",
        "hint": "Nothing has been seen on that platform yet: every place stands on the drawing only.",
        "act": "Make the copy",
    }
    return render(request, "diagnostics/circuit_form.html", context)


def _copied(request, drawn, form):
    about = form.about | {"lines": drawn.lines}
    copy = acts.copy_map(drawn, by=request.user, at=timezone.now(), about=about)
    return sent.Answer(copy.get_absolute_url(), "The copy is kept. Say of each place when you have seen it.")


@roles(*DIAGNOSIS)
@require_POST
def circuit_state(request, pk):
    """Put a map out of use, or take it up again."""
    drawn = get_object_or_404(CircuitMap, pk=pk)
    state = request.POST.get("state", "")
    if state in CircuitMap.State.values:
        drawn = acts.set_state(drawn, by=request.user, at=timezone.now(), state=state)
        messages.success(request, f"This map is {drawn.get_state_display()}.")
    return redirect("circuit", pk=pk)


@roles(*EVERYBODY)
@require_safe
def circuit_tests(request, pk):
    """The tests that follow from a map, with their minutes and where each figure comes from."""
    page = _page(request, pk)
    rows = test_rows(page.drawn, page.circuit, page.timings) if not page.found else ()
    groups = [(words, [row for row in rows if row.kind == kind]) for kind, words in KINDS.items()]
    context = {
        "page": page,
        "drawn": page.drawn,
        "groups": [group for group in groups if group[1]],
        "offers": [row for row in rows if row.offer],
        "total": len(rows),
    }
    return render(request, "diagnostics/circuit_tests.html", context)


def _page(request, pk):
    drawn = get_object_or_404(CircuitMap.objects.prefetch_related("zones", "places", "wires"), pk=pk)
    may = any(request.user.has_role(name) for name in DIAGNOSIS)
    return MapPage(drawn, can_keep=may and drawn.state == CircuitMap.State.CURRENT)


def is_done(form, act):
    """Whether an act was done; what it refuses goes back into the form."""
    try:
        act()
    except ValidationError as refused:
        known = getattr(refused, "message_dict", {})
        if known and set(known) <= set(form.fields):
            form.add_error(None, refused)
        else:
            form.add_error(None, ValidationError(refused.messages))
        return False
    return True
