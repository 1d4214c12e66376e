"""Which records."""

from django.db import models
from django.db.models import Q


class RepairOrderQuerySet(models.QuerySet):
    def open(self):
        return self.filter(returned_on__isnull=True)

    def handed_back(self):
        return self.filter(returned_on__isnull=False)

    def earlier_of_vehicle(self, order):
        """The vehicle's visits that were opened before this one, oldest first."""
        before = Q(opened_on__lt=order.opened_on) | Q(opened_on=order.opened_on, pk__lt=order.pk)
        return self.filter(before, vehicle_id=order.vehicle_id).order_by("opened_on", "pk")

    def with_people(self):
        return self.select_related("vehicle", "customer", "location")
