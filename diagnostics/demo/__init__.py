"""Quarry Road Garage, the invented shop of the demo, as exchange lines.

Six stories told in full, a handful of open jobs, and around them three years of ordinary ones.
The same day and seed give the same shop; everything lies before the given day.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from diagnostics.demo import garage, open_jobs, ordinary, stories
from diagnostics.demo.days import last_open_before
from diagnostics.demo.garage import Login
from diagnostics.demo.job import Line, Told
from diagnostics.demo.people import customers
from diagnostics.demo.vehicles import Vehicle, fleet

__all__ = ["DEFAULT_SEED", "Shop", "build", "lines", "staff", "story_orders", "waiting"]

DEFAULT_SEED = 20261017
CUSTOMERS = 850
VEHICLES = 1090
HEARD_AFTER_DAYS, SHARE_HEARD_OF = 380, 4
"""Of vehicles not seen for so long, the shop heard of one in so many that it was sold or scrapped."""
ANCHOR, ANCHOR_NUMBER = "battery_draw.return", 4057
"""The open story's order has this number on every day, so that a text may name it."""


@dataclass(frozen=True, slots=True)
class Shop:
    """The whole demo; orders stand in order of opening, numbered in that order."""

    location: Line
    instruments: tuple[Line, ...]
    vehicles: tuple[Line, ...]
    orders: tuple[Line, ...]
    waiting: Mapping[str, tuple[str, str]]
    story_orders: Mapping[str, str]


def build(today: date, seed: int = DEFAULT_SEED) -> Shop:
    """Return the demo shop as it stands on the morning of `today`; takes a second or two."""
    rng = random.Random(seed)
    last = last_open_before(today)
    people = customers(CUSTOMERS, rng)
    cars = fleet(VEHICLES, today.year, rng)
    told = [*stories.tell(last), *open_jobs.tell(last)]
    told += ordinary.tell(people, cars, today - timedelta(days=ordinary.DAYS), last, rng)
    told.sort(key=lambda each: each.line["opened"][:16])
    _number(told)
    return Shop(
        location=garage.location_line(),
        instruments=tuple(garage.instrument_lines(today)),
        vehicles=tuple(
            vehicle.line() for vehicle in (*stories.VEHICLES, *open_jobs.VEHICLES, *_seen(cars, told, today))
        ),
        orders=tuple(each.line for each in told),
        waiting={each.line["id"]: (each.waiting_on, each.note) for each in told if each.waiting_on},
        story_orders={each.name: each.line["id"] for each in told if each.name},
    )


def lines(today: date, seed: int = DEFAULT_SEED) -> Iterator[dict[str, Any]]:
    """Yield the demo shop's exchange lines: location, instruments, vehicles, then orders by opening."""
    shop = build(today, seed)
    yield shop.location
    yield from shop.instruments
    yield from shop.vehicles
    yield from shop.orders


def staff() -> tuple[Login, ...]:
    """Return the demo logins."""
    return garage.STAFF


def waiting(today: date, seed: int = DEFAULT_SEED) -> dict[str, tuple[str, str]]:
    """Return for each open order on whom it waits (advisor, technician, parts, customer) and for what."""
    return dict(build(today, seed).waiting)


def story_orders(today: date, seed: int = DEFAULT_SEED) -> dict[str, str]:
    """Return the order number of each part of each story, by a name such as 'battery_draw.return'."""
    return dict(build(today, seed).story_orders)


def _number(told: list[Told]) -> None:
    anchor = next(place for place, each in enumerate(told) if each.name == ANCHOR)
    for place, each in enumerate(told):
        each.line["id"] = str(ANCHOR_NUMBER + place - anchor)


def _seen(cars: list[Vehicle], told: Iterable[Told], today: date) -> Iterator[Vehicle]:
    """Leave out vehicles that never came; of those long away, the shop heard of some where they went."""
    last_seen = {each.line["vehicle"]: date.fromisoformat(each.line["opened"][:10]) for each in told}
    for car in cars:
        if car.id not in last_seen:
            continue
        heard_on = last_seen[car.id] + timedelta(days=HEARD_AFTER_DAYS)
        is_gone = int(car.id[1:]) % SHARE_HEARD_OF == 0 and heard_on < today
        yield replace(car, left_on=heard_on) if is_gone else car
