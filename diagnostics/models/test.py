from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q

from diagnostics.models.instrument import Instrument
from diagnostics.models.protocol import PHASES, TestKind
from shared.fields import ExactDecimalField, MomentPair, day, instant
from shop.models.inside import InsideOrder


class TestRun(InsideOrder):
    """One test as it was done. A signed one is superseded by a new row, never changed.

    The superseding row takes over the id, so that what cited the old reading cites the new one.
    """

    __test__ = False  # Not a test class, whatever pytest thinks of the name.

    class Status(models.TextChoices):
        DONE = "done", "done"
        NOT_APPLICABLE = "not_applicable", "not applicable"

    ref = models.CharField("id", max_length=64)
    complaint_ref = models.CharField(max_length=64, blank=True)
    code = models.CharField("test", max_length=200)
    point = models.CharField("measuring point", max_length=64, blank=True)
    phase = models.CharField(max_length=6, choices=PHASES)
    kind = models.CharField(max_length=9, choices=TestKind.Kind)
    typed = models.CharField("as typed", max_length=64, blank=True)
    value = ExactDecimalField(null=True, blank=True)
    unit = models.CharField(max_length=64, blank=True)
    resolution = ExactDecimalField(
        "step of the last digit typed, in the unit of the reading", null=True, blank=True
    )
    lo = ExactDecimalField("lower limit", null=True, blank=True)
    hi = ExactDecimalField("upper limit", null=True, blank=True)
    limit_unit = models.CharField(max_length=64, blank=True)
    limit_says = models.CharField("whose limit it is", max_length=300, blank=True)
    result = models.CharField(max_length=4, blank=True, choices=[("pass", "good"), ("fail", "not good")])
    observation = models.TextField(blank=True)
    conditions = models.CharField(max_length=300, blank=True)
    info_only = models.BooleanField("information only", default=False)
    instrument = models.ForeignKey(
        Instrument, null=True, blank=True, on_delete=models.PROTECT, related_name="readings"
    )
    instrument_ref = models.CharField("instrument as named", max_length=64, blank=True)
    done_by = models.CharField(max_length=64, blank=True)
    done_on = day()
    done_at = instant()
    entered_on = models.DateField(null=True, blank=True)
    entered_at = instant()
    isolates = models.CharField("component it isolates", max_length=64, blank=True)
    repeatable = models.BooleanField(default=True)
    status = models.CharField(max_length=14, choices=Status, default=Status.DONE)
    is_disposed = models.BooleanField("has a written disposition", default=False)
    disposition_reason = models.TextField(blank=True)
    disposition_by = models.CharField(max_length=150, blank=True)
    signed_at = models.DateTimeField(null=True, blank=True)
    superseded_by = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="supersedes"
    )
    superseded_reason = models.CharField(max_length=300, blank=True)

    done = MomentPair("done")
    entered = MomentPair("entered")

    # What may still be written on a signed row: that it was followed up, or superseded.
    OPEN_AFTER_SIGNING = {
        "superseded_by",
        "superseded_reason",
        "is_disposed",
        "disposition_reason",
        "disposition_by",
    }

    class Meta(InsideOrder.Meta):
        indexes = [
            models.Index(fields=["code", "point"], name="test_run_by_code"),
            models.Index(fields=["instrument_ref"], name="test_run_by_instrument"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["order", "ref"], condition=Q(superseded_by__isnull=True), name="test_run_ref_once"
            ),
            models.CheckConstraint(name="test_run_has_ref", condition=~Q(ref="")),
            models.CheckConstraint(name="test_run_phase_known", condition=Q(phase__in=["before", "after"])),
            models.CheckConstraint(
                name="test_run_kind_known", condition=Q(kind__in=["numeric", "attribute", "code"])
            ),
            models.CheckConstraint(
                name="test_run_result_known", condition=Q(result__in=["", "pass", "fail"])
            ),
            models.CheckConstraint(
                name="test_run_status_known", condition=Q(status__in=["done", "not_applicable"])
            ),
            models.CheckConstraint(
                name="test_run_superseded_has_reason",
                condition=Q(superseded_by__isnull=True) | ~Q(superseded_reason=""),
                violation_error_message="Write why the reading is superseded.",
            ),
            models.CheckConstraint(
                name="test_run_instrument_is_named",
                condition=Q(instrument__isnull=True) | ~Q(instrument_ref=""),
            ),
        ]

    def __str__(self):
        return f"{self.code} {self.value} {self.unit}".strip()

    @classmethod
    def from_db(cls, db, field_names, values):
        run = super().from_db(db, field_names, values)
        run._remember_what_was_signed()
        return run

    def save(self, *args, **kwargs):
        self._refuse_changes_after_signing()
        super().save(*args, **kwargs)
        self._remember_what_was_signed()

    def _remember_what_was_signed(self):
        loaded = self.__dict__
        names = [field.attname for field in self._meta.concrete_fields if field.attname in loaded]
        self._as_signed = {name: loaded[name] for name in names} if loaded.get("signed_at") else None

    def _refuse_changes_after_signing(self):
        signed = getattr(self, "_as_signed", None)
        for field in self._meta.concrete_fields if signed else ():
            if field.name in self.OPEN_AFTER_SIGNING or field.attname not in signed:
                continue
            if not _is_the_same(getattr(self, field.attname), signed[field.attname]):
                raise ValidationError(
                    "A signed reading is never changed. Supersede it with a new one and say why.",
                    code="reading_is_signed",
                )


def _is_the_same(value, signed):
    """12.3 equals 12.30 but was read off a coarser display."""
    return value == signed and (not isinstance(value, Decimal) or str(value) == str(signed))
