"""Tells one ordinary visit with a complaint: how far the shop looked, and what it did about it.

The fault is known to the teller, not to the shop: a shop that leaves out the reading that parts
the suspects guesses, and a wrong guess comes back more often.
"""

from __future__ import annotations

import random
import textwrap
from dataclasses import dataclass, field
from datetime import date, timedelta

from diagnostics.catalogue import Symptom, TestKind
from diagnostics.demo import protocols, wording
from diagnostics.demo.days import at, next_open
from diagnostics.demo.exact import NO_LIMITS, Limits
from diagnostics.demo.faults import Fault, faults_of
from diagnostics.demo.job import Job, Line, part
from diagnostics.demo.people import TECHNICIANS, Person
from diagnostics.demo.readings import limits_of, outside, within, written
from diagnostics.demo.tools import tool_for
from diagnostics.demo.vehicles import Vehicle

POUNDS_AN_HOUR = 62
LONGEST_REFERENCE = 64
NOT_FOUND_UP_TO, WATCHED_UP_TO, DECLINED_UP_TO = 0.045, 0.08, 0.115
"""Cumulative shares of how a visit ends without a repair."""
RIGHT_GUESS = 0.4
COMES_BACK_WRONG, COMES_BACK_RIGHT, COMES_BACK_NOT_FOUND = 0.94, 0.088, 0.24
BAD_BATCH_COMPONENT, BAD_BATCH_ENDING, BAD_BATCH_FAILS = "coolant thermostat", "1", 0.6
BAD_BATCH_PROGRESS = (0.5, 0.8)
"""One batch of one component fails early more often than others do."""
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
class _Bench:
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


def tell(visit: Visit, rng: random.Random) -> Result:
    """Return the visit as an order line, with what it leaves behind."""
    bench = _open(visit, rng)
    ending = rng.random()
    shows = ending >= WATCHED_UP_TO
    _try_complaint(bench, shows=shows)
    _measure(bench, shows=shows)
    _spend_looking(bench)
    if not shows:
        outcome = "no_fault_found" if ending < NOT_FOUND_UP_TO else "monitor"
        if outcome == "monitor":
            bench.job.plan(3, wording.conditions(visit.day, rng))
        return _leave(bench, outcome, comes_back=bench.likely(COMES_BACK_NOT_FOUND))
    if ending < DECLINED_UP_TO and bench.failing:
        _decline(bench)
        return _leave(bench, "declined_all", comes_back=False)
    return _repair(bench)


def _open(visit: Visit, rng: random.Random) -> _Bench:
    minute = rng.randrange(7 * 60 + 35, 10 * 60)
    job = Job(
        visit.vehicle,
        visit.customer,
        opened=at(visit.day, f"{minute // 60:02d}:{minute % 60:02d}"),
        odo_in=visit.odometer,
        technician=rng.choice(TECHNICIANS),
        since_repair=bool(visit.again) and rng.random() < 0.8,
    )
    says = {"same": wording.said_again, "since": wording.said_since_repair}.get(visit.again, wording.said)
    job.complaint(
        says(visit.symptom, rng),
        system=visit.symptom.system,
        symptom=visit.symptom.code,
        pattern=visit.symptom.pattern or rng.choice(("constant", "intermittent")),
        difficulty=rng.choice((1, 1, 2, 2, 2, 3)),
    )
    job.authorise(rng.choice((30, 45, 60, 60)), job.opened)
    return _Bench(visit, rng, job, visit.day, minute)


# Seen and measured


def _try_complaint(bench: _Bench, *, shows: bool) -> None:
    if not bench.cares(0.66, 0.88):
        return
    rng = bench.rng
    words = "" if bench.likely(0.05) else wording.conditions(bench.day, rng)
    tries = rng.choice((1, 1, 2, 3, 4))
    shown = sum(rng.random() < 0.8 for _ in range(tries)) if shows else 0
    outcome = "reproduced" if shown else rng.choice(("not_reproduced", "not_reproduced", "partly"))
    bench.job.attempt(bench.now(), outcome, words, n=tries, k=shown, connected=bench.likely(0.1))
    if not shown and bench.likely(0.5):
        bench.job.plan(rng.choice((2, 3, 4, 5)), rng.choice(wording.TRIAL_CONDITIONS))


def _measure(bench: _Bench, *, shows: bool) -> None:
    """Do the required steps, or leave some out; the decisive ones fail where the fault shows."""
    decisive = _decisive_codes(bench.job.required())
    for step in bench.job.required():
        if step["phase"] != "before":
            continue
        if not (bench.cares(0.8, 0.94) if step["critical"] else bench.cares(0.74, 0.92)):
            if bench.likely(0.2):
                _waive(bench, step)
            continue
        kind = protocols.test_kind(step["code"])
        isolates = step["code"] == decisive[0]
        fails = shows and step["code"] in decisive and (isolates or bench.likely(0.5))
        made = _test(bench, kind, fails=fails, isolates=isolates)
        if kind.kind != "code":
            (bench.failing if fails else bench.passing).append(made)
        bench.is_isolated |= fails and isolates


def _decisive_codes(steps: list[Line]) -> list[str]:
    """Return what shows the fault: the steps taken again after the work, else the critical ones."""
    judging = [step for step in steps if protocols.test_kind(step["code"]).kind != "code"]
    before = [step["code"] for step in judging if step["phase"] == "before"]
    again = {step["code"] for step in judging if step["phase"] == "after"}
    critical = [step["code"] for step in judging if step["critical"] and step["phase"] == "before"]
    return [code for code in before if code in again] or critical or before[-1:]


def _waive(bench: _Bench, step: Line) -> None:
    bench.job.waive(
        step["code"],
        bench.rng.choice(wording.WAIVER_REASONS),
        bench.job.technician,
        approved_by=bench.colleague() if bench.likely(0.6) else None,
    )


def _test(
    bench: _Bench,
    kind: TestKind,
    *,
    fails: bool,
    isolates: bool = False,
    phase: str = "before",
    limits: Limits | None = None,
) -> str:
    """Do one test; `limits` are those of an earlier reading that this one repeats."""
    component = bench.visit.fault.component
    on = bench.now()
    isolated = component if isolates and fails else None
    if kind.kind == "code":
        return bench.job.read_codes(kind.code, wording.stored(bench.rng), on=on, using="code reader 1")
    if kind.kind == "attribute":
        passed = wording.PASSED if phase == "before" else wording.PASSED_AFTER
        words = wording.failed(component, bench.rng) if fails else bench.rng.choice(passed)
        return bench.job.observe(
            kind.code,
            "fail" if fails else "pass",
            None if bench.likely(0.03) else words,
            on=on,
            point=_point(kind),
            phase=phase,
            isolates=isolated,
        )
    judged = limits or limits_of(kind)
    value = outside(judged, bench.rng) if fails else within(judged, bench.rng)
    is_generic = kind.lo is not None or kind.hi is not None
    is_claimed = phase == "before" and not isolated and bench.likely(0.03)
    return bench.job.measure(
        kind.code,
        None if is_claimed else written(value, kind),
        on=on,
        using=None if bench.likely(0.035) else tool_for(kind, bench.rng),
        point=_point(kind),
        phase=phase,
        isolates=isolated,
        limits=judged if is_generic or not bench.likely(0.06) else NO_LIMITS,
    )


def _point(kind: TestKind) -> str:
    """Return the catalogue's point, as far as the exchange form has room for it."""
    return textwrap.shorten(kind.point, LONGEST_REFERENCE, placeholder="")


def _spend_looking(bench: _Bench) -> None:
    bench.job.spend(bench.rng.choice((15, 20, 25, 30, 40, 45, 55)), "diagnosis", bench.now())


def _decline(bench: _Bench) -> None:
    visit = bench.visit
    risk = "safety" if visit.fault.safety else bench.rng.choice(("progressive", "progressive", "comfort"))
    follow_up = next_open(visit.day + timedelta(days=28)).isoformat()
    bench.job.decline(
        visit.fault.component,
        risk,
        system=visit.symptom.system,
        symptom=visit.symptom.code,
        informed_on=visit.day.isoformat() if bench.likely(0.9) else None,
        follow_up_on=follow_up if bench.likely(0.8) else None,
        test=bench.failing[-1],
    )


# Cause, repair and proof


def _repair(bench: _Bench) -> Result:
    visit, job = bench.visit, bench.job
    rivals = [fault for fault in faults_of(visit.symptom) if fault.component != visit.fault.component]
    is_right = bench.is_isolated or not rivals or bench.likely(RIGHT_GUESS)
    taken = visit.fault if is_right else bench.rng.choice(rivals)
    _list_suspects(bench, taken, rivals)
    _assume(bench, taken)
    cited = list(bench.failing) if is_right and bench.likely(0.94) else []
    named = job.cause(taken.component, taken.statement, taken.mode, cited)
    if bench.likely(0.35):
        _go_on_next_day(bench)
    worker = _worker(bench)
    batch = _batch(taken.component, bench.day, bench.rng)
    done = _work(bench, taken, named, batch, worker)
    was_tried = _prove(bench)
    minutes = taken.minutes + bench.rng.randrange(-10, 25, 5)
    job.spend(minutes, "repair", bench.now(), by=worker)
    if taken.safety and bench.cares(0.55, 0.88):
        job.check(done, next(name for name in TECHNICIANS if name != worker), bench.now())
    _besides(bench)
    _charge(bench, taken, minutes)
    if not is_right:
        share = COMES_BACK_WRONG * (0.7 if was_tried else 1.0)
    elif _is_bad(taken.component, batch, visit.progress):
        share = BAD_BATCH_FAILS
    else:
        share = COMES_BACK_RIGHT * (1.0 if was_tried else 2.0)
    return _leave(bench, "repaired", comes_back=bench.likely(share), repaired=taken)


def _list_suspects(bench: _Bench, taken: Fault, rivals: list[Fault]) -> None:
    """Name the rivals, and rule them out with a reading that passed where there is one."""
    if not bench.cares(0.5, 0.8):
        return
    bench.job.suspect(taken.component, "confirmed", bench.failing[-1:])
    for rival in bench.rng.sample(rivals, min(len(rivals), bench.rng.choice((1, 1, 2)))):
        if rival is taken:
            continue
        is_parted = bool(bench.passing) and bench.cares(0.65, 0.9)
        evidence = [bench.rng.choice(bench.passing)] if is_parted else []
        bench.job.suspect(rival.component, "ruled_out" if is_parted else "open", evidence)


def _assume(bench: _Bench, taken: Fault) -> None:
    lot = bench.rng.random()
    words = bench.rng.choice(wording.ASSUMPTIONS)
    if lot < 0.05:
        bench.job.assume(words, taken.component)
    elif lot < 0.08:
        reason = bench.rng.choice(wording.ACCEPTED)
        bench.job.assume(words, taken.component, "accepted", accepted=(reason, bench.job.technician))
    elif lot < 0.12 and bench.passing:
        bench.job.assume(words, taken.component, "confirmed", bench.passing[-1:])


def _go_on_next_day(bench: _Bench) -> None:
    day = next_open(bench.day + timedelta(days=1))
    if day <= bench.visit.last:
        bench.day, bench.minute = day, 7 * 60 + 45


def _worker(bench: _Bench) -> str:
    """Now and then a colleague does the work, and mostly there is a hand-off."""
    if not bench.likely(0.1):
        return bench.job.technician
    colleague = bench.colleague()
    if bench.cares(0.5, 0.9):
        bench.job.hand_off(
            bench.job.technician,
            colleague,
            bench.now(),
            known=f"Complaint seen, cause named: {bench.visit.fault.component}.",
            ruled_out=[],
            suspected=[bench.visit.fault.component],
            next_step="Do the work, then take the failing reading again.",
            acknowledged=bench.likely(0.85),
        )
    return colleague


def _work(bench: _Bench, taken: Fault, cause: str, batch: str, worker: str) -> str:
    rng = bench.rng
    fitted = None
    if taken.kind == "replace":
        words = taken.component[0].upper() + taken.component[1:]
        condition = (
            rng.choice(("new", "new", "new", "new", "rebuilt", "used")) if taken.pounds > 80 else "new"
        )
        fitted = part(words, batch=batch, supplier=rng.choice(wording.SUPPLIERS), condition=condition)
    if bench.likely(0.3):
        bench.job.disturb(rng.choice(wording.DISTURBED))
    is_repeat = bench.visit.earlier_component == taken.component and bench.likely(0.6)
    return bench.job.work(
        taken.kind,
        taken.component,
        reason="cause",
        cause=cause,
        on=bench.now(),
        by=worker,
        part=fitted,
        safety=taken.safety,
        failure_analysis=rng.choice(wording.FAILURE_ANALYSES) if is_repeat else None,
    )


def _prove(bench: _Bench) -> bool:
    """Read again and try again; return whether the complaint was tried at all."""
    for made in _failing_tests(bench):
        if bench.cares(0.7, 0.9):
            _read_again(bench, made)
    done = {(test["code"], test["phase"]) for test in bench.job.line().get("tests", [])}
    for step in bench.job.required():
        if step["phase"] == "after" and (step["code"], "after") not in done and bench.cares(0.66, 0.88):
            _test(bench, protocols.test_kind(step["code"]), fails=False, phase="after")
    if not bench.cares(0.66, 0.9):
        return False
    tries = bench.rng.choice((1, 2, 3, 3, 4, 5, 6, 8))
    recurrences = 1 if bench.likely(0.012) else 0
    bench.job.trial(
        bench.now(), tries, recurrences, matching=bench.likely(0.93), connected=bench.likely(0.06)
    )
    return True


def _failing_tests(bench: _Bench) -> list[Line]:
    return [test for test in bench.job.line().get("tests", []) if test["id"] in bench.failing]


def _read_again(bench: _Bench, made: Line) -> None:
    kind = protocols.test_kind(made["code"])
    limits = Limits(made.get("lo"), made.get("hi")) if made["kind"] == "numeric" else None
    if limits == NO_LIMITS:
        limits = None
    _test(bench, kind, fails=bench.likely(0.01), phase="after", limits=limits)


def _besides(bench: _Bench) -> None:
    """Some ask for a little upkeep at the same time."""
    if not bench.likely(0.12):
        return
    also = bench.job.complaint(bench.rng.choice(wording.BESIDES), kind="maintenance")
    for component in ("engine oil", "oil filter"):
        bench.job.work(
            "replace",
            component,
            reason="maintenance",
            on=bench.now(),
            complaint=also,
            part=part(component[0].upper() + component[1:], supplier=wording.SUPPLIERS[0]),
        )


def _charge(bench: _Bench, taken: Fault, minutes: int) -> None:
    is_free = bench.visit.again == "same" and bench.likely(0.85)
    looked = sum(entry["minutes"] for entry in bench.job.line()["time"] if entry["kind"] == "diagnosis")
    labour = 0.0 if is_free else (looked + minutes) / 60 * POUNDS_AN_HOUR
    parts = 0 if is_free and bench.visit.earlier_component == taken.component else taken.pounds
    bench.job.charge(f"{labour:.2f}", f"{parts:.2f}", unbilled_minutes=looked + minutes if is_free else 0)


def _leave(bench: _Bench, outcome: str, *, comes_back: bool, repaired: Fault | None = None) -> Result:
    if repaired is None:
        looked = sum(entry["minutes"] for entry in bench.job.line()["time"])
        bench.job.charge(f"{looked / 60 * POUNDS_AN_HOUR:.2f}", "0.00")
    _settle_open_readings(bench)
    bench.minute = max(bench.minute, 15 * 60 + 30)
    odometer = bench.visit.odometer
    is_missing = odometer is None or bench.likely(0.005)
    out = None if is_missing or odometer is None else odometer + bench.rng.choice((0, 0, 1, 2, 4, 6))
    line = bench.job.hand_back(bench.now(), out, outcome)
    return Result(line, bench.day, comes_back, repaired)


def _settle_open_readings(bench: _Bench) -> None:
    cited = {test for cause in bench.job.line().get("causes", []) for test in cause["evidence"]}
    for test in _failing_tests(bench):
        if test["id"] not in cited and bench.likely(0.3):
            reason = bench.rng.choice(wording.DISPOSITIONS)
            test["disposition"] = {"reason": reason, "by": bench.job.technician}
        if test["kind"] == "numeric" and bench.likely(0.02):
            test["entered_on"] = bench.day.isoformat()


def _batch(component: str, day: date, rng: random.Random) -> str:
    """Return the supplier's batch: two in use at any time for each component."""
    half_year = day.year % 100 * 2 + (day.month > 6)
    offset = sum(map(ord, component)) % 7
    return f"{half_year // 2}{10 + (half_year + offset + rng.randrange(2)) % 4}"


def _is_bad(component: str, batch: str, progress: float) -> bool:
    earliest, latest = BAD_BATCH_PROGRESS
    at_that_time = earliest <= progress <= latest
    return component == BAD_BATCH_COMPONENT and batch.endswith(BAD_BATCH_ENDING) and at_that_time
