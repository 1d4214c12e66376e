from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse

from shared.fields import MomentPair, day, instant
from shop.querysets import RepairOrderQuerySet


class RepairOrder(models.Model):
    """One visit of one vehicle: complaints come in, an outcome goes out."""

    class Visit(models.TextChoices):
        SYMPTOM = "symptom", "something is wrong"
        PLANNED = "planned", "planned return"
        MAINTENANCE = "maintenance", "maintenance"

    class Outcome(models.TextChoices):
        REPAIRED = "repaired", "repaired"
        NO_FAULT_FOUND = "no_fault_found", "no fault found"
        MONITOR = "monitor", "watching"
        DECLINED_ALL = "declined_all", "all work declined"

    class WaitingOn(models.TextChoices):
        ADVISOR = "advisor", "advisor"
        TECHNICIAN = "technician", "technician"
        PARTS = "parts", "parts"
        CUSTOMER = "customer", "customer"

    number = models.CharField(max_length=64, unique=True)
    location = models.ForeignKey("shop.Location", on_delete=models.PROTECT, related_name="orders")
    vehicle = models.ForeignKey("shop.Vehicle", on_delete=models.PROTECT, related_name="orders")
    customer = models.ForeignKey(
        "shop.Customer", null=True, blank=True, on_delete=models.PROTECT, related_name="orders"
    )
    technician = models.CharField(max_length=64, blank=True)
    visit = models.CharField(max_length=12, choices=Visit, default=Visit.SYMPTOM)
    planned_ref = models.CharField(max_length=64, blank=True)
    since_repair = models.BooleanField("customer or staff link it to an earlier repair", default=False)
    opened_on = day()
    opened_at = instant()
    returned_on = day(null=True, blank=True)
    returned_at = instant()
    promised_at = models.DateTimeField(null=True, blank=True)
    odo_unit = models.CharField(max_length=2, choices=[("km", "km"), ("mi", "miles")], default="km")
    outcome = models.CharField(max_length=16, choices=Outcome, blank=True)
    waiting_on = models.CharField(max_length=12, choices=WaitingOn, blank=True)
    waiting_since = models.DateTimeField(null=True, blank=True)
    waiting_note = models.CharField(max_length=200, blank=True)
    opened_by = models.CharField(max_length=64, blank=True)
    closed_by = models.CharField(max_length=64, blank=True)
    closing_reason = models.TextField("reason for gaps left open", blank=True)
    currency = models.CharField(max_length=3, blank=True)
    labour_charge = models.CharField(max_length=32, blank=True)
    parts_charge = models.CharField(max_length=32, blank=True)
    total_charge = models.CharField(max_length=32, blank=True)
    unbilled_minutes = models.IntegerField(null=True, blank=True)
    content_hash = models.CharField(max_length=64, blank=True, editable=False)
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+", editable=False
    )

    objects = RepairOrderQuerySet.as_manager()

    opened = MomentPair("opened")
    returned = MomentPair("returned")

    class Meta:
        ordering = ["-opened_on", "-pk"]
        indexes = [
            models.Index(fields=["vehicle", "opened_on", "id", "returned_on"], name="order_by_vehicle"),
            models.Index(fields=["-opened_on", "-id"], name="order_newest_first"),
            models.Index(fields=["returned_on"], name="order_by_return"),
            models.Index(fields=["waiting_on", "waiting_since"], name="order_by_wait"),
            models.Index(fields=["technician"], name="order_by_technician"),
        ]
        constraints = [
            models.CheckConstraint(name="order_has_number", condition=~Q(number="")),
            models.CheckConstraint(
                name="order_returned_instant_has_day",
                condition=Q(returned_at__isnull=True) | Q(returned_on__isnull=False),
            ),
            models.CheckConstraint(
                name="order_waits_only_while_open",
                condition=Q(waiting_on="") | Q(returned_on__isnull=True),
                violation_error_message="A job that was handed back waits on nobody.",
            ),
            models.CheckConstraint(
                name="order_outcome_known",
                condition=Q(outcome__in=["", "repaired", "no_fault_found", "monitor", "declined_all"]),
            ),
            models.CheckConstraint(
                name="order_visit_known", condition=Q(visit__in=["symptom", "planned", "maintenance"])
            ),
            models.CheckConstraint(name="order_odo_unit", condition=Q(odo_unit__in=["km", "mi"])),
        ]

    def __str__(self):
        return f"job {self.number}"

    def get_absolute_url(self):
        return reverse("order", args=[self.pk])

    @property
    def is_open(self):
        return self.returned_on is None
