from django.db import models
from django.db.models import Q

from shop.models.inside import Named


class Complaint(Named):
    """What the customer reports. Their words are never edited, only added to."""

    class Kind(models.TextChoices):
        SYMPTOM = "symptom", "something is wrong"
        MAINTENANCE = "maintenance", "maintenance"
        INSPECTION = "inspection", "inspection"

    class Pattern(models.TextChoices):
        CONSTANT = "constant", "always"
        INTERMITTENT = "intermittent", "comes and goes"

    kind = models.CharField(max_length=12, choices=Kind, default=Kind.SYMPTOM)
    text = models.TextField("in the customer's words")
    system = models.CharField(max_length=64, blank=True, db_index=True)
    symptom = models.CharField(max_length=64, blank=True)
    component = models.CharField(max_length=64, blank=True)
    pattern = models.CharField(max_length=12, choices=Pattern, blank=True)
    difficulty = models.PositiveSmallIntegerField(null=True, blank=True)
    plan_n = models.IntegerField("trials planned", null=True, blank=True)
    plan_conditions = models.TextField("conditions of the trials", blank=True)
    intake = models.JSONField("answers at the desk", default=dict, blank=True)
    is_safety = models.BooleanField("safety concern", default=False)
    taken_by = models.CharField(max_length=64, blank=True)
    taken_at = models.DateTimeField(null=True, blank=True)

    class Meta(Named.Meta):
        indexes = [models.Index(fields=["system", "symptom"], name="complaint_by_symptom")]
        constraints = [
            *Named.Meta.constraints,
            models.CheckConstraint(
                name="complaint_kind_known", condition=Q(kind__in=["symptom", "maintenance", "inspection"])
            ),
            models.CheckConstraint(
                name="complaint_pattern_known", condition=Q(pattern__in=["", "constant", "intermittent"])
            ),
            models.CheckConstraint(
                name="complaint_plan_conditions_need_plan",
                condition=Q(plan_conditions="") | Q(plan_n__isnull=False),
            ),
            models.CheckConstraint(
                name="complaint_difficulty_1_to_3",
                condition=Q(difficulty__isnull=True) | Q(difficulty__range=(1, 3)),
            ),
        ]

    def __str__(self):
        return self.text


class ComplaintNote(models.Model):
    """Words added to a complaint later."""

    complaint = models.ForeignKey(Complaint, on_delete=models.CASCADE, related_name="notes")
    text = models.TextField()
    added_by = models.CharField(max_length=64)
    added_at = models.DateTimeField()

    class Meta:
        ordering = ["added_at", "pk"]

    def __str__(self):
        return self.text
