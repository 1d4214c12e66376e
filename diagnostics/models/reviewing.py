from django.db import models
from django.db.models import Q


class ReturnReview(models.Model):
    """What one person made of one return: codes, evidence, one change. There is no field for a person blamed.

    The first review decides the state of the return; a second one, coded without sight of the
    first, serves the agreement between reviewers only. Codes are those of practice.md section 10.
    """

    class Change(models.TextChoices):
        PROTOCOL = "protocol", "the protocol"
        TOOL = "tool", "a tool or an instrument"
        TIME = "time", "time or authorisation"
        WORDING = "wording", "wording, or what the customer is told"
        NOTHING = "nothing", "nothing, with a reason"

    visit = models.ForeignKey("diagnostics.ReturnVisit", on_delete=models.CASCADE, related_name="reviews")
    reviewer = models.CharField(max_length=64)
    is_second = models.BooleanField("coded apart, without sight of the first", default=False)
    primary = models.CharField("primary code", max_length=2)
    contributing = models.JSONField("contributing codes, at most two", default=list, blank=True)
    escape_point = models.CharField(max_length=20)
    evidence = models.JSONField("what each code rests on", default=dict, blank=True)
    compared_with = models.JSONField(
        "of a second coding: the first as it stood then", default=dict, blank=True
    )
    known_then = models.JSONField("what each step could know then", default=dict, blank=True)
    change_kind = models.CharField("what to change", max_length=8, choices=Change, blank=True)
    change = models.TextField("the one change", blank=True)
    change_owner = models.CharField("who makes it", max_length=64, blank=True)
    change_due = models.DateField("by when", null=True, blank=True)
    check_on = models.DateField("look at the effect on", null=True, blank=True)
    checked_on = models.DateField(null=True, blank=True)
    checked_by = models.CharField(max_length=64, blank=True)
    check_said = models.TextField("what the look showed", blank=True)
    reviewed_at = models.DateTimeField()

    class Meta:
        ordering = ["visit", "is_second", "pk"]
        indexes = [models.Index(fields=["check_on", "checked_on"], name="review_check_due")]
        constraints = [
            models.UniqueConstraint(fields=["visit", "is_second"], name="review_first_and_second"),
            models.UniqueConstraint(
                fields=["visit", "reviewer"],
                name="review_once_a_person",
                violation_error_message="You have coded this return already. Somebody else codes it apart.",
            ),
            models.CheckConstraint(name="review_has_primary_code", condition=~Q(primary="")),
            models.CheckConstraint(
                name="review_checked_has_name", condition=Q(checked_on__isnull=True) | ~Q(checked_by="")
            ),
        ]

    def __str__(self):
        return f"{self.primary} at {self.escape_point}"


class ReturnCost(models.Model):
    """What one return cost the shop. Null means not known, never nothing."""

    visit = models.OneToOneField("diagnostics.ReturnVisit", on_delete=models.CASCADE, related_name="cost")
    currency = models.CharField(max_length=3)
    minutes = models.PositiveIntegerField("minutes nobody can bill", null=True, blank=True)
    loaded_rate = models.DecimalField("an hour costs", max_digits=9, decimal_places=2, null=True, blank=True)
    parts = models.DecimalField(
        "parts and consumables not recovered", max_digits=11, decimal_places=2, null=True, blank=True
    )
    transport = models.DecimalField(
        "loan vehicle and transport", max_digits=11, decimal_places=2, null=True, blank=True
    )
    goodwill = models.DecimalField("goodwill given", max_digits=11, decimal_places=2, null=True, blank=True)
    credit = models.DecimalField("supplier credit", max_digits=11, decimal_places=2, null=True, blank=True)
    note = models.TextField(blank=True)
    entered_by = models.CharField(max_length=64)
    entered_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="return_cost_not_negative",
                condition=(Q(parts__isnull=True) | Q(parts__gte=0))
                & (Q(transport__isnull=True) | Q(transport__gte=0))
                & (Q(goodwill__isnull=True) | Q(goodwill__gte=0))
                & (Q(credit__isnull=True) | Q(credit__gte=0))
                & (Q(loaded_rate__isnull=True) | Q(loaded_rate__gte=0)),
                violation_error_message="Write an amount of nothing or more; a credit has its own field.",
            ),
        ]

    def __str__(self):
        return f"cost of {self.visit}"
