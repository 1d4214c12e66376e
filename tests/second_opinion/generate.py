"""Seeded, dense, invented histories in the exchange form: each rule fires often and stays silent often.

Nothing here knows what a rule answers. Vocabularies are small so that things collide, each order has its own
degree of care, and dates, distances and readings crowd around the edges of the rules. All people and shops
are invented.
"""

import random
from collections.abc import Iterable, Iterator
from datetime import date, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from jsonschema import Draft202012Validator

from tests.second_opinion.chance import Chance
from tests.second_opinion.moments import read
from tests.second_opinion.quantities import KM_PER_MILE
from tests.second_opinion.visit import Past, Visit, plain
from tests.second_opinion.vocabulary import (
    FAMILIES,
    FIRST_DAY,
    GAP_DAYS,
    GAP_KM,
    GAP_MILES,
    INSTRUMENT_DAY,
    INSTRUMENTS,
    LAST_DAY,
    LOCATIONS,
    REPEAT_DAYS,
    REPEAT_KM,
    REPEAT_MILES,
    SHORT_GAP_DAYS,
    SOUND,
    Line,
)


def history(seed: int, vehicles: int) -> list[Line]:
    """Lines of one history: the locations and instruments, then each vehicle with one to five orders."""
    rng = random.Random(seed)
    lines: list[Line] = [dict(line) for line in LOCATIONS]
    lines += [{"record": "instrument", **line} for line in INSTRUMENTS]
    for number in range(1, vehicles + 1):
        lines += Vehicle(rng, f"V{number}").lines()
    return lines


def vehicle_id(order: Line) -> str:
    vehicle = order["vehicle"]
    return vehicle["id"] if isinstance(vehicle, dict) else vehicle


def by_vehicle(lines: Iterable[Line]) -> dict[str, list[Line]]:
    """The orders of each vehicle, in the order of the lines."""
    found: dict[str, list[Line]] = {}
    for line in lines:
        if line["record"] == "order":
            found.setdefault(vehicle_id(line), []).append(line)
    return found


def of_kind(lines: Iterable[Line], kind: str) -> dict[str, Line]:
    return {line["id"]: line for line in lines if line["record"] == kind}


def faults(lines: Iterable[Line], schema: Line) -> Iterator[str]:
    """Every way in which a line breaks the schema of the exchange form."""
    checks = {
        kind: Draft202012Validator({"$ref": f"#/$defs/{kind}", "$defs": schema["$defs"]})
        for kind in ("location", "instrument", "vehicle", "order")
    }
    for line in lines:
        for error in checks[line["record"]].iter_errors(line):
            yield f"{line['record']} {line['id']}: {error.json_path}: {error.message}"


def _settle_opening(orders: list[Line]) -> None:
    """Three orders opened on one day: leave the times of day out, lest "later" run in a circle."""
    zones = {line["id"]: ZoneInfo(line["time_zone"]) for line in LOCATIONS}
    days = [read(order["opened"], zones[order["location"]]).day for order in orders]
    for order, day in zip(orders, days, strict=True):
        if days.count(day) > 2:
            order["opened"] = day.isoformat()


class Vehicle:
    """One vehicle and its visits."""

    def __init__(self, rng: random.Random, key: str) -> None:
        self.chance = Chance(rng)
        self.rng = rng
        self.key = key
        self.family = self.chance.one_of(FAMILIES)
        self.keeps_promises = self.chance.happens(0.15)
        if self.keeps_promises:
            self.family = self.family[:1]
        self.unit = "mi" if self.chance.happens(0.25) else "km"
        self.home = self.chance.one_of(LOCATIONS)
        self.past: list[Past] = []

    def lines(self) -> list[Line]:
        vehicle = {"record": "vehicle", "id": self.key, "make": "Norvane", "model": "Tarn", "year": 2015}
        orders = [self._order(number) for number in range(1, self.chance.one_of((1, 2, 3, 3, 4, 5, 6)) + 1)]
        _settle_opening(orders)
        if self.chance.happens(0.1):
            self.rng.shuffle(orders)
        return [vehicle, *orders]

    def _order(self, number: int) -> Line:
        care = self.chance.one_of((0.3, 0.6, 0.8, 0.92, SOUND, SOUND))
        is_edge_case = not self.keeps_promises and self.chance.happens(0.2)
        opened = self._opening_day(is_edge_case=is_edge_case)
        line: Line = {"record": "order", "id": f"{self.key}-{number}"}
        location = self.chance.one_of(LOCATIONS) if self.chance.happens(0.05) else self.home
        visit = Visit(Chance(self.rng, care), line, location, opened, self.family, self.past)
        visit.keeps_promises = self.keeps_promises
        line["vehicle"] = {"id": self.key} if self.chance.happens(0.2) else self.key
        self._odometer(line, is_edge_case=is_edge_case)
        return visit.fill()

    def _opening_day(self, *, is_edge_case: bool) -> date:
        if not self.past and self.chance.happens(0.12):
            return INSTRUMENT_DAY + timedelta(days=self.chance.one_of((-2, -1, -1, 0, 0, 1)))
        if not self.past:
            return FIRST_DAY + timedelta(days=int(self.rng.random() * (LAST_DAY - FIRST_DAY).days * 0.6))
        last = self.past[-1]
        if is_edge_case:
            return last.work_day + timedelta(days=self.chance.one_of(REPEAT_DAYS))
        gaps = SHORT_GAP_DAYS if self.keeps_promises else GAP_DAYS
        return last.returned + timedelta(days=self.chance.one_of(gaps))

    def _odometer(self, line: Line, *, is_edge_case: bool) -> None:
        """Odometer in the vehicle's own unit, now and then in the other one."""
        if not self.past:
            reading = Decimal(int(40_000 + self.rng.random() * 90_000))
        elif is_edge_case:
            reading = self.past[-1].odometer + self.chance.one_of(
                REPEAT_KM if self.unit == "km" else REPEAT_MILES
            )
        else:
            reading = self.past[-1].odometer + self.chance.one_of(GAP_KM if self.unit == "km" else GAP_MILES)
        unit, factor = self.unit, Decimal(1)
        if self.chance.happens(0.06):
            unit = "mi" if self.unit == "km" else "km"
            factor = KM_PER_MILE if unit == "km" else 1 / KM_PER_MILE
        if unit == "mi" or self.chance.happens(0.2):
            line["odo_unit"] = unit
        out = reading + self.chance.one_of((0, 0, 2, 15))
        for key, value in (("odo_in", reading), ("odo_out", out)):
            if self.chance.happens(0.94):
                line[key] = plain((value * factor).quantize(Decimal("0.1")))
            elif self.chance.happens(0.5):
                line[key] = None
        line["_odometer"] = out
