"""Changing the parts of a map."""

from decimal import Decimal, InvalidOperation

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from diagnostics.circuits import acts, photos
from diagnostics.circuits.forms import FORMS, AddHereForm, MapPhotoForm, MapTestForm
from diagnostics.circuits.minutes import test_rows, zone_offer
from diagnostics.circuits.page import MapPage, behind
from diagnostics.circuits.views import is_done
from diagnostics.job.forms.base import DIAGNOSIS, EVERYBODY
from diagnostics.models import CircuitMap, MapPhoto, MapPlace, MapTest
from shared import sent
from shared.access import roles
from shared.wording import and_list, count_text
from shop.desk.photos import picture_file


@roles(*DIAGNOSIS)
@require_http_methods(["GET", "POST"])
def part(request, pk, kind, part_pk=None):
    """Add a zone, place or wire, change it, or take it off the map."""
    form_class = FORMS.get(kind)
    if form_class is None:
        raise Http404("A map has zones, places and wires.")
    drawn = get_object_or_404(CircuitMap, pk=pk)
    model = form_class._meta.model
    shown = get_object_or_404(model, pk=part_pk, circuit_map=drawn) if part_pk else model(circuit_map=drawn)
    gone = behind(MapPage(drawn, can_keep=True), shown) if part_pk and kind == "place" else []
    form = form_class(request.POST or None, instance=shown, initial=_chosen(request, form_class))
    if request.method == "POST" and "remove" in request.POST and part_pk:
        return _removed(request, shown, kind, gone)
    if request.method == "POST" and (before := sent.answered(request)):
        return redirect(before.to)
    if request.method == "POST" and form.is_valid() and is_done(form, lambda: _kept(request, form)):
        messages.success(request, f"Kept: {form.instance}.")
        return redirect(f"{drawn.get_absolute_url()}#{kind}s")
    context = {
        "drawn": drawn,
        "form": form,
        "part": shown if part_pk else None,
        "kind": kind,
        "word": acts.WORDS[model],
        "behind": gone,
        "hangs": _hanging(shown, kind) if part_pk else "",
        "photos": shown.photos.all() if part_pk and kind == "place" else (),
        "photo_form": MapPhotoForm(auto_id="photo-%s") if part_pk and kind == "place" else None,
    }
    return render(request, "diagnostics/circuit_part.html", context)


def _kept(request, form):
    if hasattr(form, "save_changes"):
        form.save_changes()

    def keep():
        kept = acts.keep_part(form.instance, by=request.user, at=timezone.now())
        return sent.Answer(kept.circuit_map.get_absolute_url(), f"Kept: {kept}.")

    return sent.once(request, keep)


def _chosen(request, form_class):
    return {name: value for name, value in request.GET.items() if name in form_class._meta.fields}


def _removed(request, shown, kind, gone):
    name, home = str(shown), f"{shown.circuit_map.get_absolute_url()}#{kind}s"
    keys = [place.key for place in gone] if request.POST["remove"] == "all" else []
    try:
        acts.remove_part(shown, by=request.user, at=timezone.now(), behind=keys)
    except ValidationError as refused:
        messages.error(request, " ".join(refused.messages))
    else:
        also = f" and {count_text(len(keys), 'place')} behind it" if keys else ""
        messages.success(request, f"Off the map: {name}{also}.")
    return redirect(home)


def _hanging(shown, kind):
    """What hangs on a part, before it is taken off the map."""
    if kind == "place":
        wires = [*shown.wires_from.select_related("end"), *shown.wires_to.select_related("start")]
        others = [str(wire.end if wire.start_id == shown.pk else wire.start) for wire in wires]
        return f"Its wires go with it: to {and_list(others)}." if others else "No wire hangs on it."
    if kind == "zone":
        inside = [*map(str, shown.places.all()), *map(str, shown.holds.all())]
        outer = f"“{shown.inside}”" if shown.inside else "nothing to open"
        return f"Behind it: {and_list(inside)}. They then lie behind {outer}." if inside else ""
    return ""


@roles(*DIAGNOSIS)
@require_http_methods(["GET", "POST"])
def add_here(request, pk, place_pk):
    """Hang places on a hub: one name a line."""
    hub = get_object_or_404(MapPlace.objects.select_related("circuit_map"), pk=place_pk, circuit_map=pk)
    if before := sent.answered(request):
        return redirect(before.to)
    form = AddHereForm(request.POST or None, hub=hub)
    if request.method == "POST" and form.is_valid():

        def add():
            given = {name: form.cleaned_data[name] for name in ("kind", "is_removable", "zone")}
            names = form.cleaned_data["names"]
            added = acts.add_branches(hub, names, by=request.user, at=timezone.now(), **given)
            said = f"At {hub} now: {and_list([str(place) for place in added])}."
            return sent.Answer(f"{hub.circuit_map.get_absolute_url()}#places", said)

        if is_done(form, lambda: messages.success(request, sent.once(request, add).said)):
            return redirect(f"{hub.circuit_map.get_absolute_url()}#places")
    context = {"drawn": hub.circuit_map, "hub": hub, "form": form}
    return render(request, "diagnostics/circuit_add.html", context)


@roles(*DIAGNOSIS)
@require_POST
def fitted(request, pk, place_pk):
    """Say with one tap whether a place is fitted."""
    place = get_object_or_404(MapPlace.objects.select_related("circuit_map"), pk=place_pk, circuit_map=pk)
    if request.POST.get("fitted") in MapPlace.Fitted.values:
        place.fitted = request.POST["fitted"]
        _or_say(request, lambda: acts.keep_part(place, by=request.user, at=timezone.now()))
    return redirect(f"{place.circuit_map.get_absolute_url()}#p-{place.key}")


@roles(*DIAGNOSIS)
@require_http_methods(["GET", "POST"])
def map_test(request, pk, key):
    """What the shop knows better about one test of the map."""
    drawn = get_object_or_404(CircuitMap, pk=pk)
    row = _row_of(drawn, key)
    form = MapTestForm(request.POST or None, instance=row.own or MapTest(circuit_map=drawn, key=key))
    if request.method == "POST" and form.is_valid():
        given = {name: form.cleaned_data[name] for name in form._meta.fields}

        def act():
            acts.set_test(drawn, by=request.user, at=timezone.now(), key=key, **given)

        if is_done(form, act):
            messages.success(request, f"Kept: {row.label}.")
            return redirect("circuit-tests", pk=pk)
    return render(request, "diagnostics/circuit_test.html", {"drawn": drawn, "row": row, "form": form})


def _row_of(drawn, key):
    row = _found_row(drawn, key)
    if row is None:
        raise Http404("No such test follows from this map as it is drawn now.")
    return row


def _found_row(drawn, key):
    page = MapPage(drawn, can_keep=True)
    rows = test_rows(drawn, page.circuit, page.timings) if not page.found else ()
    return next((row for row in rows if row.id == key), None)


@roles(*DIAGNOSIS)
@require_POST
def learn(request, pk):
    """Plan with the minutes that were really taken, as they were shown."""
    drawn = get_object_or_404(CircuitMap, pk=pk)
    page = MapPage(drawn, can_keep=True)
    zone = next((zone for zone in page.zones if zone.key == request.POST.get("zone")), None)
    key = request.POST.get("test", "")
    row = None if zone else _found_row(drawn, key)
    offer = zone_offer(zone, page.timings) if zone else row and row.offer
    back = redirect("circuit", pk=pk) if zone else redirect("circuit-tests", pk=pk)
    if offer is None or offer.minutes != _decimal(request.POST.get("minutes")):
        messages.error(request, "The minutes have changed since. Look at them again.")
        return back
    given = {"by": request.user, "at": timezone.now(), "minutes": offer.minutes, "count": offer.learned.count}

    def act():
        if zone:
            acts.accept_zone_minutes(zone, **given)
        else:
            acts.accept_test_minutes(drawn, key=key, **given)

    if _or_say(request, act):
        messages.success(request, f"Planned with from now on: {offer.words}.")
    return back


def _decimal(text):
    try:
        return Decimal(text or "")
    except InvalidOperation:
        return None


@roles(*DIAGNOSIS)
@require_POST
def photos_new(request, pk, place_pk):
    """Add photos of a place."""
    place = get_object_or_404(MapPlace.objects.select_related("circuit_map"), pk=place_pk, circuit_map=pk)
    form = MapPhotoForm(request.POST, request.FILES, auto_id="photo-%s")
    if form.is_valid():

        def act():
            photos.add_photos(place, by=request.user, at=timezone.now(), **form.cleaned_data)

        if is_done(form, act):
            messages.success(
                request, f"{count_text(len(form.cleaned_data['pictures']), 'photo').capitalize()} kept."
            )
            return redirect("circuit-part", pk=pk, kind="place", part_pk=place_pk)
    context = {
        "drawn": place.circuit_map,
        "form": FORMS["place"](instance=place),
        "part": place,
        "kind": "place",
        "word": "place",
        "photos": place.photos.all(),
        "photo_form": form,
        "hangs": _hanging(place, "place"),
        "behind": behind(MapPage(place.circuit_map, can_keep=True), place),
    }
    return render(request, "diagnostics/circuit_part.html", context)


@roles(*EVERYBODY)
@require_safe
def map_photo(request, pk):
    """A photo of a place in full."""
    return picture_file(get_object_or_404(MapPhoto, pk=pk).sha256)


@roles(*EVERYBODY)
@require_safe
def map_photo_small(request, pk):
    """The same, small, for a list."""
    return picture_file(get_object_or_404(MapPhoto, pk=pk).small_sha256)


@roles(*DIAGNOSIS)
@require_POST
def map_photo_remove(request, pk):
    """Take a photo off the map."""
    photo = get_object_or_404(MapPhoto.objects.select_related("place__circuit_map"), pk=pk)
    place = photo.place
    if _or_say(request, lambda: photos.remove_photo(photo, by=request.user, at=timezone.now())):
        messages.success(request, "The photo is off the map.")
    return redirect("circuit-part", pk=place.circuit_map_id, kind="place", part_pk=place.pk)


def _or_say(request, act):
    """Do an act; what it refuses is said on the next page."""
    try:
        act()
    except ValidationError as refused:
        messages.error(request, " ".join(refused.messages))
        return False
    return True
