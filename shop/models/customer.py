from django.db import models
from django.db.models import Q


class Customer(models.Model):
    """Who brings vehicles and reads the findings sheet."""

    code = models.CharField("id", max_length=64, unique=True)
    name = models.CharField(max_length=150, blank=True)
    phone = models.CharField(max_length=64, blank=True)
    email = models.CharField(max_length=254, blank=True)
    address = models.TextField(blank=True)
    reach = models.CharField("how to reach", max_length=200, blank=True, help_text="By text until 18:00")

    class Meta:
        ordering = ["name", "code"]
        indexes = [
            models.Index(fields=["name", "code"], name="customer_by_name"),
            models.Index(fields=["phone"], name="customer_by_phone"),
        ]
        constraints = [models.CheckConstraint(name="customer_has_code", condition=~Q(code=""))]

    def __str__(self):
        return self.name or self.code
