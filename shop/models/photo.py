from django.core.validators import RegexValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse

from shop.models.inside import Named

_HASH = RegexValidator(r"^[0-9a-f]{64}$")


class Photo(Named):
    """A photo of the job, drawn anew; the files stand on the shelf of photos under their hashes.

    It is never deleted. One that must not be used is set aside with a reason.
    """

    class Place(models.TextChoices):
        REPORTED = "reported", "what was reported"
        SEEN = "seen", "the fault, seen"
        MEASURED = "measured", "a measurement"
        CAUSE = "cause", "the cause"
        REPAIR = "repair", "the repair"
        PROVED = "proved", "the proof"

    place = models.CharField("what it shows", max_length=8, choices=Place)
    caption = models.CharField("in words", max_length=200)
    sha256 = models.CharField(max_length=64, validators=[_HASH], db_index=True)
    small_sha256 = models.CharField(max_length=64, validators=[_HASH])
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    entered_by = models.CharField(max_length=64)
    entered_at = models.DateTimeField()
    set_aside_reason = models.CharField("why it is not used", max_length=300, blank=True)
    set_aside_by = models.CharField(max_length=64, blank=True)
    set_aside_at = models.DateTimeField(null=True, blank=True)

    class Meta(Named.Meta):
        constraints = [
            *Named.Meta.constraints,
            models.CheckConstraint(
                name="photo_place_known",
                condition=Q(place__in=["reported", "seen", "measured", "cause", "repair", "proved"]),
            ),
            models.CheckConstraint(name="photo_has_caption", condition=~Q(caption="")),
            models.CheckConstraint(
                name="photo_set_aside_is_whole",
                condition=Q(set_aside_at__isnull=True, set_aside_by="", set_aside_reason="")
                | (Q(set_aside_at__isnull=False) & ~Q(set_aside_by="") & ~Q(set_aside_reason="")),
            ),
        ]

    def __str__(self):
        return self.caption

    def get_absolute_url(self):
        return reverse("photo", args=[self.pk])
