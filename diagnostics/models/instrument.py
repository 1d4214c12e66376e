from django.db import models
from django.db.models import Q

from diagnostics.metrology import read_accuracy
from shared.fields import ExactDecimalField
from shared.wording import quantity_text


class Instrument(models.Model):
    """A meter, clamp or gauge of the shop's list."""

    code = models.CharField("id", max_length=64, unique=True)
    kind = models.CharField(max_length=150, help_text="Multimeter, 0.01 V")
    cal_required = models.BooleanField("needs calibration", default=True)
    cal_due = models.DateField("calibration due", null=True, blank=True)
    withdrawn_on = models.DateField("withdrawn on", null=True, blank=True)
    accuracy = ExactDecimalField("accuracy, in the unit of the reading", null=True, blank=True)
    accuracy_text = models.CharField("accuracy as the maker states it", max_length=150, blank=True)

    class Meta:
        ordering = ["code"]
        constraints = [models.CheckConstraint(name="instrument_has_code", condition=~Q(code=""))]

    def __str__(self):
        return self.code

    def counts_on(self, day):
        """Whether a reading on `day` counts without remark."""
        if self.withdrawn_on and self.withdrawn_on <= day:
            return False
        return not self.cal_required or (self.cal_due is not None and self.cal_due >= day)


class InstrumentRange(models.Model):
    """One range of an instrument: from where to where, how fine, how accurate as the maker states it."""

    instrument = models.ForeignKey(Instrument, on_delete=models.CASCADE, related_name="ranges")
    unit = models.CharField(max_length=64)
    low = ExactDecimalField("from")
    high = ExactDecimalField("to")
    resolution = ExactDecimalField(null=True, blank=True)
    accuracy_text = models.CharField("accuracy as the maker states it", max_length=150)

    class Meta:
        ordering = ["instrument", "unit", "pk"]
        constraints = [
            models.CheckConstraint(name="instrument_range_has_unit", condition=~Q(unit="")),
            models.CheckConstraint(
                name="instrument_range_has_accuracy",
                condition=~Q(accuracy_text=""),
                violation_error_message="Write the accuracy of the range, such as 0.5 %% + 2 counts.",
            ),
            models.UniqueConstraint(
                fields=["instrument", "unit", "low", "high"],
                name="instrument_range_once",
                violation_error_message="This range is on the list already. Change that one.",
            ),
        ]

    def __str__(self):
        return f"{quantity_text(self.low)} to {quantity_text(self.high, self.unit)}"

    @property
    def accuracy(self):
        """The accuracy as it is understood; what is kept was read when it was entered."""
        return read_accuracy(self.accuracy_text)


class Calibration(models.Model):
    """What a calibration found before anything was adjusted. Never changed: a newer one follows."""

    instrument = models.ForeignKey(Instrument, on_delete=models.PROTECT, related_name="calibrations")
    done_on = models.DateField("calibrated on")
    in_tolerance = models.BooleanField("found within its accuracy")
    found_error = ExactDecimalField("error found", null=True, blank=True)
    error_unit = models.CharField("unit of the error", max_length=64, blank=True)
    error_of = models.CharField("in readings of", max_length=64, blank=True)
    due_next = models.DateField("next due", null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)
    kept_by = models.CharField(max_length=64)
    kept_at = models.DateTimeField()

    class Meta:
        ordering = ["-done_on", "-pk"]
        constraints = [
            models.CheckConstraint(
                name="calibration_error_has_unit",
                condition=Q(found_error__isnull=True) | ~Q(error_unit=""),
                violation_error_message="Write the unit of the error, or %% for a share of the reading.",
            ),
            models.CheckConstraint(
                name="calibration_out_says_how_far",
                condition=Q(in_tolerance=True) | Q(found_error__isnull=False),
                violation_error_message="Write how far it was out, so that its readings can be checked.",
            ),
        ]

    def __str__(self):
        return f"{self.instrument}, {self.done_on}"
