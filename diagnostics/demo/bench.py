"""What a visit is about, and the bench it is told at: the day, the minute of it, and the tests so far."""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from datetime import date

from diagnostics.catalogue import Symptom
from diagnostics.demo.days import at
from diagnostics.demo.faults import Fault
from diagnostics.demo.job import Job, Line
from diagnostics.demo.people import TECHNICIANS, Person
from diagnostics.demo.vehicles import Vehicle

LAST_MINUTE = 16 * 60 + 50


@dataclass(frozen=True, slots=True)
class Visit:
    """Who comes, when, with what; `again` is how it relates to an earlier visit, empty if it does not.

    `progress` runs from 0 at the start of the record to 1 at its end: the shop learns on the way.
    """

    vehicle: Vehicle
    customer: Person
    day: date
    last: date
    odometer: int | None
    symptom: Symptom
    fault: Fault
    progress: float
    again: str = ""
    earlier_component: str = ""


@dataclass(frozen=True, slots=True)
class Result:
    """The told order, when it left, and whether its fault will bring the vehicle back."""

    line: Line
    returned: date
    comes_back: bool
    repaired: Fault | None


@dataclass(slots=True)
class Bench:
    """What the teller carries through one visit: the day, the minute of it, and the tests so far."""

    visit: Visit
    rng: random.Random
    job: Job
    day: date
    minute: int
    failing: list[str] = field(default_factory=list)
    passing: list[str] = field(default_factory=list)
    is_isolated: bool = False

    def now(self) -> str:
        """Return the next moment of the working day, some minutes after the last one."""
        self.minute = min(self.minute + self.rng.randrange(6, 24), LAST_MINUTE)
        return at(self.day, f"{self.minute // 60:02d}:{self.minute % 60:02d}")

    def likely(self, share: float) -> bool:
        return self.rng.random() < share

    def cares(self, then: float, now: float) -> bool:
        """Whether something is done: likely so at the start and the end, more after a comeback."""
        share = then + (now - then) * self.visit.progress
        return self.likely(share + (1 - share) * 0.6 if self.visit.again else share)

    def colleague(self) -> str:
        return self.rng.choice([name for name in TECHNICIANS if name != self.job.technician])

    def failing_tests(self) -> list[Line]:
        """Return the tests whose readings show the fault."""
        return [test for test in self.job.line().get("tests", []) if test["id"] in self.failing]
