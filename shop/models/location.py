from decimal import Decimal
from zoneinfo import ZoneInfo, available_timezones

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q

from shared.fields import ExactDecimalField


def check_time_zone(name):
    if name not in available_timezones():
        raise ValidationError(
            f"'{name}' is not a time zone. Write a name such as Europe/Lisbon.", code="time_zone"
        )


class Location(models.Model):
    """One shop: its calendar, its paper head, its comeback window."""

    class DistanceUnit(models.TextChoices):
        KM = "km", "kilometres"
        MI = "mi", "miles"

    code = models.CharField("id", max_length=64, unique=True)
    name = models.CharField(max_length=150, blank=True)
    address = models.TextField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField(blank=True)
    time_zone = models.CharField(max_length=64, default="UTC", validators=[check_time_zone])
    currency = models.CharField(max_length=3, default="EUR")
    distance_unit = models.CharField(max_length=2, choices=DistanceUnit, default=DistanceUnit.KM)
    single_person = models.BooleanField("one-person shop", default=False)
    window_days = models.PositiveIntegerField("comeback window, days", default=90)
    window_km = ExactDecimalField("comeback window, km", default=Decimal(6000))
    loaded_rate = models.DecimalField(
        "an hour costs the shop",
        max_digits=9,
        decimal_places=2,
        null=True,
        blank=True,
        help_text="Wages with all overheads. It prices the hours of a comeback that nobody can bill.",
    )
    fewest_to_compare = models.PositiveIntegerField(
        "fewest jobs to compare",
        default=30,
        help_text="With fewer finished jobs only the count is shown, and nobody is compared.",
    )
    follow_up_days = models.PositiveSmallIntegerField(
        "call after, days",
        default=14,
        help_text="How long after hand-over the customer of an unproved repair is called.",
    )
    warranty_months = models.PositiveSmallIntegerField(default=12)
    warranty_distance = models.PositiveIntegerField("warranty distance, in the distance unit", default=12000)

    class Meta:
        ordering = ["name", "code"]
        constraints = [
            models.CheckConstraint(name="location_has_code", condition=~Q(code="")),
            models.CheckConstraint(
                name="location_compares_at_least_ten",
                condition=Q(fewest_to_compare__gte=10),
                violation_error_message="Below 10 jobs a rate says nothing. Write 10 or more.",
            ),
            models.CheckConstraint(
                name="location_distance_unit", condition=Q(distance_unit__in=["km", "mi"])
            ),
        ]

    def __str__(self):
        return self.name or self.code

    @property
    def zone(self):
        return ZoneInfo(self.time_zone)
