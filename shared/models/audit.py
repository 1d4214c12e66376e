from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.serializers.json import DjangoJSONEncoder
from django.db import models


class AuditEntry(models.Model):
    """Who changed which record, when, from what to what. Rows are added, never edited."""

    at = models.DateTimeField(db_index=True)
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    actor_name = models.CharField(max_length=150)
    action = models.CharField(max_length=64)
    record = models.CharField(max_length=64)
    record_id = models.CharField(max_length=64)
    order_number = models.CharField(max_length=64, blank=True)
    before = models.JSONField(null=True, encoder=DjangoJSONEncoder)
    after = models.JSONField(null=True, encoder=DjangoJSONEncoder)
    reason = models.TextField(blank=True)

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [
            models.Index(fields=["record", "record_id", "at"], name="audit_by_record"),
            models.Index(fields=["order_number", "at"], name="audit_by_order"),
        ]

    def __str__(self):
        return f"{self.action} {self.record} {self.record_id} by {self.actor_name}"

    def save(self, *args, **kwargs):
        if self.pk is not None:
            raise ValidationError("An entry of the audit trail is never changed.", code="audit_is_final")
        super().save(*args, **kwargs)

    def delete(self, *args, **kwargs):
        raise ValidationError("An entry of the audit trail is never deleted.", code="audit_is_final")
