from django.db import models
from django.db.models import Q

PROOFS = ("complete", "explained", "broken")


class WatchedJob(models.Model):
    """One order that can be come back from, as the audit counts it. Computed; nobody writes here.

    System, symptom, pattern and difficulty are those of its leading complaint: the first symptom
    complaint on the record, else the first complaint. Days are whole days from hand-over to the
    arrival of the first return that counts; null where there is none.
    """

    order = models.OneToOneField(
        "shop.RepairOrder", primary_key=True, on_delete=models.CASCADE, related_name="watched"
    )
    location = models.ForeignKey("shop.Location", on_delete=models.CASCADE, related_name="+")
    vehicle = models.ForeignKey("shop.Vehicle", on_delete=models.CASCADE, related_name="+")
    technician = models.CharField(max_length=64, blank=True)
    returned_on = models.DateField()
    mature_on = models.DateField(help_text="The first day on which its window has fully run")
    left_on = models.DateField(null=True, help_text="The vehicle was known gone, after hand-over")
    outcome = models.CharField(max_length=16)
    system = models.CharField(max_length=64, blank=True)
    symptom = models.CharField(max_length=64, blank=True)
    is_intermittent = models.BooleanField(null=True)
    difficulty = models.PositiveSmallIntegerField(null=True)
    vehicle_years = models.SmallIntegerField(null=True, help_text="Age of the vehicle at arrival")
    odometer_km = models.IntegerField(null=True)
    chain = models.CharField(max_length=9, blank=True)
    chain_link = models.CharField(max_length=15, blank=True)
    back_days = models.IntegerField(null=True, help_text="By the provisional verdict: S or W in the window")
    low_days = models.IntegerField(null=True, help_text="Reviewed, undetermined left out")
    up_days = models.IntegerField(null=True, help_text="Reviewed, undetermined counted")
    year_days = models.IntegerField(
        null=True, help_text="S or W within 365 days and the distance in proportion"
    )
    computed_at = models.DateTimeField()

    class Meta:
        ordering = ["-returned_on", "-pk"]
        indexes = [
            # Covers what the rate, the curve and the chart by month read, so that they need no row.
            models.Index(
                fields=["returned_on", "mature_on", "back_days", "left_on", "location"], name="watched_by_day"
            ),
            models.Index(fields=["location", "technician", "returned_on"], name="watched_by_technician"),
            models.Index(fields=["system", "symptom", "returned_on"], name="watched_by_symptom"),
            models.Index(fields=["vehicle", "returned_on"], name="watched_by_vehicle"),
        ]
        constraints = [
            models.CheckConstraint(name="watched_chain_known", condition=Q(chain="") | Q(chain__in=PROOFS)),
            models.CheckConstraint(
                name="watched_is_an_index_order",
                condition=Q(outcome__in=["repaired", "no_fault_found", "monitor"]),
            ),
        ]

    def __str__(self):
        return f"{self.order_id}, handed back {self.returned_on}"


class WatchedCheck(models.Model):
    """One thing a watched job was asked for, and what became of it. Computed.

    A required step has its code and phase; another gap has the rule ("R11", "R14", "R17", "R19") and no
    phase, and a row only on jobs where the rule could fire. One row a job, complaint, code and phase.
    """

    class State(models.TextChoices):
        DONE = "done", "done"
        WAIVED = "waived", "left out with a reason"
        SKIPPED = "skipped", "skipped"

    job = models.ForeignKey(WatchedJob, on_delete=models.CASCADE, related_name="checks")
    code = models.CharField(max_length=200)
    phase = models.CharField(max_length=6, blank=True)
    complaint_ref = models.CharField(max_length=64, blank=True)
    state = models.CharField(max_length=7, choices=State)
    system = models.CharField(max_length=64, blank=True, help_text="Of its complaint")
    symptom = models.CharField(max_length=64, blank=True)
    difficulty = models.PositiveSmallIntegerField(null=True)

    class Meta:
        ordering = ["job", "code", "phase"]
        indexes = [models.Index(fields=["code", "phase", "state"], name="watched_check_by_code")]
        constraints = [
            models.CheckConstraint(
                name="watched_check_state_known", condition=Q(state__in=["done", "waived", "skipped"])
            ),
        ]

    def __str__(self):
        return f"{self.code} {self.state}"


class Recount(models.Model):
    """One recomputation of everything the audit counts, and how far it has come."""

    asked_by = models.CharField(max_length=64, blank=True)
    started_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True, blank=True)
    total = models.PositiveIntegerField(default=0)
    done = models.PositiveIntegerField(default=0)
    error = models.TextField(blank=True)

    class Meta:
        ordering = ["-started_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                name="recount_does_no_more_than_all", condition=Q(done__lte=models.F("total"))
            ),
        ]

    def __str__(self):
        return f"{self.done} of {self.total}"


class KeptAudit(models.Model):
    """An answer of the audit that took long to compute, kept until what it counts has changed."""

    key = models.CharField(max_length=64, unique=True)
    asked = models.JSONField(help_text="What was asked: period, day of the count, shop, what counts")
    body = models.JSONField()
    computed_at = models.DateTimeField()
    seconds = models.FloatField()
    is_stale = models.BooleanField(default=False)

    class Meta:
        ordering = ["-computed_at"]

    def __str__(self):
        return self.key
