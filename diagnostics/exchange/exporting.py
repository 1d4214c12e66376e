"""Hands the site's history out as lines of the exchange form."""

from __future__ import annotations

from collections.abc import Iterator

from django.db.models import QuerySet

from diagnostics.exchange.lines import write_line
from diagnostics.models import Instrument, TestRun
from diagnostics.reading import read_instruments, read_locations, read_orders, read_vehicles
from shop.models import Location, RepairOrder, Vehicle


def export_lines(orders: QuerySet[RepairOrder] | None = None) -> Iterator[str]:
    """Yield locations, instruments, vehicles and orders, one canonical line each, in order of entry.

    Parameters
    ----------
    orders : queryset, optional
        Only these, with the locations, instruments and vehicles they name. Without it, everything.
    """
    chosen = RepairOrder.objects.all() if orders is None else orders
    location_ids, instrument_ids, vehicles = _lists(orders)
    for location in read_locations().values():
        if location_ids is None or location.id in location_ids:
            yield write_line(location)
    for instrument in read_instruments().values():
        if instrument_ids is None or instrument.id in instrument_ids:
            yield write_line(instrument)
    for vehicle in read_vehicles(vehicles.order_by("pk")):
        yield write_line(vehicle)
    for order in read_orders(chosen.order_by("pk")):
        yield write_line(order, vehicle_by_id=True)


def _lists(
    orders: QuerySet[RepairOrder] | None,
) -> tuple[set[str] | None, set[str] | None, QuerySet[Vehicle]]:
    if orders is None:
        return None, None, Vehicle.objects.all()
    pks = list(orders.values_list("pk", flat=True))
    locations = Location.objects.filter(orders__in=pks).values_list("code", flat=True)
    named = TestRun.objects.filter(order__in=pks).values_list("instrument_ref", flat=True)
    instruments = Instrument.objects.filter(code__in=named).values_list("code", flat=True)
    return set(locations), set(instruments), Vehicle.objects.filter(orders__in=pks).distinct()
