from django.db import models
from django.db.models import F, Q

from shared.fields import ExactDecimalField, MomentPair, day, instant
from shop.models.inside import InsideOrder


class Attempt(models.Model):
    """One attempt to see the complaint: shown k times in n tries."""

    class Outcome(models.TextChoices):
        REPRODUCED = "reproduced", "seen"
        PARTLY = "partly", "partly seen"
        NOT_REPRODUCED = "not_reproduced", "not seen"

    complaint = models.ForeignKey("shop.Complaint", on_delete=models.CASCADE, related_name="attempts")
    position = models.PositiveIntegerField(default=0)
    done_on = day()
    done_at = instant()
    outcome = models.CharField(max_length=14, choices=Outcome)
    conditions = models.TextField(blank=True)
    n = models.IntegerField("tries", null=True, blank=True)
    k = models.IntegerField("shown", null=True, blank=True)
    equipment_connected = models.BooleanField("test equipment connected", default=False)
    done_by = models.CharField(max_length=64, blank=True)

    done = MomentPair("done")

    class Meta:
        ordering = ["complaint", "position", "pk"]
        constraints = [
            models.CheckConstraint(
                name="attempt_outcome_known",
                condition=Q(outcome__in=["reproduced", "partly", "not_reproduced"]),
            ),
        ]

    def __str__(self):
        return self.get_outcome_display()


class TrialSeries(InsideOrder):
    """n tries of the complaint's own conditions after the repair."""

    complaint_ref = models.CharField(max_length=64)
    done_on = day()
    done_at = instant()
    n = models.PositiveIntegerField("tries")
    recurrences = models.PositiveIntegerField("came back", default=0)
    conditions_match = models.BooleanField("the complaint's own conditions", default=True)
    equipment_connected = models.BooleanField("test equipment connected", default=False)
    conditions = models.TextField(blank=True)
    done_by = models.CharField(max_length=64, blank=True)

    done = MomentPair("done")

    class Meta(InsideOrder.Meta):
        verbose_name_plural = "trial series"

    def __str__(self):
        return f"{self.recurrences} of {self.n}"


class CustomerTrial(InsideOrder):
    """What the customer tells of driving it after the repair. It never counts as the shop's trial."""

    complaint_ref = models.CharField(max_length=64)
    since_on = models.DateField("from")
    until_on = models.DateField("to")
    starts = models.PositiveIntegerField(null=True, blank=True)
    distance = ExactDecimalField(null=True, blank=True)
    distance_unit = models.CharField(max_length=2, choices=[("km", "km"), ("mi", "miles")], default="km")
    recurrences = models.PositiveIntegerField("came back", default=0)
    note = models.TextField("in their words", blank=True)
    told_by = models.CharField(max_length=150)
    taken_by = models.CharField(max_length=64)
    told_on = day()
    told_at = instant()

    told = MomentPair("told")

    class Meta(InsideOrder.Meta):
        constraints = [
            models.CheckConstraint(
                name="customer_trial_ends_after_it_began",
                condition=Q(until_on__gte=F("since_on")),
                violation_error_message="The last day lies before the first.",
            ),
            models.CheckConstraint(
                name="customer_trial_counts_each_start_once",
                condition=Q(starts__isnull=True) | Q(starts__gte=F("recurrences")),
                violation_error_message="It cannot come back more often than it was started.",
            ),
            models.CheckConstraint(
                name="customer_trial_unit_known", condition=Q(distance_unit__in=["km", "mi"])
            ),
        ]

    def __str__(self):
        return f"{self.since_on} to {self.until_on}, {self.told_by}"

    @property
    def days(self):
        return (self.until_on - self.since_on).days


class IndependentCheck(InsideOrder):
    """A check of one work item by somebody else."""

    work_ref = models.CharField(max_length=64)
    checked_by = models.CharField(max_length=150)
    done_on = day()
    done_at = instant()
    note = models.TextField(blank=True)

    done = MomentPair("done")

    def __str__(self):
        return f"{self.work_ref} by {self.checked_by}"


class HandOff(InsideOrder):
    """What one person passed to the next. Null for a list that was never written."""

    complaint_ref = models.CharField(max_length=64)
    giver = models.CharField(max_length=150)
    receiver = models.CharField(max_length=150)
    done_on = day()
    done_at = instant()
    known = models.TextField(blank=True)
    ruled_out = models.JSONField(null=True, blank=True)
    suspected = models.JSONField(null=True, blank=True)
    next_step = models.TextField("what next", blank=True)
    acknowledged_by = models.CharField(max_length=64, blank=True)

    done = MomentPair("done")

    def __str__(self):
        return f"{self.giver} to {self.receiver}"


class Explanation(InsideOrder):
    """A named person's reason for leaving a finding as it is. Never deleted, counted in its own column."""

    rule = models.CharField(max_length=3)
    subject = models.CharField(max_length=200)
    reason = models.TextField()
    signed_by = models.CharField(max_length=150)
    approved_by = models.CharField(max_length=64, blank=True)
    signed_at = models.DateTimeField(null=True, blank=True)

    class Meta(InsideOrder.Meta):
        constraints = [
            models.CheckConstraint(
                name="explanation_rule_known", condition=Q(rule__in=[f"R{n}" for n in range(1, 27)])
            ),
        ]

    def __str__(self):
        return f"{self.rule} {self.subject}"
