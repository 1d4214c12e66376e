"""The photos of a job, as files."""

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from shared.access import roles
from shop.models import Photo
from shop.photos import shelf


@roles("advisor", "technician", "owner")
@require_safe
def photo(request, pk):
    """A photo in full."""
    return picture_file(get_object_or_404(Photo, pk=pk).sha256)


@roles("advisor", "technician", "owner")
@require_safe
def photo_small(request, pk):
    """The same, small, for a list."""
    return picture_file(get_object_or_404(Photo, pk=pk).small_sha256)


def picture_file(sha256):
    """Answer with a photo from the shelf."""
    try:
        picture = shelf().path(sha256).read_bytes()
    except FileNotFoundError:
        raise Http404("The file of this photo is not there. Restore it from a backup.") from None
    response = HttpResponse(picture, content_type="image/jpeg")
    # A photo never changes under its address. The browser of one person may keep it.
    response["Cache-Control"] = "private, max-age=31536000, immutable"
    response["Content-Security-Policy"] = "sandbox; default-src 'none'"
    return response
