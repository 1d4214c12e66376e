"""The pages of recorded signals, and what their drawings ask for."""

from functools import partial

from django.core.paginator import Paginator
from django.http import Http404, HttpResponse, JsonResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.http import content_disposition_header
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from diagnostics.captures.drawing import paper_svg
from diagnostics.job.forms.base import EVERYBODY
from diagnostics.models import Capture
from diagnostics.recording.captures import is_asked_for, shelf
from diagnostics.signals.asked import ask_window
from diagnostics.signals.page import CapturePage, Pair
from diagnostics.signals.reading import share_read
from shared.access import roles
from shared.shelf import PIECE, FileIsDamaged

FRAMES_A_PAGE = 50
# The file is somebody else's: it is handed out to be saved, and nothing in it may run here.
AS_A_DOWNLOAD = {
    "X-Content-Type-Options": "nosniff",
    "Content-Security-Policy": "default-src 'none'; sandbox",
    "Cache-Control": "private, no-store",
}


@roles(*EVERYBODY)
@require_safe
def capture(request, pk):
    """One recording: drawn, measured, judged; or why it is not."""
    page = CapturePage(_capture(pk), request.user)
    pages = Paginator(page.frames, FRAMES_A_PAGE)
    context = {"page": page, "capture": page.capture, "frames": pages.get_page(request.GET.get("page"))}
    return render(request, "diagnostics/capture.html", context)


@roles(*EVERYBODY)
@never_cache
@require_safe
def state(request, pk):
    """How far the reading is, for the page that waits for it."""
    found = get_object_or_404(Capture.objects.only("status"), pk=pk)
    waits = found.status == Capture.Status.WAITING
    said = {
        "status": found.status,
        "share": share_read(pk) if waits else None,
        "failed": waits and not is_asked_for(found),
    }
    return JsonResponse(said)


@roles(*EVERYBODY)
@require_safe
def window(request, pk):
    """A stretch of a recording in few columns, as `Window.packed` lays it out."""
    found = get_object_or_404(Capture.objects.only("sha256", "status"), pk=pk)
    if not found.is_ready:
        raise Http404("This recording is not read.")
    asked = ask_window(request.GET)
    if isinstance(asked, str):
        return HttpResponse(asked, status=400, content_type="text/plain; charset=utf-8")
    # Here, not above: only who draws a signal needs NumPy.
    from diagnostics.captures.pyramid import Pyramid

    drawn = Pyramid(shelf().drawn(found.sha256, found.pk)).window(asked.since, asked.until, asked.width)
    headers = {"Cache-Control": "private, no-store"}
    return HttpResponse(drawn.packed(), content_type="application/octet-stream", headers=headers)


@roles(*EVERYBODY)
@require_safe
def drawing(request, pk):
    """The whole recording as a picture to keep."""
    found = _ready(pk)
    page = CapturePage(found, request.user)
    picture = paper_svg(page.picture, page.said, width=720, lane=72)
    name = f"job-{found.order_id}-{found.ref}.svg"
    headers = {**AS_A_DOWNLOAD, "Content-Disposition": f'attachment; filename="{name}"'}
    return HttpResponse(picture, content_type="image/svg+xml", headers=headers)


@roles(*EVERYBODY)
@require_safe
def file(request, pk):
    """The file as it was uploaded, after its hash is looked at."""
    found = _capture(pk)
    if found.status == Capture.Status.REFUSED:
        raise Http404("This file was refused and is not kept.")
    try:
        path = shelf().checked(found.sha256)
    except FileIsDamaged as damaged:
        return render(
            request, "diagnostics/capture_damaged.html", {"capture": found, "why": damaged}, status=409
        )
    headers = {
        **AS_A_DOWNLOAD,
        "Content-Type": "application/octet-stream",
        "Content-Length": str(found.size),
        "Content-Disposition": content_disposition_header(True, found.original_name),
    }
    return StreamingHttpResponse(_pieces(path), headers=headers)


@roles(*EVERYBODY)
@require_safe
def lay_against(request, pk):
    """Send on to the page of the pair that was chosen."""
    other = request.GET.get("other", "")
    if not (other.isascii() and other.isdigit() and len(other) < 19):
        return redirect("capture", pk)
    return redirect("capture-against", pk, int(other))


@roles(*EVERYBODY)
@require_safe
def against(request, pk, other):
    """Two recordings on one time line."""
    if pk == other:
        return redirect("capture", pk)
    pair = Pair(CapturePage(_ready(pk), request.user), CapturePage(_ready(other), request.user))
    return render(request, "diagnostics/capture_against.html", {"pair": pair})


def _pieces(path):
    """The file piece by piece; it is opened when somebody takes the first one."""
    with path.open("rb") as stream:
        yield from iter(partial(stream.read, PIECE), b"")


def _capture(pk):
    captures = Capture.objects.select_related(
        "order__vehicle", "order__location", "instrument", "superseded_by"
    )
    return get_object_or_404(captures, pk=pk)


def _ready(pk):
    found = _capture(pk)
    if not found.is_ready:
        raise Http404("This recording is not read.")
    return found
