"""Photos of the places of a map: drawn anew, on the shelf on which the photos of jobs stand."""

from __future__ import annotations

import io
from collections.abc import Sequence
from datetime import datetime
from typing import Any

from diagnostics.circuits.acts import drawing
from diagnostics.models import MapPhoto, MapPlace
from shared import audit
from shared.pictures import Picture
from shop.photos import shelf


def add_photos(
    place: MapPlace, pictures: Sequence[Picture], *, by: Any, at: datetime, caption: str
) -> list[MapPhoto]:
    """Keep photos of a place; all of them or none. A file without a row does no harm."""
    files = [
        [shelf().take_in(io.BytesIO(data)).sha256 for data in (one.large, one.small)] for one in pictures
    ]
    with drawing(place.circuit_map, by=by, at=at) as (_, say):
        photos = [
            MapPhoto(
                place=place,
                caption=caption.strip(),
                sha256=large,
                small_sha256=small,
                width=picture.width,
                height=picture.height,
                entered_by=by.signs_as,
                entered_at=at,
            )
            for picture, (large, small) in zip(pictures, files, strict=True)
        ]
        for photo in photos:
            photo.full_clean()
            photo.save()
        say("add photo", None, {"caption": caption, "photos": len(photos)}, str(place))
    return photos


def remove_photo(photo: MapPhoto, *, by: Any, at: datetime) -> None:
    """Take a photo off the map; its file stays on the shelf."""
    with drawing(photo.place.circuit_map, by=by, at=at) as (_, say):
        was = audit.values(photo, ["caption", "sha256", "entered_by"])
        say("remove photo", was, {}, str(photo.place))
        photo.delete()
