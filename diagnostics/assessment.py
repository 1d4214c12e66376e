"""An order with its findings: the one place where records meet the evidence rules."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from diagnostics.evidence import ChainStatus, Finding, examine
from diagnostics.reading import read_instruments, read_orders
from diagnostics.snapshot import Instrument, Order
from shop.models import RepairOrder


@dataclass(frozen=True, slots=True)
class Assessment:
    """One order, what the rules find in it, and the chain of each symptom complaint."""

    order: Order
    findings: tuple[Finding, ...]
    chains: tuple[ChainStatus, ...]

    @property
    def gaps(self) -> tuple[Finding, ...]:
        """What is still missing: gaps, and what will be one at hand-over."""
        return tuple(finding for finding in self.findings if finding.state != "explained")


def assess(order_pk: int) -> Assessment:
    """Return one order with its findings; its vehicle's earlier orders are looked at too."""
    order = RepairOrder.objects.only("vehicle_id", "opened_on").get(pk=order_pk)
    earlier = RepairOrder.objects.earlier_of_vehicle(order)
    with_earlier = RepairOrder.objects.filter(pk__in=[*earlier.values_list("pk", flat=True), order_pk])
    *before, wanted = read_orders(with_earlier.order_by("opened_on", "pk"))
    return assess_snapshot(wanted, instruments=read_instruments(), earlier=before)


def assess_all() -> Iterator[Assessment]:
    """Yield every order with its findings, vehicle by vehicle, oldest first."""
    instruments = read_instruments()
    orders = read_orders(RepairOrder.objects.order_by("vehicle_id", "opened_on", "pk"))
    for _, visits in groupby(orders, key=lambda order: order.vehicle.id):
        before: list[Order] = []
        for order in visits:
            yield assess_snapshot(order, instruments=instruments, earlier=before)
            before.append(order)


def assess_snapshot(
    order: Order, *, instruments: Mapping[str, Instrument], earlier: Sequence[Order] = ()
) -> Assessment:
    """Return an order that was read already, with its findings."""
    return Assessment(order, *examine(order, instruments=instruments, earlier=earlier))
