"""Tells one visit without a complaint: services, tyres, fluids, and returns that were agreed."""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import date, timedelta

from diagnostics.demo import wording
from diagnostics.demo.days import at, next_open
from diagnostics.demo.job import Job, Line, part
from diagnostics.demo.people import TECHNICIANS, Person
from diagnostics.demo.vehicles import Vehicle

WINTER_CHANGE, SUMMER_CHANGE = (10, 11), (3, 4)
POUNDS_AN_HOUR = 62


@dataclass(frozen=True, slots=True)
class Item:
    """One thing a service renews."""

    component: str
    pounds: int
    minutes: int
    asked: str = ""


OIL = (Item("engine oil", 38, 25), Item("oil filter", 9, 10))
EXTRAS = (
    Item("air filter", 12, 10, "New air filter, please, it has been dusty."),
    Item("cabin filter", 14, 15, "Cabin filter, it smells of dust."),
    Item("fuel filter", 26, 35, "Fuel filter is due by the book."),
    Item("wiper blades", 22, 10, "Wiper blades all round, they smear."),
    Item("brake fluid", 12, 45, "Brake fluid is due by the book."),
    Item("coolant", 21, 50, "Coolant change, it is five years old."),
    Item("spark plugs", 34, 40, "New spark plugs, the book says so."),
)
OBSERVED = (
    ("front brake pads", "safety", "brakes_friction"),
    ("front tyres", "safety", "tyres_wheels"),
    ("rear shock absorbers", "progressive", "suspension"),
    ("auxiliary belt", "progressive", "charging"),
    ("sump gasket", "progressive", "lubrication"),
    ("exhaust hanger, rear", "progressive", "exhaust"),
    ("tailgate strut", "comfort", "body_closures"),
)


@dataclass(frozen=True, slots=True)
class Call:
    """Who comes for what was due; `planned_id` where the visit was agreed before."""

    vehicle: Vehicle
    customer: Person
    day: date
    odometer: int | None
    planned_id: str = ""
    planned_system: str | None = None


def tell(call: Call, rng: random.Random) -> Line:
    """Return the visit as an order line."""
    minute = rng.randrange(7 * 60 + 40, 11 * 60)
    job = Job(
        call.vehicle,
        call.customer,
        opened=at(call.day, f"{minute // 60:02d}:{minute % 60:02d}"),
        odo_in=call.odometer,
        technician=rng.choice(TECHNICIANS),
        visit="maintenance",
    )
    done = at(call.day, f"{rng.randrange(12, 15)}:{rng.randrange(10, 60)}")
    if call.planned_id:
        _agreed_return(job, call, done)
    elif call.day.month in WINTER_CHANGE + SUMMER_CHANGE and rng.random() < 0.4:
        _tyres(job, call, done, rng)
    elif rng.random() < 0.16:
        _one_item(job, call, done, rng)
    else:
        _service(job, call, done, rng)
    left = at(call.day, f"{rng.randrange(15, 17)}:{rng.randrange(10, 55)}")
    out = None if call.odometer is None else call.odometer + rng.choice((0, 1, 2, 4))
    return job.hand_back(left, out, "repaired")


def _agreed_return(job: Job, call: Call, done: str) -> None:
    job.complaint("Come back as agreed, to be looked over.", kind="inspection", system=call.planned_system)
    job.answers_plan(call.planned_id)
    job.work("adjust", "wheel nuts", reason="maintenance", on=done, note="Torque tried, none turned.")
    job.spend(15, "repair", done)
    job.charge("0.00", "0.00", unbilled_minutes=15)


def _tyres(job: Job, call: Call, done: str, rng: random.Random) -> None:
    asked = wording.WINTER_TYRES if call.day.month in WINTER_CHANGE else wording.SUMMER_TYRES
    job.complaint(rng.choice(asked), kind="maintenance", system="tyres_wheels")
    job.work("adjust", "wheels", reason="maintenance", on=done, note="Other set fitted, pressures set.")
    job.spend(45, "repair", done)
    job.charge("46.50", "0.00")


def _one_item(job: Job, call: Call, done: str, rng: random.Random) -> None:
    item = rng.choice(_extras(call.vehicle))
    job.complaint(item.asked, kind="maintenance")
    _renew(job, item, done, rng)
    job.spend(item.minutes, "repair", done)
    job.charge(f"{item.minutes / 60 * POUNDS_AN_HOUR:.2f}", f"{item.pounds:.2f}")


def _service(job: Job, call: Call, done: str, rng: random.Random) -> None:
    job.complaint(rng.choice(wording.MAINTENANCE), kind="maintenance")
    items = [*OIL, *rng.sample(_extras(call.vehicle), rng.choice((0, 1, 1, 2, 3)))]
    for item in items:
        _renew(job, item, done, rng)
    if rng.random() < 0.22:
        _declined(job, call.day, rng)
    minutes = sum(item.minutes for item in items) + 30
    job.spend(minutes, "repair", done)
    job.charge(f"{minutes / 60 * POUNDS_AN_HOUR:.2f}", f"{sum(item.pounds for item in items):.2f}")


def _extras(vehicle: Vehicle) -> list[Item]:
    return [item for item in EXTRAS if not (vehicle.burns_diesel and item.component == "spark plugs")]


def _renew(job: Job, item: Item, done: str, rng: random.Random) -> None:
    job.work(
        "replace",
        item.component,
        reason="maintenance",
        on=done,
        part=part(item.component[0].upper() + item.component[1:], supplier=rng.choice(wording.SUPPLIERS)),
    )


def _declined(job: Job, day: date, rng: random.Random) -> None:
    component, risk, system = rng.choice(OBSERVED)
    job.decline(
        component,
        risk,
        system=system,
        informed_on=day.isoformat() if rng.random() < 0.9 else None,
        follow_up_on=next_open(day + timedelta(days=90)).isoformat() if rng.random() < 0.75 else None,
    )
