from django.db import models
from django.db.models import F, Q


class ProtocolAim(models.Model):
    """What a new version of a protocol is to change, and what became of it."""

    class Measure(models.TextChoices):
        STEP_DONE = "step_done", "how often the step is done"
        COMEBACKS = "comebacks", "how many jobs come back"

    class Decision(models.TextChoices):
        KEPT = "kept", "kept"
        WITHDRAWN = "withdrawn", "withdrawn"

    protocol = models.OneToOneField("diagnostics.Protocol", on_delete=models.CASCADE, related_name="aim")
    text = models.TextField("what it should change")
    measure = models.CharField("measured by", max_length=9, choices=Measure)
    step_code = models.CharField("the step", max_length=200, blank=True)
    share_from = models.FloatField("from a share of", null=True, blank=True)
    share_to = models.FloatField("to a share of", null=True, blank=True)
    starts_on = models.DateField("in force from")
    by_on = models.DateField("by when")
    after_bad_spell = models.BooleanField("made after a bad spell", default=False)
    decision = models.CharField(max_length=9, choices=Decision, blank=True)
    decided_on = models.DateField(null=True, blank=True)
    decided_by = models.CharField(max_length=64, blank=True)
    decided_why = models.TextField("why", blank=True)
    stated_by = models.CharField(max_length=64)
    stated_at = models.DateTimeField()

    class Meta:
        ordering = ["-starts_on", "-pk"]
        constraints = [
            models.CheckConstraint(
                name="protocol_aim_ends_after_it_began",
                condition=Q(by_on__gt=F("starts_on")),
                violation_error_message="The day to look at it lies before the start. Choose a later day.",
            ),
            models.CheckConstraint(
                name="protocol_aim_of_a_step_names_it",
                condition=~Q(measure="step_done") | ~Q(step_code=""),
                violation_error_message="Choose the step that should be done more often.",
            ),
            models.CheckConstraint(
                name="protocol_aim_decided_has_name",
                condition=Q(decision="") | (~Q(decided_by="") & Q(decided_on__isnull=False)),
            ),
        ]

    def __str__(self):
        return self.text


class FollowUp(models.Model):
    """A call that was made after a job, and what the customer said. Calls that are due are computed."""

    class Kind(models.TextChoices):
        UNPROVED = "unproved", "repair not yet proved"
        TRIAL_PLAN = "trial_plan", "trials with the customer"
        DECLINED = "declined", "safety item declined"

    class Outcome(models.TextChoices):
        GONE = "gone", "it has not come back"
        STILL_THERE = "still_there", "it came back"
        ELSEWHERE = "elsewhere", "another garage had it"
        DONE = "done", "the declined work was done elsewhere"
        STILL_DECLINED = "still_declined", "still declined, and told again"
        LEFT = "left", "the vehicle is sold or gone"
        NO_ANSWER = "no_answer", "no answer"

    order = models.ForeignKey("shop.RepairOrder", on_delete=models.CASCADE, related_name="follow_ups")
    kind = models.CharField(max_length=10, choices=Kind)
    subject = models.CharField(max_length=64, help_text="The complaint or the declined item, by its id")
    due_on = models.DateField()
    called_on = models.DateField()
    outcome = models.CharField(max_length=14, choices=Outcome)
    said = models.TextField("in their words", blank=True)
    again_on = models.DateField("call again on", null=True, blank=True)
    called_by = models.CharField(max_length=64)
    entered_at = models.DateTimeField()

    class Meta:
        ordering = ["-called_on", "-pk"]
        indexes = [models.Index(fields=["order", "kind", "subject"], name="follow_up_by_subject")]
        constraints = [
            models.CheckConstraint(
                name="follow_up_again_is_later",
                condition=Q(again_on__isnull=True) | Q(again_on__gt=F("called_on")),
                violation_error_message="Call again on a later day than this call.",
            ),
            models.CheckConstraint(
                name="follow_up_kind_known", condition=Q(kind__in=["unproved", "trial_plan", "declined"])
            ),
        ]

    def __str__(self):
        return f"{self.get_kind_display()}: {self.get_outcome_display()}"
