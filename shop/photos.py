"""Where the files of photos are kept."""

from django.conf import settings

from shared.shelf import Shelf


def shelf() -> Shelf:
    """Return the shelf on which the photos of every job stand by their hash."""
    return Shelf(settings.PHOTOS_DIR)
