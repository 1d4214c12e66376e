from django.db import models
from django.db.models import Q
from django.urls import reverse

from diagnostics.models.instrument import Instrument
from diagnostics.models.protocol import PHASES
from shared.fields import MomentPair, day, instant
from shop.models.inside import Named


class Scan(Named):
    """One scan report as it was pasted or uploaded, with what was understood of it.

    It is never changed or deleted: a wrong one is superseded by another, with the reason.
    """

    phase = models.CharField(max_length=6, choices=PHASES)
    done_by = models.CharField(max_length=64, blank=True)
    done_on = day()
    done_at = instant()
    kept_at = models.DateTimeField()
    instrument = models.ForeignKey(
        Instrument, null=True, blank=True, on_delete=models.PROTECT, related_name="scans"
    )
    text = models.TextField("as pasted or uploaded")
    text_sha256 = models.CharField(max_length=64)
    file_name = models.CharField(max_length=200, blank=True)
    vin = models.CharField("VIN in the report", max_length=17, blank=True)
    supported = models.JSONField("monitors fitted", default=list, blank=True)
    incomplete = models.JSONField("monitors not finished", default=list, blank=True)
    has_monitors = models.BooleanField("says something about monitors", default=False)
    says_no_codes = models.BooleanField("says that there are no codes", default=False)
    not_understood = models.PositiveIntegerField("lines not understood", default=0)
    doubts = models.JSONField("read with a doubt", default=list, blank=True)
    unread = models.JSONField("first lines not understood", default=list, blank=True)
    test_ref = models.CharField("test it is recorded as", max_length=64, blank=True)
    superseded_by = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="supersedes"
    )
    superseded_reason = models.CharField(max_length=300, blank=True)

    done = MomentPair("done")

    class Meta(Named.Meta):
        constraints = [
            *Named.Meta.constraints,
            models.CheckConstraint(name="scan_phase_known", condition=Q(phase__in=["before", "after"])),
            models.CheckConstraint(
                name="scan_has_text",
                condition=~Q(text=""),
                violation_error_message="Paste the report, or choose its file.",
            ),
            models.CheckConstraint(
                name="scan_superseded_has_reason",
                condition=Q(superseded_by__isnull=True) | ~Q(superseded_reason=""),
                violation_error_message="Write why the scan is superseded.",
            ),
        ]

    def __str__(self):
        return f"scan {self.ref}"

    def get_absolute_url(self):
        return reverse("scan", args=[self.pk])


class ScanModule(models.Model):
    """One control unit of a scan."""

    scan = models.ForeignKey(Scan, on_delete=models.PROTECT, related_name="modules")
    position = models.PositiveIntegerField()
    name = models.CharField(max_length=100, blank=True)
    address = models.CharField(max_length=20, blank=True)
    answered = models.BooleanField(null=True)
    says_no_codes = models.BooleanField(default=False)
    line = models.PositiveIntegerField()

    class Meta:
        ordering = ["scan", "position"]
        constraints = [
            models.UniqueConstraint(fields=["scan", "position"], name="scan_module_place_once"),
        ]

    def __str__(self):
        return self.name or self.address or "unit not named"


class ScanCode(models.Model):
    """One code of a scan: a report of its control unit, not a reading."""

    module = models.ForeignKey(ScanModule, on_delete=models.PROTECT, related_name="codes")
    position = models.PositiveIntegerField()
    code = models.CharField(max_length=5)
    failure_type = models.CharField(max_length=2, blank=True)
    states = models.JSONField(default=list, blank=True)
    text = models.CharField("as the report words it", max_length=300, blank=True)
    typed = models.CharField("as it stands there", max_length=40, blank=True)
    form = models.CharField(max_length=6, default="text")
    line = models.PositiveIntegerField()

    class Meta:
        ordering = ["module", "position"]
        indexes = [models.Index(fields=["code"], name="scan_code_by_code")]
        constraints = [
            models.UniqueConstraint(fields=["module", "position"], name="scan_code_place_once"),
            models.CheckConstraint(
                name="scan_code_form_known", condition=Q(form__in=["text", "bytes", "answer"])
            ),
            models.CheckConstraint(name="scan_code_has_code", condition=~Q(code="")),
        ]

    def __str__(self):
        return f"{self.code}-{self.failure_type}" if self.failure_type else self.code


class CodeMeaning(models.Model):
    """What the shop calls a code: its own words, before those of the starter list."""

    code = models.CharField(max_length=8, unique=True)
    meaning = models.CharField(max_length=200)

    class Meta:
        ordering = ["code"]
        constraints = [
            models.CheckConstraint(name="code_meaning_has_code", condition=~Q(code="")),
            models.CheckConstraint(
                name="code_meaning_has_words",
                condition=~Q(meaning=""),
                violation_error_message="Write what the code means.",
            ),
        ]

    def __str__(self):
        return f"{self.code}: {self.meaning}"
