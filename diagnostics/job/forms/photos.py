"""Photos from the tablet or the phone: one or several taken together."""

from __future__ import annotations

import tempfile
from pathlib import Path

from django import forms
from django.core.exceptions import ValidationError

from diagnostics import recording
from diagnostics.job.forms.base import EVERYBODY, JobForm, ReasonField
from shared.pictures import ALLOWED_WORDS, Picture, PictureRefused, redraw
from shared.wording import count_text
from shop.models import Photo

MOST_AT_ONCE = 6


class PicturesInput(forms.FileInput):
    allow_multiple_selected = True


class PicturesField(forms.FileField):
    """Several photos in one field, each drawn anew."""

    widget = PicturesInput(attrs={"accept": "image/jpeg,image/png,image/webp", "multiple": True})

    def clean(self, data, initial=None):
        files = [super(PicturesField, self).clean(file, initial) for file in data or [None]]
        if len(files) > MOST_AT_ONCE:
            raise ValidationError(
                f"{len(files)} photos were chosen. At most {MOST_AT_ONCE} at once.", code="too_many"
            )
        return [_redrawn(file) for file in files]


def _redrawn(file) -> Picture:
    with tempfile.NamedTemporaryFile() as kept:
        for piece in file.chunks():
            kept.write(piece)
        kept.flush()
        try:
            return redraw(Path(kept.name))
        except PictureRefused as refused:
            raise ValidationError(f"{file.name[:60]}: {refused}", code="not_a_photo") from None


class PhotoForm(JobForm):
    heading = "Add photos"
    act = "Keep them"
    roles = EVERYBODY
    hint = (
        "Only the picture itself is kept: place, time and owner that the camera wrote into the file are left "
        "out. Mind number plates and faces of other people."
    )

    pictures = PicturesField(
        label="Photos",
        help_text=f"{ALLOWED_WORDS}; up to {MOST_AT_ONCE} at once.",
        error_messages={"required": "Choose a photo, or take one.", "empty": "This file is empty."},
    )
    caption = forms.CharField(
        label="What is to be seen",
        max_length=200,
        help_text="Green corrosion in the connector at the tow bar",
    )
    place = forms.ChoiceField(label="It shows", choices=Photo.Place, initial=Photo.Place.MEASURED)

    @property
    def ring(self):
        return self.data.get("place") or self.initial.get("place") or Photo.Place.MEASURED

    def save(self, *, by, at):
        kept = recording.add_photos(self.order, by=by, at=at, **self.given("pictures", "caption", "place"))
        return f"{count_text(len(kept), 'photo').capitalize()} kept."


class SetAsidePhotoForm(JobForm):
    heading = "Set a photo aside"
    act = "Set it aside"
    roles = EVERYBODY
    hint = "It stays on record with the reason, and is shown no more."
    even_closed = True
    needs_row = True

    reason = ReasonField(max_length=300, label="Why it is not used")

    @classmethod
    def rows(cls, order):
        return Photo.objects.filter(order=order).select_related("order")

    @property
    def ring(self):
        return self.row.place

    def save(self, *, by, at):
        recording.set_aside_photo(self.row, by=by, at=at, reason=self.cleaned_data["reason"])
        return "Set aside."
