from django.db import models
from django.db.models import Q

from shared.fields import MomentPair, day, instant
from shop.models.inside import Named


class WorkItem(Named):
    """One thing done to one component, and why."""

    class Kind(models.TextChoices):
        REPLACE = "replace", "replaced"
        REPAIR = "repair", "repaired"
        CLEAN = "clean", "cleaned"
        ADJUST = "adjust", "adjusted"
        RESET = "reset", "reset"

    class Reason(models.TextChoices):
        CAUSE = "cause", "it is the cause"
        MAINTENANCE = "maintenance", "maintenance"
        ACCESS = "access", "to reach something else"
        CONSEQUENTIAL = "consequential", "damaged by the cause"
        CUSTOMER_REQUEST = "customer_request", "the customer asked for it"

    complaint_ref = models.CharField(max_length=64, blank=True)
    kind = models.CharField(max_length=8, choices=Kind)
    component = models.CharField(max_length=300)
    reason = models.CharField(max_length=16, choices=Reason)
    cause_ref = models.CharField(max_length=64, blank=True)
    evidence = models.JSONField("cited tests", default=list, blank=True)
    safety = models.BooleanField("safety-critical", default=False)
    done_by = models.CharField(max_length=64, blank=True)
    done_on = day()
    done_at = instant()
    note = models.TextField(blank=True)
    failure_analysis = models.TextField(blank=True)

    done = MomentPair("done")

    class Meta(Named.Meta):
        constraints = [
            *Named.Meta.constraints,
            models.CheckConstraint(
                name="work_kind_known",
                condition=Q(kind__in=["replace", "repair", "clean", "adjust", "reset"]),
            ),
            models.CheckConstraint(
                name="work_reason_known",
                condition=Q(
                    reason__in=["cause", "maintenance", "access", "consequential", "customer_request"]
                ),
            ),
        ]

    def __str__(self):
        return f"{self.component}, {self.get_kind_display()}"


class PartFitted(models.Model):
    """The part that a work item put in."""

    class Condition(models.TextChoices):
        NEW = "new", "new"
        USED = "used", "used"
        REBUILT = "rebuilt", "rebuilt"
        RECONDITIONED = "reconditioned", "reconditioned"

    work = models.OneToOneField(WorkItem, on_delete=models.CASCADE, related_name="part")
    description = models.TextField(blank=True)
    number = models.CharField("part number", max_length=64, blank=True)
    quantity = models.TextField(blank=True)
    condition = models.CharField(max_length=14, choices=Condition, blank=True)
    supplier = models.CharField(max_length=64, blank=True)
    batch = models.CharField(max_length=64, blank=True)

    class Meta:
        indexes = [models.Index(fields=["number", "batch"], name="part_by_batch")]
        constraints = [
            models.CheckConstraint(
                name="part_condition_known",
                condition=Q(condition__in=["", "new", "used", "rebuilt", "reconditioned"]),
            ),
        ]

    def __str__(self):
        return self.description or self.number
