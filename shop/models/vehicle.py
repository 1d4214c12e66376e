from django.db import models
from django.db.models import Q
from django.db.models.functions import Upper

from shared.fields import ExactDecimalField


class Vehicle(models.Model):
    """One vehicle; a VIN that is known belongs to one vehicle only."""

    code = models.CharField("id", max_length=64, unique=True)
    vin = models.CharField("VIN", max_length=64, blank=True)
    plate = models.CharField(max_length=64, blank=True)
    year = models.IntegerField(null=True, blank=True)
    make = models.CharField(max_length=64, blank=True)
    model = models.CharField(max_length=64, blank=True)
    engine = models.CharField(max_length=64, blank=True)
    left_on = models.DateField(null=True, blank=True, help_text="Sold, scrapped or moved away")
    keeper = models.ForeignKey(
        "shop.Customer", null=True, blank=True, on_delete=models.PROTECT, related_name="vehicles"
    )

    class Meta:
        ordering = ["plate", "code"]
        indexes = [
            models.Index(fields=["plate", "code"], name="vehicle_by_plate"),
            models.Index(fields=["make", "model", "year"], name="vehicle_by_model"),
        ]
        constraints = [
            models.CheckConstraint(name="vehicle_has_code", condition=~Q(code="")),
            models.CheckConstraint(name="vehicle_vin_upper", condition=Q(vin=Upper("vin"))),
            models.UniqueConstraint(
                fields=["vin"],
                condition=~Q(vin=""),
                name="vehicle_vin_once",
                violation_error_message="Another vehicle has this VIN. Look it up instead.",
            ),
        ]

    def __str__(self):
        return " ".join(filter(None, [self.make, self.model, self.plate])) or self.code

    @property
    def description(self):
        """Make, model, year and engine in one line."""
        words = " ".join(filter(None, [self.make, self.model, self.engine]))
        return ", ".join(filter(None, [words, str(self.year or "")])) or "Vehicle not described"


class VehicleOtherId(models.Model):
    """Another id under which a file named this vehicle, learned from its VIN."""

    code = models.CharField("id", max_length=64, unique=True)
    vehicle = models.ForeignKey("shop.Vehicle", on_delete=models.CASCADE, related_name="other_ids")

    def __str__(self):
        return self.code


class OdometerReading(models.Model):
    """One reading of the odometer; one that goes backwards is kept, marked and explained."""

    class Moment(models.TextChoices):
        IN = "in", "at arrival"
        OUT = "out", "at hand-over"
        OTHER = "other", "in between"

    vehicle = models.ForeignKey("shop.Vehicle", on_delete=models.PROTECT, related_name="odometer_readings")
    order = models.ForeignKey(
        "shop.RepairOrder", null=True, on_delete=models.CASCADE, related_name="odometer_readings"
    )
    moment = models.CharField(max_length=5, choices=Moment)
    value = ExactDecimalField()
    unit = models.CharField(max_length=2, choices=[("km", "km"), ("mi", "miles")])
    read_on = models.DateField()
    is_backwards = models.BooleanField(default=False)
    explanation = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["read_on", "pk"]
        indexes = [models.Index(fields=["vehicle", "read_on"], name="odometer_by_vehicle")]
        constraints = [
            models.UniqueConstraint(
                fields=["order", "moment"], name="odometer_once_an_order", condition=Q(order__isnull=False)
            ),
            models.CheckConstraint(name="odometer_unit", condition=Q(unit__in=["km", "mi"])),
            models.CheckConstraint(
                name="odometer_moment_has_order", condition=Q(moment="other") | Q(order__isnull=False)
            ),
        ]

    def __str__(self):
        return f"{self.value} {self.unit}"
