from django.db import models
from django.db.models import Q

from shared.fields import MomentPair, day, instant
from shop.models.inside import InsideOrder, Named


class DeclinedItem(Named):
    """Work that is known and not done."""

    class Risk(models.TextChoices):
        SAFETY = "safety", "safety"
        PROGRESSIVE = "progressive", "gets worse"
        COMFORT = "comfort", "comfort"

    system = models.CharField(max_length=64, blank=True)
    component = models.CharField(max_length=300)
    symptom = models.CharField(max_length=64, blank=True)
    risk = models.CharField(max_length=12, choices=Risk)
    informed_on = models.DateField("customer informed on", null=True, blank=True)
    follow_up_on = models.DateField("look again on", null=True, blank=True)
    test_ref = models.CharField(max_length=64, blank=True)

    class Meta(Named.Meta):
        constraints = [
            *Named.Meta.constraints,
            models.CheckConstraint(
                name="declined_risk_known", condition=Q(risk__in=["safety", "progressive", "comfort"])
            ),
        ]

    def __str__(self):
        return self.component


class PlannedReturn(Named):
    """A return agreed before hand-over."""

    recorded_on = models.DateField()
    due_on = models.DateField(null=True, blank=True)
    reason = models.TextField(blank=True)
    system = models.CharField(max_length=64, blank=True)

    def __str__(self):
        return self.reason or self.ref


class OutsideEvent(InsideOrder):
    """Damage, or somebody else's work, between an earlier visit and this one."""

    class Kind(models.TextChoices):
        DAMAGE = "damage", "damage from outside"
        OTHER_WORK = "other_work", "work by somebody else"

    kind = models.CharField(max_length=12, choices=Kind)
    happened_on = models.DateField()
    system = models.TextField()
    evidence = models.TextField(blank=True)

    class Meta(InsideOrder.Meta):
        constraints = [
            models.CheckConstraint(
                name="outside_event_kind_known", condition=Q(kind__in=["damage", "other_work"])
            ),
        ]

    def __str__(self):
        return f"{self.get_kind_display()}, {self.happened_on}"


class DisturbedComponent(InsideOrder):
    """A component taken off or moved to reach another."""

    component = models.CharField(max_length=300)

    def __str__(self):
        return self.component


class Authorisation(InsideOrder):
    """Minutes of diagnosis that the customer agreed to."""

    minutes = models.PositiveIntegerField()
    given_on = day()
    given_at = instant()

    given = MomentPair("given")

    def __str__(self):
        return f"{self.minutes} min"


class TimeEntry(InsideOrder):
    """Minutes one person worked."""

    class Kind(models.TextChoices):
        DIAGNOSIS = "diagnosis", "finding the fault"
        REPAIR = "repair", "repair"

    done_by = models.CharField(max_length=150)
    done_on = day()
    done_at = instant()
    minutes = models.PositiveIntegerField()
    kind = models.CharField(max_length=9, choices=Kind)
    complaint_ref = models.CharField(max_length=64, blank=True)

    done = MomentPair("done")

    class Meta(InsideOrder.Meta):
        verbose_name_plural = "time entries"
        constraints = [
            models.CheckConstraint(
                name="time_entry_kind_known", condition=Q(kind__in=["diagnosis", "repair"])
            ),
        ]

    def __str__(self):
        return f"{self.done_by}, {self.minutes} min"
