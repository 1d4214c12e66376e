from django.core.serializers.json import DjangoJSONEncoder
from django.db import models
from django.db.models import Q


class OutboxRow(models.Model):
    """One piece of background work, asked for in the transaction that needs it."""

    kind = models.CharField(max_length=64)
    payload = models.JSONField(default=dict, encoder=DjangoJSONEncoder)
    key = models.CharField(max_length=128, unique=True)
    asked_at = models.DateTimeField()
    not_before = models.DateTimeField()
    attempts = models.PositiveSmallIntegerField(default=0)
    leased_until = models.DateTimeField(null=True)
    done_at = models.DateTimeField(null=True)
    failed_at = models.DateTimeField(null=True)
    error = models.TextField(blank=True)

    class Meta:
        ordering = ["not_before", "pk"]
        indexes = [
            models.Index(
                fields=["not_before", "id"],
                condition=Q(done_at__isnull=True, failed_at__isnull=True),
                name="outbox_waiting",
            ),
        ]
        constraints = [
            models.CheckConstraint(
                name="outbox_row_ends_once",
                condition=Q(done_at__isnull=True) | Q(failed_at__isnull=True),
            ),
        ]

    def __str__(self):
        return f"{self.kind} {self.key}"
