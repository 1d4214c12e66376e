from django.db import models
from django.db.models import Q

from shared.fields import MomentPair, day, instant
from shop.models.inside import InsideOrder, Named


class Suspect(models.Model):
    """A component that could be the cause of one complaint."""

    class State(models.TextChoices):
        OPEN = "open", "open"
        RULED_OUT = "ruled_out", "ruled out"
        CONFIRMED = "confirmed", "confirmed"

    complaint = models.ForeignKey("shop.Complaint", on_delete=models.CASCADE, related_name="suspects")
    position = models.PositiveIntegerField(default=0)
    component = models.CharField(max_length=300)
    state = models.CharField(max_length=9, choices=State, default=State.OPEN)
    evidence = models.JSONField("cited tests", default=list, blank=True)

    class Meta:
        ordering = ["complaint", "position", "pk"]
        constraints = [
            models.CheckConstraint(
                name="suspect_state_known", condition=Q(state__in=["open", "ruled_out", "confirmed"])
            ),
        ]

    def __str__(self):
        return self.component


class Cause(Named):
    """One component and failure mode, tied to the tests that prove it."""

    complaint_ref = models.CharField(max_length=64)
    component = models.CharField(max_length=300)
    statement = models.TextField(blank=True)
    mode = models.CharField("failure mode", max_length=300, blank=True)
    evidence = models.JSONField("cited tests", default=list, blank=True)

    def __str__(self):
        return self.component


class Assumption(Named):
    """Anything relied on and not tested."""

    class Status(models.TextChoices):
        OPEN = "open", "open"
        CONFIRMED = "confirmed", "confirmed"
        REFUTED = "refuted", "refuted"
        ACCEPTED = "accepted", "accepted"

    text = models.TextField()
    bears_on = models.CharField(max_length=64, blank=True)
    status = models.CharField(max_length=9, choices=Status, blank=True)
    evidence = models.JSONField("cited tests", default=list, blank=True)
    is_accepted = models.BooleanField("accepted with a name", default=False)
    accepted_reason = models.TextField(blank=True)
    accepted_by = models.CharField(max_length=150, blank=True)

    class Meta(Named.Meta):
        constraints = [
            *Named.Meta.constraints,
            models.CheckConstraint(
                name="assumption_status_known",
                condition=Q(status__in=["", "open", "confirmed", "refuted", "accepted"]),
            ),
        ]

    def __str__(self):
        return self.text


class Event(Named):
    """Something that happened at a moment."""

    class Kind(models.TextChoices):
        INTERVENTION = "intervention", "something was done"
        EQUIPMENT = "equipment", "equipment was connected or taken off"
        SYMPTOM = "symptom", "the symptom changed"

    kind = models.CharField(max_length=12, choices=Kind)
    what = models.TextField()
    happened_on = day()
    happened_at = instant()
    complaint_ref = models.CharField(max_length=64, blank=True)
    change = models.TextField(blank=True)

    happened = MomentPair("happened")

    class Meta(Named.Meta):
        constraints = [
            *Named.Meta.constraints,
            models.CheckConstraint(
                name="event_kind_known", condition=Q(kind__in=["intervention", "equipment", "symptom"])
            ),
        ]

    def __str__(self):
        return self.what


class Claim(Named):
    """The statement that an event fixed or triggered the complaint."""

    class Role(models.TextChoices):
        FIX = "fix", "made it go away"
        TRIGGER = "trigger", "set it off"

    complaint_ref = models.CharField(max_length=64)
    event_ref = models.CharField(max_length=64)
    role = models.CharField(max_length=7, choices=Role)

    class Meta(Named.Meta):
        constraints = [
            *Named.Meta.constraints,
            models.CheckConstraint(name="claim_role_known", condition=Q(role__in=["fix", "trigger"])),
        ]

    def __str__(self):
        return f"{self.event_ref} {self.get_role_display()}"


class Reversal(InsideOrder):
    """The condition put back and taken away again, phase by phase: [{condition, present, n}, ...]."""

    event_ref = models.CharField(max_length=64)
    phases = models.JSONField(default=list)

    def __str__(self):
        return self.event_ref
