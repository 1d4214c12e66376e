from django.db import models
from django.db.models import Q

from shared.fields import ExactDecimalField


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
