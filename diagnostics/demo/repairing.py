"""What the shop does about it: cause, work, and proof. A guess that misses comes back more often."""

from __future__ import annotations

import random
from datetime import date, timedelta

from diagnostics.demo import protocols, wording
from diagnostics.demo.bench import Bench
from diagnostics.demo.days import next_open
from diagnostics.demo.exact import NO_LIMITS, Limits
from diagnostics.demo.faults import Fault, faults_of
from diagnostics.demo.job import Line, part
from diagnostics.demo.looking import do_test
from diagnostics.demo.people import TECHNICIANS

RIGHT_GUESS = 0.4
COMES_BACK_WRONG, COMES_BACK_RIGHT = 0.94, 0.096
BAD_BATCH_COMPONENT, BAD_BATCH_ENDING, BAD_BATCH_FAILS = "coolant thermostat", "1", 0.6
BAD_BATCH_PROGRESS = (0.5, 0.8)
"""One batch of one component fails early more often than others do."""


def repair(bench: Bench) -> tuple[Fault, float]:
    """Name a cause, do the work and prove it; return what was worked on and how likely the car is back."""
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
    if not is_right:
        return taken, COMES_BACK_WRONG * (0.7 if was_tried else 1.0)
    if _is_bad(taken.component, batch, visit.progress):
        return taken, BAD_BATCH_FAILS
    return taken, COMES_BACK_RIGHT * (1.0 if was_tried else 2.0)


def _list_suspects(bench: Bench, taken: Fault, rivals: list[Fault]) -> None:
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


def _assume(bench: Bench, taken: Fault) -> None:
    lot = bench.rng.random()
    words = bench.rng.choice(wording.ASSUMPTIONS)
    if lot < 0.05:
        bench.job.assume(words, taken.component)
    elif lot < 0.08:
        reason = bench.rng.choice(wording.ACCEPTED)
        bench.job.assume(words, taken.component, "accepted", accepted=(reason, bench.job.technician))
    elif lot < 0.12 and bench.passing:
        bench.job.assume(words, taken.component, "confirmed", bench.passing[-1:])


def _go_on_next_day(bench: Bench) -> None:
    day = next_open(bench.day + timedelta(days=1))
    if day <= bench.visit.last:
        bench.day, bench.minute = day, 7 * 60 + 45


def _worker(bench: Bench) -> str:
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


def _work(bench: Bench, taken: Fault, cause: str, batch: str, worker: str) -> str:
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


def _prove(bench: Bench) -> bool:
    """Read again and try again; return whether the complaint was tried at all."""
    for made in bench.failing_tests():
        if bench.cares(0.7, 0.9):
            _read_again(bench, made)
    done = {(test["code"], test["phase"]) for test in bench.job.line().get("tests", [])}
    for step in bench.job.required():
        if step["phase"] == "after" and (step["code"], "after") not in done and bench.cares(0.66, 0.88):
            do_test(bench, protocols.test_kind(step["code"]), fails=False, phase="after")
    if not bench.cares(0.66, 0.9):
        return False
    tries = bench.rng.choice((1, 2, 3, 3, 4, 5, 6, 8))
    recurrences = 1 if bench.likely(0.012) else 0
    bench.job.trial(
        bench.now(), tries, recurrences, matching=bench.likely(0.93), connected=bench.likely(0.06)
    )
    return True


def _read_again(bench: Bench, made: Line) -> None:
    kind = protocols.test_kind(made["code"])
    limits = Limits(made.get("lo"), made.get("hi")) if made["kind"] == "numeric" else None
    if limits == NO_LIMITS:
        limits = None
    do_test(bench, kind, fails=bench.likely(0.01), phase="after", limits=limits)


def _batch(component: str, day: date, rng: random.Random) -> str:
    """Return the supplier's batch: two in use at any time for each component."""
    half_year = day.year % 100 * 2 + (day.month > 6)
    offset = sum(map(ord, component)) % 7
    return f"{half_year // 2}{10 + (half_year + offset + rng.randrange(2)) % 4}"


def _is_bad(component: str, batch: str, progress: float) -> bool:
    earliest, latest = BAD_BATCH_PROGRESS
    at_that_time = earliest <= progress <= latest
    return component == BAD_BATCH_COMPONENT and batch.endswith(BAD_BATCH_ENDING) and at_that_time
