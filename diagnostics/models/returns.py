from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from shared.fields import ExactDecimalField


class ReturnVisit(models.Model):
    """Two visits of one vehicle: how related, how far apart, and what a person says of it.

    Rows are computed from the two orders and kept up to date; only `state` and the review
    fields are a person's.
    """

    class Verdict(models.TextChoices):
        COMEBACK = "comeback", "comeback"
        NEEDS_REVIEW = "needs_review", "needs review"
        EXCLUDED = "excluded", "excluded"
        NOT_CANDIDATE = "not_candidate", "not a candidate"

    class Level(models.TextChoices):
        S = "S", "same complaint"
        W = "W", "same work"
        Y = "Y", "same system"
        P = "P", "possibly related"
        N = "N", "unrelated"

    class State(models.TextChoices):
        UNREVIEWED = "unreviewed", "not reviewed"
        IN_REVIEW = "in_review", "in review"
        CONFIRMED = "confirmed", "confirmed"
        EXCLUDED = "excluded", "excluded"
        UNRELATED = "unrelated", "unrelated"
        UNDETERMINED = "undetermined", "cannot be told"

    index_order = models.ForeignKey(
        "shop.RepairOrder", on_delete=models.CASCADE, related_name="returns_from_it"
    )
    return_order = models.ForeignKey("shop.RepairOrder", on_delete=models.CASCADE, related_name="returns_to")
    counts = models.BooleanField(default=False)
    level = models.CharField(max_length=1, choices=Level)
    level_complaint = models.CharField(max_length=64, blank=True)
    system = models.CharField(max_length=64, blank=True)
    symptom = models.CharField(max_length=64, blank=True)
    days = models.IntegerField(null=True)
    km = ExactDecimalField(null=True)
    in_window = models.CharField(max_length=8)
    exclusion = models.CharField(max_length=2, blank=True)
    verdict = models.CharField(max_length=13, choices=Verdict)
    reason = models.CharField(max_length=40)
    skipped = models.JSONField(default=list)
    unsupported_parts = models.JSONField(default=list)
    open_assumptions = models.JSONField(default=list)
    policy = models.JSONField(default=dict)
    computed_at = models.DateTimeField()
    state = models.CharField(max_length=12, choices=State, default=State.UNREVIEWED)
    review_exclusion = models.CharField(max_length=2, blank=True)
    review_note = models.TextField(blank=True)
    reviewed_by = models.CharField(max_length=64, blank=True)
    reviewed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-return_order__opened_on", "-pk"]
        indexes = [
            models.Index(fields=["verdict", "state"], name="return_by_verdict"),
            models.Index(fields=["system", "symptom"], name="return_by_symptom"),
        ]
        constraints = [
            models.UniqueConstraint(fields=["index_order", "return_order"], name="return_pair_once"),
            models.CheckConstraint(
                name="return_is_of_another_order", condition=~Q(index_order=F("return_order"))
            ),
            models.UniqueConstraint(
                fields=["return_order"], condition=Q(counts=True), name="return_counts_once"
            ),
            models.CheckConstraint(
                name="return_review_excluded_says_which",
                condition=~Q(state="excluded") | ~Q(review_exclusion=""),
                violation_error_message="Choose which exclusion holds.",
            ),
            models.CheckConstraint(
                name="return_reviewed_has_name",
                condition=Q(state="unreviewed") | ~Q(reviewed_by=""),
            ),
        ]

    def __str__(self):
        return f"{self.index_order} to {self.return_order}"

    def get_absolute_url(self):
        return reverse("return", args=[self.pk])
