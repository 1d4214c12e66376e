"""One search for a fault: the problem as it was posed, and the minutes its tests really took."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse

from diagnostics.models.circuit import CircuitMap
from shared.fields import ExactDecimalField
from shop.models.inside import Named

_RUNNING = Q(ended_at__isnull=True, ended_by="", end="")
_ENDED = Q(ended_at__isnull=False) & ~Q(ended_by="") & Q(end__in=["found", "stopped"])


class FaultSearch(Named):
    """The search for the cause of one complaint.

    It holds no reading: it listens to the test runs of the complaint, by code and point, and says what they
    leave. `document` is an isolation problem; `listens` says which reading is which outcome of which test;
    `components` names the component and failure mode that each suspect stands for; `told` holds what the
    technician said along the way: zones that stand open (`open`) and tests that cannot be done (`left_out`).
    """

    class End(models.TextChoices):
        FOUND = "found", "the fault is found"
        STOPPED = "stopped", "stopped without finding it"

    complaint_ref = models.CharField(max_length=64)
    circuit_map = models.ForeignKey(
        CircuitMap, null=True, blank=True, on_delete=models.PROTECT, related_name="searches"
    )
    map_version = models.PositiveIntegerField(null=True, blank=True)
    options = models.JSONField("what was asked for", default=dict, blank=True)
    document = models.JSONField("the problem")
    components = models.JSONField(default=dict, blank=True)
    listens = models.JSONField("which reading is which outcome", default=dict, blank=True)
    priors = models.JSONField("where the chances come from", default=dict, blank=True)
    routes = models.JSONField("routes to compare", default=dict, blank=True)
    left_out = models.JSONField("what was left out, and why", default=list, blank=True)
    told = models.JSONField("what was said along the way", default=dict, blank=True)
    started_by = models.CharField(max_length=64)
    started_at = models.DateTimeField()
    ended_by = models.CharField(max_length=64, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    end = models.CharField("how it ended", max_length=7, choices=End, blank=True)
    end_reason = models.CharField("why it was stopped", max_length=300, blank=True)
    cause_ref = models.CharField("cause that was named", max_length=64, blank=True)

    class Meta(Named.Meta):
        constraints = [
            *Named.Meta.constraints,
            models.UniqueConstraint(
                fields=["order", "complaint_ref"],
                condition=Q(ended_at__isnull=True),
                name="fault_search_one_running",
                violation_error_message="A search for the fault of this complaint is running already.",
            ),
            models.CheckConstraint(name="fault_search_has_complaint", condition=~Q(complaint_ref="")),
            models.CheckConstraint(name="fault_search_end_is_whole", condition=_RUNNING | _ENDED),
            models.CheckConstraint(
                name="fault_search_stopped_has_reason",
                condition=~Q(end="stopped") | ~Q(end_reason=""),
                violation_error_message="Write why the search is stopped.",
            ),
        ]

    def __str__(self):
        return self.document.get("title", self.ref)

    def get_absolute_url(self):
        return reverse("search", args=[self.order_id, self.pk])

    @property
    def is_running(self):
        return self.ended_at is None


class SearchTiming(models.Model):
    """What one test of a search really took; `run_ref` is the id of the reading."""

    search = models.ForeignKey(FaultSearch, on_delete=models.CASCADE, related_name="timings")
    run_ref = models.CharField("reading", max_length=64)
    test = models.CharField("test of the search", max_length=64)
    minutes = ExactDecimalField(
        "minutes hands-on", null=True, blank=True, validators=[MinValueValidator(0), MaxValueValidator(999)]
    )
    access_minutes = ExactDecimalField(
        "minutes to get in", null=True, blank=True, validators=[MinValueValidator(0), MaxValueValidator(999)]
    )
    zones = models.JSONField("what was opened for it", default=list, blank=True)

    class Meta:
        ordering = ["search", "pk"]
        indexes = [models.Index(fields=["test"], name="search_timing_by_test")]
        constraints = [
            models.UniqueConstraint(fields=["search", "run_ref"], name="search_timing_once"),
            models.CheckConstraint(
                name="search_timing_not_negative",
                condition=(Q(minutes__isnull=True) | Q(minutes__gte=0))
                & (Q(access_minutes__isnull=True) | Q(access_minutes__gte=0)),
            ),
        ]

    def __str__(self):
        return f"{self.test}: {self.minutes} min"
