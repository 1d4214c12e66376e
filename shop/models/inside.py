from django.db import models
from django.db.models import Q


class InsideOrder(models.Model):
    """A record that lives inside one repair order and keeps its place there."""

    order = models.ForeignKey("shop.RepairOrder", on_delete=models.CASCADE, related_name="%(class)s_set")
    position = models.PositiveIntegerField(default=0)

    class Meta:
        abstract = True
        ordering = ["order", "position", "pk"]


class Named(InsideOrder):
    """A record inside an order that others cite by the shop's own id, `ref`.

    A citation is text, not a foreign key: the exchange form lets a cited id name nothing, and
    the evidence rules say what that means. `DEVELOPERS.md` has the decision.
    """

    ref = models.CharField("id", max_length=64)

    class Meta(InsideOrder.Meta):
        abstract = True
        constraints = [
            models.UniqueConstraint(fields=["order", "ref"], name="%(class)s_ref_once"),
            models.CheckConstraint(name="%(class)s_has_ref", condition=~Q(ref="")),
        ]
