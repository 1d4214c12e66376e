"""Photos of a job: drawn anew before they are kept, set aside with a reason, never deleted."""

from __future__ import annotations

import io
from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError

from diagnostics.recording.entries import amend, keep, new_ref, place_after, writing
from shared.pictures import Picture
from shop.models import Photo, RepairOrder
from shop.photos import shelf


def add_photos(
    order: RepairOrder, pictures: Sequence[Picture], *, by: Any, at: datetime, place: str, caption: str
) -> list[Photo]:
    """Keep photos that were taken together; all of them or none.

    The files are on the disk before the rows are written; files without a row do no harm.
    """
    files = [_take_in(picture) for picture in pictures]
    with writing(order) as order:
        photos = Photo.objects.filter(order=order)
        return [
            keep(
                Photo(
                    order=order,
                    position=place_after(photos),
                    ref=new_ref(photos, "P"),
                    place=place,
                    caption=caption,
                    sha256=large,
                    small_sha256=small,
                    width=picture.width,
                    height=picture.height,
                    entered_by=by.signs_as,
                    entered_at=at,
                ),
                order,
                by=by,
                action="add photo",
            )
            for picture, (large, small) in zip(pictures, files, strict=True)
        ]


def set_aside_photo(photo: Photo, *, by: Any, at: datetime, reason: str) -> Photo:
    """Say that a photo is not used, and why. It stays on record."""
    with writing(photo.order, even_closed=True) as order:
        photo = Photo.objects.select_for_update().get(pk=photo.pk)
        if photo.set_aside_at:
            raise ValidationError(f"{photo} is set aside already.", code="set_aside_already")
        changes = {"set_aside_reason": reason, "set_aside_by": by.signs_as, "set_aside_at": at}
        return amend(photo, order, changes, by=by, action="set photo aside", reason=reason)


def _take_in(picture: Picture) -> tuple[str, str]:
    large, small = (shelf().take_in(io.BytesIO(data)) for data in (picture.large, picture.small))
    return large.sha256, small.sha256
