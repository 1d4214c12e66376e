"""Tells one ordinary visit with a complaint: how far the shop looked, and what it did about it.

The fault is known to the teller, not to the shop: a shop that leaves out the reading that parts
the suspects guesses, and a wrong guess comes back more often.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from diagnostics.catalogue import Symptom, TestKind
from diagnostics.demo import protocols, wording
from diagnostics.demo.days import at, next_open
from diagnostics.demo.faults import Fault, faults_of
from diagnostics.demo.job import Job, Line, part
from diagnostics.demo.people import TECHNICIANS, Person
from diagnostics.demo.readings import limits_of, outside, within
from diagnostics.demo.tools import tool_for
from diagnostics.demo.vehicles import Vehicle

LABOUR_POUNDS_AN_HOUR = 62
CAREFUL_DAYS = 3 * 365
SHARE_NOT_FOUND, SHARE_WATCHED, SHARE_DECLINED = 0.06, 0.10, 0.135
RIGHT_GUESS = 0.5
COMES_BACK_WRONG, COMES_BACK_RIGHT, COMES_BACK_NOT_FOUND = 0.8, 0.022, 0.16
BATCH_THAT_FAILS = ("coolant thermostat", "2611", 0.45)
"""One component has one batch that fails early more often than others do."""


@dataclass(frozen=True, slots=True)
class Visit:
    """Who comes, when, with what; `again` is how it relates to an earlier visit, empty if it does not."""

    vehicle: Vehicle
    customer: Person
    day: date
    odometer: int | None
    symptom: Symptom
    fault: Fault
    progress: float
    again: str = ""
    earlier_component: str = ""
    last: date | None = None


@dataclass(frozen=True, slots=True)
class Result:
    """The told order, when it left, and whether its fault will bring the vehicle back."""

    job: Job
    line: Line
    returned: date
    comes_back: bool
    repaired: Fault | None


@dataclass(slots=True)
class _Bench:
    """What the teller carries through one visit."""

    visit: Visit
    rng: random.Random
    job: Job
    clock: date
    failing: list[str]
    passing: list[str]
    decisive_done: bool = False
    minute: int = 0

    def now(self) -> str:
        """Return the next moment of the working day, some minutes after the last one."""
        self.minute = min(self.minute + self.rng.randrange(6, 24), 16 * 60 + 50)
        return at(self.clock, f"{self.minute // 60:02d}:{self.minute % 60:02d}")

    def likely(self, share: float) -> bool:
        return self.rng.random() < share

    def care(self, low: float, high: float) -> bool:
        """Whether something is done: `low` likely three years ago, `high` now, more after a comeback."""
        share = low + (high - low) * self.visit.progress
        return self.likely(share + (1 - share) * 0.6 if self.visit.again else share)


def tell(visit: Visit, rng: random.Random) -> Result:
    """Return the visit as an order line, with what it leaves behind."""
    opened = rng.randrange(7 * 60 + 35, 10 * 60)
    job = Job(
        visit.vehicle,
        visit.customer,
        opened=at(visit.day, f"{opened // 60:02d}:{opened % 60:02d}"),
        odo_in=visit.odometer,
        technician=rng.choice(TECHNICIANS),
        since_repair=visit.again in ("since", "same") and rng.random() < 0.8,
    )
    job.complaint(
        _words(visit, rng),
        system=visit.symptom.system,
        symptom=visit.symptom.code,
        pattern=visit.symptom.pattern or rng.choice(("constant", "intermittent")),
        difficulty=rng.choice((1, 1, 2, 2, 2, 3)),
    )
    bench = _Bench(visit, rng, job, visit.day, [], [], minute=opened)
    job.authorise(rng.choice((30, 45, 60, 60)), job.opened)
    seen = _try_complaint(bench)
    _measure(bench)
    lot = rng.random()
    if lot < SHARE_NOT_FOUND and not bench.failing:
        return _leave(bench, "no_fault_found", comes_back=bench.likely(COMES_BACK_NOT_FOUND))
    if lot < SHARE_WATCHED and not seen:
        job.plan(3, wording.conditions(rng))
        return _leave(bench, "monitor", comes_back=bench.likely(COMES_BACK_NOT_FOUND))
    if SHARE_WATCHED < lot < SHARE_DECLINED and bench.failing:
        _decline(bench)
        return _leave(bench, "declined_all", comes_back=False)
    return _repair(bench)


def _words(visit: Visit, rng: random.Random) -> str:
    if visit.again == "same":
        return wording.said_again(visit.symptom, rng)
    if visit.again == "since":
        return wording.said_since_repair(visit.symptom, rng)
    return wording.said(visit.symptom, rng)


def _try_complaint(bench: _Bench) -> bool:
    """Try to see the complaint; return whether it showed."""
    if not bench.care(0.62, 0.85):
        return False
    rng = bench.rng
    words = "" if bench.likely(0.06) else wording.conditions(rng)
    tries = rng.choice((1, 1, 2, 3, 4))
    shown = sum(rng.random() < 0.75 for _ in range(tries))
    outcome = "reproduced" if shown else rng.choice(("not_reproduced", "not_reproduced", "partly"))
    bench.job.attempt(bench.now(), outcome, words, n=tries, k=shown, connected=bench.likely(0.12))
    if not shown and bench.likely(0.5):
        bench.job.plan(rng.choice((2, 3, 4, 5)), rng.choice(wording.TRIAL_CONDITIONS))
    return bool(shown)


def _measure(bench: _Bench) -> None:
    """Do the required steps, or leave some out; the decisive ones fail where the fault shows."""
    steps = bench.job.required()
    decisive = _decisive_codes(steps)
    isolating = decisive[0]
    for step in steps:
        if step["phase"] != "before":
            continue
        kept = bench.care(0.74, 0.9) if step["critical"] else bench.care(0.64, 0.84)
        if not kept:
            if bench.likely(0.2):
                _waive(bench, step)
            continue
        kind = protocols.test_kind(step["code"])
        fails = step["code"] in decisive and bench.likely(0.94)
        made = _test(bench, kind, fails=fails, isolates=step["code"] == isolating)
        if kind.kind != "code":
            (bench.failing if fails else bench.passing).append(made)
        bench.decisive_done |= fails and step["code"] == isolating


def _decisive_codes(steps: list[Line]) -> list[str]:
    """The readings that will be taken again after the work are those that show the fault."""
    before = [step for step in steps if step["phase"] == "before" and _judges(step)]
    again = {step["code"] for step in steps if step["phase"] == "after"}
    chosen = [step["code"] for step in before if step["code"] in again]
    critical = [step["code"] for step in before if step["critical"]]
    return chosen or critical or [step["code"] for step in before][-1:] or [steps[0]["code"]]


def _judges(step: Line) -> bool:
    return protocols.test_kind(step["code"]).kind != "code"


def _waive(bench: _Bench, step: Line) -> None:
    others = [name for name in TECHNICIANS if name != bench.job.technician]
    bench.job.waive(
        step["code"],
        bench.rng.choice(wording.WAIVER_REASONS),
        bench.job.technician,
        approved_by=bench.rng.choice(others) if bench.likely(0.6) else None,
    )


def _test(
    bench: _Bench, kind: TestKind, *, fails: bool, isolates: bool = False, phase: str = "before", **again: Any
) -> str:
    component = bench.visit.fault.component
    common: dict[str, Any] = {"on": bench.now(), "phase": phase}
    if isolates and fails:
        common["isolates"] = component
    if kind.kind == "code":
        return bench.job.read_codes(
            kind.code, wording.stored(bench.rng), on=common["on"], using="code reader 1"
        )
    if kind.kind == "attribute":
        words = wording.failed(component, bench.rng) if fails else bench.rng.choice(wording.PASSED)
        observation = None if bench.likely(0.05) else words
        return bench.job.observe(
            kind.code, "fail" if fails else "pass", observation, point=kind.point, **common
        )
    limits = again.get("limits") or limits_of(kind, bench.rng)
    listed = {"lo": limits.lo, "hi": limits.hi}
    if kind.lo is None and kind.hi is None and bench.likely(0.1):
        listed = {}
    value = outside(limits, bench.rng) if fails else within(limits, bench.rng)
    return bench.job.measure(
        kind.code,
        None if phase == "before" and bench.likely(0.03) else str(value),
        using=None if bench.likely(0.06) else tool_for(kind, bench.rng),
        point=kind.point,
        **common,
        **listed,
    )


def _decline(bench: _Bench) -> None:
    visit = bench.visit
    risk = "safety" if visit.fault.safety else bench.rng.choice(("progressive", "progressive", "comfort"))
    informed = visit.day.isoformat() if bench.likely(0.88) else None
    dated = bench.likely(0.8)
    bench.job.decline(
        visit.fault.component,
        risk,
        system=visit.symptom.system,
        symptom=visit.symptom.code,
        informed_on=informed,
        follow_up_on=next_open(visit.day + timedelta(days=28)).isoformat() if dated else None,
        test=bench.failing[-1],
    )


def _repair(bench: _Bench) -> Result:
    visit, rng, job = bench.visit, bench.rng, bench.job
    right = bench.decisive_done or bench.likely(RIGHT_GUESS)
    rivals = [fault for fault in faults_of(visit.symptom) if fault.component != visit.fault.component]
    taken = visit.fault if right or not rivals else rng.choice(rivals)
    right = taken is visit.fault
    _list_suspects(bench, taken, rivals)
    cited = list(bench.failing) if right and bench.likely(0.92) else []
    named = job.cause(taken.component, taken.statement, taken.mode, cited)
    if bench.likely(0.35):
        bench.clock = _later(bench, 1)
        bench.minute = 8 * 60
    batch = _batch(taken.component, bench.clock, rng)
    done = _work(bench, taken, named, batch)
    proved = _prove(bench, right)
    minutes = taken.minutes + rng.randrange(-10, 25, 5)
    job.spend(minutes, "repair", bench.now())
    if taken.safety and bench.care(0.55, 0.85):
        others = [name for name in TECHNICIANS if name != job.technician]
        job.check(done, rng.choice(others), bench.now())
    _charge(bench, taken, minutes)
    if not right:
        comes_back = bench.likely(COMES_BACK_WRONG * (0.6 if proved else 1.0))
    elif batch == BATCH_THAT_FAILS[1] and taken.component == BATCH_THAT_FAILS[0]:
        comes_back = bench.likely(BATCH_THAT_FAILS[2])
    else:
        comes_back = bench.likely(COMES_BACK_RIGHT * (1 if proved else 2.5))
    return _leave(bench, "repaired", comes_back=comes_back, repaired=taken)


def _list_suspects(bench: _Bench, taken: Fault, rivals: list[Fault]) -> None:
    """Name the rivals, and rule them out with a reading that passed where there is one."""
    if not bench.care(0.5, 0.8):
        return
    bench.job.suspect(taken.component, "confirmed", bench.failing[-1:])
    for rival in bench.rng.sample(rivals, min(len(rivals), bench.rng.choice((1, 1, 2)))):
        if rival is taken:
            continue
        parted = bool(bench.passing) and bench.care(0.6, 0.88)
        evidence = [bench.rng.choice(bench.passing)] if parted else []
        bench.job.suspect(rival.component, "ruled_out" if parted else "open", evidence)


def _work(bench: _Bench, taken: Fault, cause: str, batch: str) -> str:
    again = bench.visit.earlier_component == taken.component
    fitted = (
        part(_upper(taken.component), batch=batch, supplier=bench.rng.choice(wording.SUPPLIERS))
        if taken.kind == "replace"
        else None
    )
    if bench.likely(0.3):
        bench.job.disturb(bench.rng.choice(wording.DISTURBED))
    return bench.job.work(
        taken.kind,
        taken.component,
        reason="cause",
        cause=cause,
        on=bench.now(),
        part=fitted,
        safety=taken.safety,
        failure_analysis=bench.rng.choice(wording.FAILURE_ANALYSES) if again and bench.likely(0.6) else None,
    )


def _prove(bench: _Bench, right: bool) -> bool:
    """Read again and try again; return whether the complaint was tried at all."""
    for made in _cited_tests(bench):
        if bench.care(0.6, 0.85):
            _read_again(bench, made)
    done = {(test["code"], test["phase"]) for test in bench.job.line().get("tests", [])}
    for step in bench.job.required():
        if step["phase"] == "after" and (step["code"], "after") not in done and bench.care(0.62, 0.85):
            _test(bench, protocols.test_kind(step["code"]), fails=False, phase="after")
    if not bench.care(0.58, 0.85):
        return False
    tries = bench.rng.choice((1, 2, 3, 4, 5, 6))
    bench.job.trial(bench.now(), tries, matching=bench.likely(0.9), connected=bench.likely(0.08))
    return True


def _cited_tests(bench: _Bench) -> list[Line]:
    failing = set(bench.failing)
    return [test for test in bench.job.line().get("tests", []) if test["id"] in failing]


def _read_again(bench: _Bench, made: Line) -> None:
    if made["kind"] == "attribute":
        words = bench.rng.choice(wording.PASSED)
        bench.job.observe(
            made["code"], "pass", words, on=bench.now(), point=made.get("point"), phase="after"
        )
        return
    kind = protocols.test_kind(made["code"])
    _test(bench, kind, fails=False, phase="after", limits=limits_told(made, kind, bench.rng))


def limits_told(made: Line, kind: TestKind, rng: random.Random) -> Any:
    """Return the limits a test was judged by, so that the second reading is judged by the same."""
    from diagnostics.demo.readings import Limits

    limits = Limits(made.get("lo"), made.get("hi"))
    return limits if limits != Limits(None, None) else limits_of(kind, rng)


def _charge(bench: _Bench, taken: Fault, minutes: int) -> None:
    free = bench.visit.again == "same" and bench.likely(0.8)
    looked = bench.rng.choice((20, 30, 40, 45, 60))
    bench.job.spend(looked, "diagnosis", at(bench.visit.day, "10:30"))
    labour = 0.0 if free else (looked + minutes) / 60 * LABOUR_POUNDS_AN_HOUR
    bench.job.charge(
        f"{labour:.2f}", f"{taken.pounds:.2f}", unbilled_minutes=looked + minutes if free else 0
    )


def _leave(
    bench: _Bench, outcome: str, *, comes_back: bool, repaired: Fault | None = None
) -> Result:
    if repaired is None:
        looked = bench.rng.choice((20, 30, 40, 45))
        bench.job.spend(looked, "diagnosis", bench.now())
        bench.job.charge(f"{looked / 60 * LABOUR_POUNDS_AN_HOUR:.2f}", "0.00")
    for test in _uncited(bench):
        if bench.likely(0.3):
            test["disposition"] = {"reason": bench.rng.choice(wording.DISPOSITIONS), "by": bench.job.technician}
    bench.minute = max(bench.minute, 15 * 60 + 30)
    odometer = bench.visit.odometer
    missing = odometer is None or bench.likely(0.006)
    out = None if missing or odometer is None else odometer + bench.rng.choice((0, 1, 3, 5, 8, 12))
    line = bench.job.hand_back(bench.now(), out, outcome)
    return Result(bench.job, line, bench.clock, comes_back, repaired)


def _uncited(bench: _Bench) -> list[Line]:
    cited = {test for cause in bench.job.line().get("causes", []) for test in cause["evidence"]}
    return [test for test in _cited_tests(bench) if test["id"] not in cited]


def _later(bench: _Bench, days: int) -> date:
    day = next_open(bench.clock + timedelta(days=days))
    return bench.clock if bench.visit.last is not None and day > bench.visit.last else day


def _batch(component: str, day: date, rng: random.Random) -> str:
    """Return the supplier's batch: two in use at any time for each component."""
    half_year = day.year % 100 * 2 + (day.month > 6)
    offset = sum(map(ord, component)) % 7
    return f"{half_year // 2}{10 + (half_year + offset + rng.randrange(2)) % 4}"


def _upper(text: str) -> str:
    return text[0].upper() + text[1:]
