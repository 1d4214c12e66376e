"""Which maps fit a vehicle."""

from __future__ import annotations

from django.db.models import Q

from diagnostics.models import CircuitMap
from shop.models import Vehicle


def maps_for(vehicle: Vehicle) -> list[CircuitMap]:
    """Return the maps in use that fit a vehicle; one that names no make fits every vehicle."""
    named = Q(make="") | Q(make=vehicle.make, model__in=["", vehicle.model])
    found = CircuitMap.objects.filter(named, state=CircuitMap.State.CURRENT)
    if vehicle.year:
        found = found.filter(Q(year_from__isnull=True) | Q(year_from__lte=vehicle.year))
        found = found.filter(Q(year_to__isnull=True) | Q(year_to__gte=vehicle.year))
    return list(found)
