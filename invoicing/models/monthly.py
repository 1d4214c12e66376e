from django.db import models
from django.db.models import Q


class MonthlyReport(models.Model):
    """The owner's report of one month: what it said on the day it was made, and its PDF."""

    month = models.DateField(unique=True, help_text="The first day of the month it reports on")
    as_of = models.DateField(help_text="The day of the count")
    data = models.JSONField()
    data_sha256 = models.CharField(max_length=64)
    pdf = models.BinaryField()
    pdf_sha256 = models.CharField(max_length=64)
    pages = models.PositiveSmallIntegerField()
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["-month"]
        constraints = [
            models.CheckConstraint(name="monthly_report_starts_on_the_first", condition=Q(month__day=1)),
        ]

    def __str__(self):
        return f"report for {self.month:%B %Y}"


class ReportLetter(models.Model):
    """One report to one owner by e-mail: asked for once, tried until it is gone."""

    report = models.ForeignKey(MonthlyReport, on_delete=models.CASCADE, related_name="letters")
    owner = models.ForeignKey("shop.StaffMember", on_delete=models.PROTECT, related_name="+")
    address = models.EmailField()
    asked_at = models.DateTimeField()
    sent_at = models.DateTimeField(null=True)
    error = models.TextField(blank=True)

    class Meta:
        ordering = ["report", "owner"]
        constraints = [
            models.UniqueConstraint(fields=["report", "owner"], name="report_letter_once_an_owner"),
        ]

    def __str__(self):
        return f"{self.report} to {self.address}"
