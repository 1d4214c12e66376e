"""Which records."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.db.models import Case, IntegerField, Q, Value, When


class CircuitMapQuerySet(models.QuerySet):
    def in_use(self):
        return self.filter(state="current")

    def for_vehicle(self, vehicle: Any, complaint: Any = None):
        """The maps in use that may be of this vehicle, the one that fits best first.

        What a map leaves open fits every vehicle, and what is not known of a vehicle fits every map; a make,
        model, year or engine that differs does not fit. `fit` counts what is the same: the system of the
        complaint before everything else, then model, make, engine, years.
        """
        alike = [
            _same("model", vehicle.model, 8),
            _same("make", vehicle.make, 4),
            _same("engine", vehicle.engine, 2),
            _years(vehicle.year),
            _same("system", complaint.system if complaint else "", 16),
        ]
        found = self.in_use()
        for name in ("make", "model", "engine"):
            if value := getattr(vehicle, name).strip():
                found = found.filter(Q(**{f"{name}__iexact": value}) | Q(**{name: ""}))
        if vehicle.year:
            found = found.filter(Q(year_from=None) | Q(year_from__lte=vehicle.year))
            found = found.filter(Q(year_to=None) | Q(year_to__gte=vehicle.year))
        return found.annotate(fit=sum(alike[1:], alike[0])).order_by("-fit", "title", "pk")


def _same(name: str, value: str, weight: int) -> Any:
    value = value.strip()
    is_same = When(**{f"{name}__iexact": value}, then=Value(weight)) if value else None
    return Case(*filter(None, [is_same]), default=Value(0), output_field=IntegerField())


def _years(year: int | None) -> Any:
    bounded = Q(year_from__isnull=False) | Q(year_to__isnull=False)
    is_known = When(bounded, then=Value(1)) if year else None
    return Case(*filter(None, [is_known]), default=Value(0), output_field=IntegerField())
