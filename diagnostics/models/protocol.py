from django.db import models
from django.db.models import Q

from shared.fields import ExactDecimalField

PHASES = [("before", "before the repair"), ("after", "after the repair")]
MOST_STEPS = 8


class Caution(models.Model):
    """The usual caution of one kind of work."""

    code = models.CharField(max_length=64, unique=True)
    title = models.CharField(max_length=100)
    text = models.TextField()

    class Meta:
        ordering = ["title"]

    def __str__(self):
        return self.title


class TestKind(models.Model):
    """What a test is. A change makes a new version; readings keep the limits they were judged by."""

    __test__ = False  # Not a test class, whatever pytest thinks of the name.

    class Kind(models.TextChoices):
        NUMERIC = "numeric", "a reading"
        ATTRIBUTE = "attribute", "an observation"
        CODE = "code", "a code read"

    code = models.CharField(max_length=64)
    version = models.PositiveIntegerField(default=1)
    is_current = models.BooleanField(default=True)
    system = models.CharField(max_length=64, db_index=True)
    name = models.CharField(max_length=150)
    plain = models.CharField("name for the customer", max_length=150, blank=True)
    kind = models.CharField(max_length=9, choices=Kind)
    quantity = models.CharField(max_length=64, blank=True)
    unit = models.CharField(max_length=32, blank=True)
    lo = ExactDecimalField("lower limit", null=True, blank=True)
    hi = ExactDecimalField("upper limit", null=True, blank=True)
    limit_source = models.CharField(
        max_length=1,
        blank=True,
        choices=[
            ("R", "read in the source"),
            ("M", "from memory of the source"),
            ("P", "common practice"),
            ("C", "computed"),
            ("S", "this shop"),
            ("V", "the vehicle's maker"),
        ],
    )
    limit_says = models.CharField("whose limit it is", max_length=300, blank=True)
    minutes = models.PositiveSmallIntegerField(default=10)
    point = models.CharField("usual measuring point", max_length=64, blank=True)
    repeatable = models.BooleanField(default=True)
    how = models.TextField("how to do it", blank=True)
    cautions = models.JSONField(default=list, blank=True)
    made_by = models.CharField(max_length=64, blank=True)
    made_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["system", "name"]
        constraints = [
            models.UniqueConstraint(fields=["code", "version"], name="test_kind_version_once"),
            models.UniqueConstraint(
                fields=["code"], condition=Q(is_current=True), name="test_kind_one_current"
            ),
            models.CheckConstraint(
                name="test_kind_numeric_has_unit", condition=~Q(kind="numeric") | ~Q(unit="")
            ),
            models.CheckConstraint(
                name="test_kind_kind_known", condition=Q(kind__in=["numeric", "attribute", "code"])
            ),
        ]

    def __str__(self):
        return self.name


class Protocol(models.Model):
    """Which steps a complaint of this system and symptom asks for."""

    system = models.CharField(max_length=64)
    symptom = models.CharField(max_length=64)
    version = models.PositiveIntegerField(default=1)
    is_current = models.BooleanField(default=True)
    reason = models.CharField("why this version", max_length=300, blank=True)
    made_by = models.CharField(max_length=64, blank=True)
    made_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["system", "symptom", "-version"]
        constraints = [
            models.UniqueConstraint(fields=["system", "symptom", "version"], name="protocol_version_once"),
            models.UniqueConstraint(
                fields=["system", "symptom"],
                condition=Q(is_current=True),
                name="protocol_one_current",
            ),
        ]

    def __str__(self):
        return f"{self.symptom}, version {self.version}"


class ProtocolStep(models.Model):
    """One test that a protocol asks for."""

    protocol = models.ForeignKey(Protocol, on_delete=models.CASCADE, related_name="steps")
    position = models.PositiveSmallIntegerField()
    test_code = models.CharField(max_length=64)
    phase = models.CharField(max_length=6, choices=PHASES, default="before")
    critical = models.BooleanField(default=False)

    class Meta:
        ordering = ["protocol", "position"]
        constraints = [
            models.UniqueConstraint(fields=["protocol", "position"], name="protocol_step_place_once"),
            models.UniqueConstraint(
                fields=["protocol", "test_code", "phase"], name="protocol_step_once_a_phase"
            ),
            models.CheckConstraint(name="protocol_at_most_eight_steps", condition=Q(position__lt=MOST_STEPS)),
            models.CheckConstraint(
                name="protocol_step_phase_known", condition=Q(phase__in=["before", "after"])
            ),
        ]

    def __str__(self):
        return f"{self.test_code}, {self.get_phase_display()}"


class RequiredStep(models.Model):
    """A step that one complaint must have, from the protocol in force when it was entered."""

    complaint = models.ForeignKey("shop.Complaint", on_delete=models.CASCADE, related_name="required")
    protocol = models.ForeignKey(Protocol, null=True, on_delete=models.PROTECT, related_name="+")
    position = models.PositiveIntegerField(default=0)
    code = models.CharField(max_length=200)
    phase = models.CharField(max_length=6, choices=PHASES, default="before")
    critical = models.BooleanField(default=False)
    is_waived = models.BooleanField(default=False)
    waiver_reason = models.TextField(blank=True)
    waiver_by = models.CharField(max_length=150, blank=True)
    waiver_approved_by = models.CharField(max_length=64, blank=True)
    waiver_assumption = models.CharField(max_length=64, blank=True)

    class Meta:
        ordering = ["complaint", "position", "pk"]
        indexes = [models.Index(fields=["code", "phase"], name="required_step_by_code")]
        constraints = [
            models.CheckConstraint(
                name="required_step_phase_known", condition=Q(phase__in=["before", "after"])
            ),
            models.CheckConstraint(
                name="required_step_waiver_is_marked",
                condition=Q(is_waived=True)
                | Q(waiver_reason="", waiver_by="", waiver_approved_by="", waiver_assumption=""),
            ),
        ]

    def __str__(self):
        return self.code
