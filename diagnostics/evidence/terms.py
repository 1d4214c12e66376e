"""The terms of practice.md section 4, worked out once for an order and read by every rule."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cmp_to_key
from typing import Protocol, TypeVar

from diagnostics.evidence.policy import POLICY, Policy
from diagnostics.evidence.trials import has_valid_plan
from diagnostics.judging import Outcome, done_by_hand_over, is_blank, outcome, reading_key
from diagnostics.snapshot import (
    Attempt,
    Cause,
    Complaint,
    Event,
    Instrument,
    Order,
    Test,
    TimeEntry,
    TrialSeries,
    Work,
)
from shared.moments import Moment


class Identified(Protocol):
    """A record with the shop's own id."""

    @property
    def id(self) -> str: ...


class Placed(Protocol):
    """A record with a place in time."""

    @property
    def place(self) -> Place: ...


I = TypeVar("I", bound=Identified)  # noqa: E741
P = TypeVar("P", bound=Placed)


def is_later(a: Moment, b: Moment) -> bool:
    """Return whether `a` is later: by date, on one date by time of day where both have one."""
    if a.on != b.on or a.instant is None or b.instant is None:
        return a.on > b.on
    return a.instant > b.instant


@dataclass(frozen=True, slots=True)
class Place:
    """Where a record stands in time: moment, then before (0) ahead of after (1), then order on the record."""

    moment: Moment
    phase: int
    position: int

    def is_later_than(self, other: Place) -> bool:
        """Whether this comes later: by date, by time of day where both have one, by phase, by the record."""
        if is_later(self.moment, other.moment):
            return True
        if is_later(other.moment, self.moment):
            return False
        return (self.phase, self.position) > (other.phase, other.position)


@dataclass(frozen=True, slots=True, eq=False)
class Counted:
    """A test that counts: done, and not on a date after hand-over."""

    test: Test
    outcome: Outcome | None
    place: Place

    @property
    def is_before(self) -> bool:
        """Whether it was recorded in the phase before the corrective work."""
        return self.test.phase == "before"

    @property
    def is_failing_before(self) -> bool:
        """Whether it is a phase-before test with outcome fail (numeric or attribute; a code has none)."""
        return self.outcome == "fail" and self.test.phase == "before"


@dataclass(frozen=True, slots=True, eq=False)
class WorkDone:
    """A work item with its complaint, linked cause and cited tests resolved."""

    work: Work
    complaint: str
    cause: Cause | None
    cited: tuple[Counted, ...]
    failing: tuple[Counted, ...]

    @property
    def is_for_cause(self) -> bool:
        """Whether the reason of the work is the cause."""
        return self.work.reason == "cause"


@dataclass(frozen=True, slots=True, eq=False)
class Series:
    """A trial series that counts, and whether it matches the complaint's own conditions in time and kind."""

    trial: TrialSeries
    place: Place
    is_matching: bool


class Terms:
    """Everything the rules ask of one order, each term computed once.

    Not applicable tests, and attempts, tests, trials and checks done on a date after hand-over, are
    left out here, so that no rule counts them. A citation that names nothing on the order is dropped.
    """

    def __init__(
        self,
        order: Order,
        instruments: Mapping[str, Instrument],
        earlier: Sequence[Order] = (),
        policy: Policy = POLICY,
    ) -> None:
        self.order = order
        self.instruments = instruments
        self.earlier = earlier
        self.policy = policy
        self.complaints = _by_id(order.complaints)
        self.symptoms = tuple(c for c in order.complaints if c.kind == "symptom")
        self.attempts = {
            c.id: tuple(a for a in c.attempts if done_by_hand_over(a.on, order)) for c in order.complaints
        }
        self.tests = _counted_tests(order)
        self.test_by_id: dict[str, Counted] = {}
        self.readings: dict[tuple[str, str], list[Counted]] = defaultdict(list)
        for counted in self.tests:
            self.test_by_id.setdefault(counted.test.id, counted)
            self.readings[reading_key(counted.test)].append(counted)
        self.causes = _by_id(order.causes)
        self.work = tuple(self._resolve(work) for work in order.work)
        self.cause_work: dict[str, list[WorkDone]] = defaultdict(list)
        for done in self.work:
            if done.is_for_cause:
                self.cause_work[done.complaint].append(done)
        self.series: dict[str, list[Series]] = defaultdict(list)
        self._add_series()

    def cited(self, ids: Iterable[str]) -> tuple[Counted, ...]:
        """Return the counted tests that these ids name; an id that names none cites nothing."""
        return tuple(self.test_by_id[i] for i in dict.fromkeys(ids) if i in self.test_by_id)

    def same_readings(self, test: Test, phase: str = "") -> tuple[Counted, ...]:
        """Return the counted tests that are the same reading, of one phase or of both."""
        return tuple(c for c in self.readings[reading_key(test)] if phase in ("", c.test.phase))

    def after_with_outcome(self, test: Test) -> tuple[Counted, ...]:
        """Return the phase-after same readings that have an outcome."""
        return tuple(c for c in self.same_readings(test, "after") if c.outcome is not None)

    def complaints_of(self, *ids: str) -> tuple[str, ...]:
        """Return those of the ids that name a complaint of this order, each once."""
        return tuple(i for i in dict.fromkeys(ids) if i in self.complaints)

    def complaints_of_evidence(self, test: Test) -> tuple[str, ...]:
        """Return the test's complaint, and those whose reason-cause work the same reading stands behind."""
        key = reading_key(test)
        served = [
            d.complaint
            for d in self.work
            if d.is_for_cause and any(reading_key(c.test) == key for c in d.failing)
        ]
        return self.complaints_of(test.complaint, *served)

    def has_cause_work_or_plan(self, complaint: Complaint) -> bool:
        """Whether there is reason-cause work on the complaint, or a valid trial plan."""
        return bool(self.cause_work.get(complaint.id)) or has_valid_plan(complaint.plan)

    def _resolve(self, work: Work) -> WorkDone:
        cause = self.causes.get(work.cause)
        # An own complaint id that names nothing is no complaint of its own, so the cause's stands in.
        complaint = self.complaints_of(work.complaint, cause.complaint if cause else "")
        cited = self.cited((*work.evidence, *(cause.evidence if cause else ())))
        failing = tuple(c for c in cited if c.is_failing_before)
        return WorkDone(work, complaint[0] if complaint else "", cause, cited, failing)

    def _add_series(self) -> None:
        for position, trial in enumerate(self.order.trials):
            if done_by_hand_over(trial.on, self.order):
                last_work = max(
                    (d.work.on.on for d in self.cause_work.get(trial.complaint, ())), default=None
                )
                # "Not dated before" compares dates: a trial earlier on the day of the work still matches.
                in_time = last_work is None or trial.on.on >= last_work
                place = Place(trial.on, 0, position)
                self.series[trial.complaint].append(Series(trial, place, trial.conditions_match and in_time))


def _by_id(records: Iterable[I]) -> dict[str, I]:
    found: dict[str, I] = {}
    for record in records:
        found.setdefault(record.id, record)
    return found


def _counted_tests(order: Order) -> tuple[Counted, ...]:
    return tuple(
        Counted(test, outcome(test), Place(test.on, int(test.phase == "after"), position))
        for position, test in enumerate(order.tests)
        if test.status == "done" and done_by_hand_over(test.on, order)
    )


def latest(placed: Iterable[P]) -> P | None:
    """Return the one later than all before it, or None if there are none.

    Records of one day of which only some have a time of day may run in a circle; the last on the
    record that is later than its forerunner then stands.
    """
    last: P | None = None
    for one in placed:
        if last is None or one.place.is_later_than(last.place):
            last = one
    return last


def first(placed: Iterable[P]) -> P | None:
    """Return the one that no other precedes, or None if there are none."""
    foremost: P | None = None
    for one in placed:
        if foremost is None or foremost.place.is_later_than(one.place):
            foremost = one
    return foremost


def in_time_order(entries: Iterable[TimeEntry]) -> list[TimeEntry]:
    """Return time entries as they followed one another."""
    placed = [(Place(entry.on, 0, position), entry) for position, entry in enumerate(entries)]
    placed.sort(key=cmp_to_key(_by_place))
    return [entry for _, entry in placed]


def _by_place(a: tuple[Place, TimeEntry], b: tuple[Place, TimeEntry]) -> int:
    return 1 if a[0].is_later_than(b[0]) else -1


def minutes_between(first: Event, then: Event) -> float | None:
    """Return the minutes from one event to another, or None where either has no time of day."""
    if first.at.instant is None or then.at.instant is None:
        return None
    return (then.at.instant - first.at.instant).total_seconds() / 60


def best_outcome(attempts: Iterable[Attempt]) -> str:
    """Return reproduced, partly or not_reproduced, the best of the attempts; '' if there are none."""
    seen = {attempt.outcome for attempt in attempts}
    return next((o for o in ("reproduced", "partly", "not_reproduced") if o in seen), "")


def is_signed(reason: str, by: str) -> bool:
    """Return whether reason and name are both given: neither is blank."""
    return not is_blank(reason) and not is_blank(by)
