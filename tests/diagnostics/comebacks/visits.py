"""The least orders that make a pair: a cooling repair handed back on 1 March, and a visit after it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

from diagnostics.comebacks.pairs import Pair, vehicle_pairs
from diagnostics.snapshot import Complaint, Order, Vehicle
from shared.moments import Moment

HANDED_BACK = date(2025, 3, 1)
VEHICLE = Vehicle("V1", make="Norvane")


def on(day: int) -> Moment:
    """That many days after the hand-over of `first`."""
    return Moment(HANDED_BACK + timedelta(days=day))


def at(day: int, hour: int) -> Moment:
    moment = on(day)
    return Moment(moment.on, datetime(moment.on.year, moment.on.month, moment.on.day, hour, tzinfo=UTC))


def complaint(id: str = "C1", system: str = "cooling", symptom: str = "overheats", **more: Any) -> Complaint:
    return Complaint(
        **{"id": id, "kind": "symptom", "text": "-", "system": system, "symptom": symptom} | more
    )


def first(**more: Any) -> Order:
    usual: dict[str, Any] = {
        "opened": on(-2),
        "returned": on(0),
        "outcome": "repaired",
        "odo_in": Decimal(100_000),
        "odo_out": Decimal(100_000),
        "complaints": (complaint(),),
    }
    return Order(**{"id": "A", "vehicle": VEHICLE} | usual | more)


def later(day: int = 10, **more: Any) -> Order:
    usual: dict[str, Any] = {
        "opened": on(day),
        "odo_in": Decimal(100_500),
        "complaints": (complaint(),),
    }
    return Order(**{"id": "B", "vehicle": VEHICLE} | usual | more)


def closed(order: Order, day: int, **more: Any) -> Order:
    """The same order, handed back on `day` as repaired."""
    return replace(order, **{"returned": on(day), "outcome": "repaired", "odo_out": order.odo_in} | more)


def pair(index: Order, back: Order, **more: Any) -> Pair:
    (only,) = vehicle_pairs([index, back], **more)
    return only


def counted(*orders: Order, **more: Any) -> dict[str, str]:
    """Return order by return order: the index order it counts against."""
    return {p.return_order: p.index_order for p in vehicle_pairs(orders, **more) if p.counts}
