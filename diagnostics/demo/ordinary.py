"""Three years of ordinary jobs: who comes when, with what, and what comes back.

Everything is drawn from one seeded generator, vehicle by vehicle, so that the same day and seed
give the same history.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta

from diagnostics.catalogue import Symptom
from diagnostics.demo import protocols, service_visit, symptom_visit
from diagnostics.demo.bench import Result, Visit
from diagnostics.demo.days import next_open
from diagnostics.demo.faults import FAULTS, Fault, faults_of
from diagnostics.demo.job import Line, Told
from diagnostics.demo.people import BUSINESSES, Person
from diagnostics.demo.vehicles import Vehicle

DAYS = 3 * 365
SYMPTOM_VISITS_A_YEAR = 0.51
SHARE_SERVICED_HERE = 0.33
QUIET_END_DAYS = 5
"""Nothing ordinary is opened in the last days, so that all of it is handed back by then."""

SYSTEM_SHARES = {
    "cooling": 6, "hvac": 6, "engine_mechanical": 5, "charging": 4, "battery": 6, "starting": 4,
    "fuel": 4, "ignition": 6, "intake_air": 4, "exhaust": 5, "emissions": 5, "lubrication": 4,
    "brakes_hydraulic": 3, "brakes_friction": 9, "steering": 4, "suspension": 8, "tyres_wheels": 7,
    "transmission": 4, "driveline": 4, "body_water": 3, "body_closures": 4, "body_electrical": 5,
    "lighting": 4, "network": 3, "restraint": 2,
}  # fmt: skip
WINTER, SUMMER = (11, 12, 1, 2), (6, 7, 8)
SEASONS = {
    "battery": (WINTER, 2.4),
    "starting": (WINTER, 1.6),
    "lighting": (WINTER, 1.6),
    "body_water": (WINTER, 2.0),
    "tyres_wheels": (WINTER, 1.3),
    "hvac": (SUMMER, 2.6),
    "cooling": (SUMMER, 1.8),
}
QUIET_MONTHS = {1: 0.85, 8: 0.8, 12: 0.8}
SPARKLESS = "ignition"
SAME_UP_TO, SYSTEM_UP_TO = 0.78, 0.9
"""Cumulative shares: a comeback is the same complaint, or the same system, else 'since you had it'."""


@dataclass(slots=True)
class _Life:
    """One vehicle's time with the shop."""

    vehicle: Vehicle
    customer: Person
    joined: date
    last: date
    miles_a_day: float
    miles_at_start: int
    free_from: date

    def odometer(self, day: date) -> int:
        return self.miles_at_start + round((day - self.joined).days * self.miles_a_day)


def tell(
    customers: list[Person], vehicles: list[Vehicle], start: date, last: date, rng: random.Random
) -> Iterator[Told]:
    """Yield the orders of every vehicle in turn; all are handed back by `last`."""
    shares = [3 if person.name in BUSINESSES else 1 for person in customers]
    planned = iter(range(1, 10_000))
    for number, vehicle in enumerate(vehicles):
        owner = customers[number] if number < len(customers) else rng.choices(customers, shares)[0]
        for line in _life(_begin(vehicle, owner, start, last, rng), start, planned, rng):
            yield Told(line)


def _begin(vehicle: Vehicle, owner: Person, start: date, last: date, rng: random.Random) -> _Life:
    """More than half of the vehicles were customers before the record starts; others join later."""
    joined = start if rng.random() < 0.62 else start + timedelta(days=rng.randrange(DAYS - 120))
    a_year = rng.triangular(3_500, 16_000, 8_000) * (1.7 if "van" in vehicle.model else 1)
    age = max(joined.year - vehicle.year, 0) + 0.5
    return _Life(
        vehicle, owner, joined, last, a_year / 365, round(age * a_year * rng.uniform(0.7, 1.1)), joined
    )


def _life(life: _Life, start: date, planned: Iterator[int], rng: random.Random) -> Iterator[Line]:
    """Yield the visits of one vehicle in order of time."""
    latest = life.last - timedelta(days=QUIET_END_DAYS)
    days = sorted(
        [(day, "service") for day in _services(life, latest, rng)]
        + [(day, "symptom") for day in _complaints(life, latest, rng)]
    )
    for day, kind in days:
        if day < life.free_from:
            continue
        if kind == "service":
            yield from _service(life, day, latest, planned, rng)
        else:
            yield from _complaint(life, day, start, latest, rng)


def _services(life: _Life, latest: date, rng: random.Random) -> Iterator[date]:
    if rng.random() > SHARE_SERVICED_HERE:
        return
    day = life.joined + timedelta(days=rng.randrange(365))
    while day <= latest:
        yield next_open(day)
        day += timedelta(days=rng.randrange(325, 420))


def _complaints(life: _Life, latest: date, rng: random.Random) -> Iterator[date]:
    day = life.joined
    while True:
        day += timedelta(days=1 + round(rng.expovariate(SYMPTOM_VISITS_A_YEAR / 365)))
        if day > latest:
            return
        if rng.random() < QUIET_MONTHS.get(day.month, 1.0):
            yield next_open(day)


def _service(
    life: _Life, day: date, latest: date, planned: Iterator[int], rng: random.Random
) -> Iterator[Line]:
    line = service_visit.tell(
        service_visit.Call(life.vehicle, life.customer, day, _read_odometer(life, day, rng)), rng
    )
    life.free_from = day + timedelta(days=1)
    system = line["complaints"][0]["system"]
    due = next_open(day + timedelta(days=rng.randrange(6, 20)))
    agreed = system == "tyres_wheels" and rng.random() < 0.7 and due <= latest
    planned_id = f"agreed-{next(planned):04d}" if agreed else ""
    if agreed:
        line["planned_return"] = [
            {
                "id": planned_id,
                "recorded_on": day.isoformat(),
                "due_on": due.isoformat(),
                "reason": "Wheels were off: try the nuts again after some 50 miles.",
                "system": system,
            }
        ]
    yield line
    if agreed and rng.random() < 0.85:
        odometer = _read_odometer(life, due, rng)
        life.free_from = due + timedelta(days=1)
        yield service_visit.tell(
            service_visit.Call(life.vehicle, life.customer, due, odometer, planned_id, system), rng
        )


def _complaint(life: _Life, day: date, start: date, latest: date, rng: random.Random) -> Iterator[Line]:
    symptom = _symptom(life.vehicle, day, rng)
    visit = Visit(
        life.vehicle,
        life.customer,
        day,
        life.last,
        _read_odometer(life, day, rng),
        symptom,
        rng.choice(faults_of(symptom)),
        progress=(day - start).days / DAYS,
    )
    while True:
        result = symptom_visit.tell(visit, rng)
        life.free_from = result.returned + timedelta(days=1)
        yield _with_outside(result.line, visit, rng)
        later = _comes_back(life, visit, result, latest, rng) if result.comes_back else None
        if later is None:
            return
        visit = replace(later, progress=(later.day - start).days / DAYS)


def _comes_back(
    life: _Life,
    visit: Visit,
    result: Result,
    latest: date,
    rng: random.Random,
) -> Visit | None:
    """Return the next visit for the same trouble, or None where it falls after the record's end."""
    day = next_open(result.returned + timedelta(days=min(2 + round(rng.expovariate(1 / 26)), 150)))
    if day > latest:
        return None
    symptom, fault, again = _told_as(visit, result, rng)
    return replace(
        visit,
        day=day,
        odometer=_read_odometer(life, day, rng),
        symptom=symptom,
        fault=fault,
        again=again,
        earlier_component=result.repaired.component if result.repaired else "",
    )


def _told_as(visit: Visit, result: Result, rng: random.Random) -> tuple[Symptom, Fault, str]:
    """Return what the customer now reports, what is behind it, and how it relates to the last visit."""
    lot = rng.random()
    if lot < SAME_UP_TO:
        return visit.symptom, visit.fault, "same"
    if lot < SYSTEM_UP_TO:
        others = [other for other in protocols.symptoms() if other.system == visit.symptom.system]
        symptom = rng.choice(others)
        return symptom, rng.choice(faults_of(symptom)), "since"
    symptom = _symptom(visit.vehicle, visit.day, rng)
    moved = result.line.get("disturbed")
    if moved:
        words = f"The {moved[0]} was not seated after the last visit."
        return symptom, Fault(moved[0], "not seated", words, 0, 30, "adjust"), "since"
    return symptom, rng.choice(faults_of(symptom)), "since"


def _with_outside(line: Line, visit: Visit, rng: random.Random) -> Line:
    """Some comebacks had damage, or another's hands, in between."""
    if visit.again and rng.random() < 0.07:
        line["outside_events"] = [
            {
                "kind": rng.choice(("damage", "other_work")),
                "on": (visit.day - timedelta(days=1)).isoformat(),
                "system": visit.symptom.system,
                "evidence": rng.choice(("photo 1 of the day it came in", None)),
            }
        ]
    return line


def _symptom(vehicle: Vehicle, day: date, rng: random.Random) -> Symptom:
    """Draw what is wrong, by how common a system's faults are in that season."""
    systems = [system for system in FAULTS if not (system == SPARKLESS and vehicle.burns_diesel)]
    weights = [SYSTEM_SHARES[system] * _season(system, day) for system in systems]
    system = rng.choices(systems, weights)[0]
    return rng.choice([symptom for symptom in protocols.symptoms() if symptom.system == system])


def _season(system: str, day: date) -> float:
    months, factor = SEASONS.get(system, ((), 1.0))
    return factor if day.month in months else 1.0


def _read_odometer(life: _Life, day: date, rng: random.Random) -> int | None:
    """Mostly right; seldom not read at all, and now and then two digits change places."""
    lot = rng.random()
    miles = life.odometer(day)
    if lot < 0.008:
        return None
    if lot < 0.0115:
        return max(miles - rng.choice((900, 9_000)), 100)
    return miles
