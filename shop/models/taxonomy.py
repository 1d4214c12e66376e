from django.db import models
from django.db.models import Q


class System(models.Model):
    """One system of a vehicle, from the catalogue or added by the shop."""

    code = models.CharField(max_length=64, unique=True)
    name = models.CharField(max_length=100)
    nhtsa = models.CharField("NHTSA component", max_length=100, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self):
        return self.name


class Symptom(models.Model):
    """One symptom of one system, as the shop codes it."""

    code = models.CharField(max_length=64, unique=True)
    system = models.ForeignKey(System, on_delete=models.PROTECT, related_name="symptoms")
    name = models.CharField(max_length=100)
    says = models.CharField("how a customer puts it", max_length=300, blank=True)
    pattern = models.CharField(max_length=12, blank=True)

    class Meta:
        ordering = ["system", "name"]
        constraints = [
            models.CheckConstraint(
                name="symptom_pattern_known", condition=Q(pattern__in=["", "constant", "intermittent"])
            ),
        ]

    def __str__(self):
        return self.name
