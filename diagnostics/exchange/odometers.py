"""Marks odometer readings that go backwards; they are kept, and a person explains them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal
from itertools import groupby, islice

from diagnostics.snapshot import KM_PER_MILE
from shop.models import OdometerReading

VEHICLES_A_BATCH = 500


def mark_backwards(vehicle_pks: Iterable[int]) -> int:
    """Set `is_backwards` on the readings of these vehicles. Return how many marks changed."""
    remaining = iter(sorted(vehicle_pks))
    changed = 0
    while batch := list(islice(remaining, VEHICLES_A_BATCH)):
        readings = OdometerReading.objects.filter(vehicle_id__in=batch)
        ordered = readings.order_by("vehicle_id", "read_on", "order_id", "pk")
        marked = [
            reading
            for _, of_vehicle in groupby(ordered, key=lambda reading: reading.vehicle_id)
            for reading in _differently_marked(of_vehicle)
        ]
        OdometerReading.objects.bulk_update(marked, ["is_backwards"], batch_size=200)
        changed += len(marked)
    return changed


def _differently_marked(readings: Iterable[OdometerReading]) -> Iterator[OdometerReading]:
    highest = Decimal(0)
    for reading in readings:
        km = reading.value * KM_PER_MILE if reading.unit == "mi" else reading.value
        is_backwards = km < highest
        highest = max(highest, km)
        if is_backwards != reading.is_backwards:
            reading.is_backwards = is_backwards
            yield reading
