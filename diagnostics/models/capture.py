from django.core.exceptions import ValidationError
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse

from diagnostics.models.instrument import Instrument
from diagnostics.models.protocol import PHASES
from shared.fields import ExactDecimalField, MomentPair, day, instant
from shop.models.inside import Named

_STANDS = Q(set_aside_at__isnull=True, set_aside_by="", set_aside_reason="", superseded_by__isnull=True)
_SET_ASIDE = Q(set_aside_at__isnull=False) & ~Q(set_aside_by="") & ~Q(set_aside_reason="")


class Capture(Named):
    """A recorded signal: the file as it was uploaded, by its hash, and what was computed from it.

    It is never deleted. One that cannot be used is set aside with a reason, and named what took its place.
    The file itself stands beside the database; `diagnostics/captures/keeping.py` says where.
    """

    class Status(models.TextChoices):
        WAITING = "waiting", "being read"
        READY = "ready", "ready"
        REFUSED = "refused", "refused"

    class Bus(models.TextChoices):
        CAN = "can", "CAN, two wires"
        VPW = "vpw", "VPW, one wire (SAE J1850)"
        LIN = "lin", "LIN, one wire"
        K_LINE = "kline", "K-line (ISO 9141)"

    order = models.ForeignKey("shop.RepairOrder", on_delete=models.PROTECT, related_name="capture_set")
    complaint_ref = models.CharField(max_length=64, blank=True)
    test_ref = models.CharField("of which test", max_length=64, blank=True)
    phase = models.CharField(max_length=6, choices=PHASES)
    equipment_connected = models.BooleanField("test equipment connected", default=False)
    title = models.CharField("what it shows", max_length=120)
    points = models.JSONField("what each channel is connected to", default=list, blank=True)
    note = models.TextField(blank=True)
    battery_v = ExactDecimalField("battery voltage", null=True, blank=True)
    bus = models.CharField("data bus", max_length=6, choices=Bus, blank=True)
    volts_per_count = ExactDecimalField("volts of one count", null=True, blank=True)
    sample_rate_hz = ExactDecimalField("samples a second", null=True, blank=True)
    instrument = models.ForeignKey(
        Instrument, null=True, blank=True, on_delete=models.PROTECT, related_name="captures"
    )
    done_by = models.CharField(max_length=64, blank=True)
    done_on = day()
    done_at = instant()
    entered_by = models.CharField(max_length=64)
    entered_at = models.DateTimeField()
    sha256 = models.CharField(max_length=64, db_index=True, validators=[RegexValidator(r"^[0-9a-f]{64}$")])
    size = models.BigIntegerField("bytes")
    original_name = models.CharField(max_length=120)
    status = models.CharField(max_length=7, choices=Status, default=Status.WAITING)
    refusal = models.TextField("why it was refused", blank=True)
    allowed = models.TextField("what is allowed", blank=True)
    analysis = models.JSONField(null=True, blank=True)
    overview = models.JSONField("the whole in few columns", null=True, blank=True)
    computed_at = models.DateTimeField(null=True, blank=True)
    on_sheet = models.BooleanField("on the findings sheet", default=False)
    superseded_by = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="supersedes"
    )
    set_aside_reason = models.CharField("why it is not used", max_length=300, blank=True)
    set_aside_by = models.CharField(max_length=64, blank=True)
    set_aside_at = models.DateTimeField(null=True, blank=True)

    done = MomentPair("done")

    # What was uploaded, by whom and when.
    FINAL = ("order_id", "ref", "sha256", "size", "original_name", "entered_by", "entered_at")

    class Meta(Named.Meta):
        constraints = [
            *Named.Meta.constraints,
            models.CheckConstraint(name="capture_phase_known", condition=Q(phase__in=["before", "after"])),
            models.CheckConstraint(
                name="capture_bus_known", condition=Q(bus__in=["", "can", "vpw", "lin", "kline"])
            ),
            models.CheckConstraint(
                name="capture_has_size",
                condition=Q(size__gt=0),
                violation_error_message="The file is empty. Save the recording again and choose it anew.",
            ),
            models.CheckConstraint(name="capture_has_title", condition=~Q(title="")),
            models.CheckConstraint(
                name="capture_status_has_what_it_says",
                condition=Q(status="waiting", refusal="")
                | Q(
                    status="ready",
                    refusal="",
                    analysis__isnull=False,
                    overview__isnull=False,
                    computed_at__isnull=False,
                )
                | (Q(status="refused", analysis__isnull=True, overview__isnull=True) & ~Q(refusal="")),
            ),
            models.CheckConstraint(
                name="capture_set_aside_has_reason",
                condition=_STANDS | _SET_ASIDE,
                violation_error_message="Write why the recording is not used.",
            ),
            models.CheckConstraint(
                name="capture_on_sheet_is_ready_and_stands",
                condition=Q(on_sheet=False) | Q(status="ready", set_aside_at__isnull=True),
                violation_error_message="Only a recording that is read and not set aside goes on the sheet.",
            ),
        ]

    def __str__(self):
        return self.title

    def get_absolute_url(self):
        return reverse("capture", args=[self.pk])

    @classmethod
    def from_db(cls, db, field_names, values):
        capture = super().from_db(db, field_names, values)
        kept = capture.__dict__
        capture._as_uploaded = {name: kept[name] for name in cls.FINAL if name in kept}
        return capture

    def save(self, *args, **kwargs):
        for name, value in getattr(self, "_as_uploaded", {}).items():
            if getattr(self, name) != value:
                raise ValidationError(
                    "A recording stays as it was uploaded. Set it aside and upload another one.",
                    code="capture_is_final",
                )
        super().save(*args, **kwargs)

    def delete(self, *args, **kwargs):
        raise ValidationError(
            "A recording is never deleted. Set it aside and say why.", code="capture_is_never_deleted"
        )

    @property
    def stands(self):
        """Whether it is used: not set aside."""
        return self.set_aside_at is None

    @property
    def is_ready(self):
        return self.status == self.Status.READY

    def point(self, channel):
        """What a channel is connected to, as written; empty where nobody wrote it."""
        return self.points[channel] if channel < len(self.points) else ""
