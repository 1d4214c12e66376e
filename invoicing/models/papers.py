from django.core.exceptions import ValidationError
from django.core.serializers.json import DjangoJSONEncoder
from django.db import models
from django.db.models import F, Q


class IssuedDocument(models.Model):
    """One paper as issued: the data, the PDF, the hash of both. A correction is a new version."""

    class Kind(models.TextChoices):
        FINDINGS = "findings", "findings sheet"
        WARRANTY = "warranty", "warranty note"

    order = models.ForeignKey("shop.RepairOrder", on_delete=models.PROTECT, related_name="documents")
    kind = models.CharField(max_length=8, choices=Kind)
    version = models.PositiveIntegerField()
    replaces = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="replaced_by"
    )
    data = models.JSONField(encoder=DjangoJSONEncoder)
    data_sha256 = models.CharField(max_length=64)
    template_version = models.CharField(max_length=16)
    pdf = models.BinaryField(null=True)
    pdf_sha256 = models.CharField(max_length=64, blank=True)
    issued_at = models.DateTimeField()
    issued_by = models.CharField(max_length=64)
    made_at = models.DateTimeField(null=True)
    error = models.TextField(blank=True)

    # What stands on the paper; only its PDF is added after it was issued.
    FROZEN = (
        "order_id",
        "kind",
        "version",
        "replaces_id",
        "data",
        "data_sha256",
        "template_version",
        "issued_at",
        "issued_by",
    )

    class Meta:
        ordering = ["order", "kind", "-version"]
        constraints = [
            models.UniqueConstraint(fields=["order", "kind", "version"], name="document_version_once"),
            models.CheckConstraint(
                name="document_pdf_has_hash",
                condition=Q(made_at__isnull=True, pdf_sha256="")
                | Q(made_at__isnull=False) & ~Q(pdf_sha256=""),
            ),
        ]

    def __str__(self):
        return f"{self.get_kind_display()}, version {self.version}"

    def save(self, *args, **kwargs):
        if self.pk and self._would_change():
            raise ValidationError(
                "An issued paper is never changed. Issue a new version.", code="document_is_final"
            )
        super().save(*args, **kwargs)

    def delete(self, *args, **kwargs):
        raise ValidationError("An issued paper is never deleted.", code="document_is_final")

    @property
    def code(self):
        """The first characters of the data's hash, printed in the foot of each page."""
        return self.data_sha256[:8]

    def _would_change(self):
        stored = IssuedDocument.objects.filter(pk=self.pk).values("made_at", *self.FROZEN).first()
        if stored is None:
            return False
        is_made = stored["made_at"] is not None
        return is_made or any(getattr(self, name) != stored[name] for name in self.FROZEN)


class CustomerLink(models.Model):
    """An address that shows one order's findings without a sign-in, until it expires or is revoked.

    Only the hash of the token is kept: the address is shown once, when it is made.
    """

    order = models.ForeignKey("shop.RepairOrder", on_delete=models.CASCADE, related_name="links")
    token_sha256 = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    made_by = models.CharField(max_length=64)
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    revoked_by = models.CharField(max_length=64, blank=True)
    last_seen_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at"]
        constraints = [
            models.CheckConstraint(name="customer_link_ends_later", condition=Q(expires_at__gt=F("made_at"))),
            models.CheckConstraint(
                name="customer_link_revoked_has_name",
                condition=Q(revoked_at__isnull=True) | ~Q(revoked_by=""),
            ),
        ]

    def __str__(self):
        return f"link to {self.order}"

    def is_live(self, at):
        """Whether the address works at `at`."""
        return self.revoked_at is None and at < self.expires_at


class WarrantyGrant(models.Model):
    """What is promised on one order, from when to when, to which odometer."""

    order = models.OneToOneField("shop.RepairOrder", on_delete=models.PROTECT, related_name="warranty")
    starts_on = models.DateField()
    months = models.PositiveSmallIntegerField()
    last_day = models.DateField("last covered day")
    distance = models.PositiveIntegerField("distance allowed, in the odometer's unit")
    distance_unit = models.CharField(max_length=2, choices=[("km", "km"), ("mi", "miles")])
    last_reading = models.PositiveIntegerField("last covered odometer reading", null=True, blank=True)
    covered = models.JSONField("parts and work covered", default=list)
    granted_by = models.CharField(max_length=64)
    granted_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="warranty_ends_after_start", condition=Q(last_day__gte=F("starts_on"))
            ),
        ]

    def __str__(self):
        return f"warranty of {self.order}"
