from django.conf import settings
from django.db import models


class SentForm(models.Model):
    """One form as it was sent and answered, so that the same one sent again is kept once."""

    key = models.CharField(max_length=36)
    digest = models.CharField(max_length=64)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    at = models.DateTimeField(db_index=True)
    to = models.CharField("where its answer led", max_length=300, blank=True)
    said = models.CharField(max_length=500, blank=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["key", "digest"], name="sent_form_once")]

    def __str__(self):
        return self.key
