"""Tells one ordinary visit with a complaint, from the desk to the key.

The fault is known to the teller, not to the shop: a shop that leaves out the reading that parts
the suspects guesses, and a wrong guess comes back more often.
"""

from __future__ import annotations

import random
from datetime import timedelta

from diagnostics.demo import wording
from diagnostics.demo.bench import Bench, Result, Visit
from diagnostics.demo.days import at, next_open
from diagnostics.demo.faults import Fault
from diagnostics.demo.job import Job, part
from diagnostics.demo.looking import measure, try_complaint
from diagnostics.demo.people import TECHNICIANS
from diagnostics.demo.repairing import repair

POUNDS_AN_HOUR = 62
NOT_FOUND_UP_TO, WATCHED_UP_TO, DECLINED_UP_TO = 0.045, 0.08, 0.115
"""Cumulative shares of how a visit ends without a repair."""
COMES_BACK_NOT_FOUND = 0.24


def tell(visit: Visit, rng: random.Random) -> Result:
    """Return the visit as an order line, with what it leaves behind."""
    bench = _open(visit, rng)
    ending = rng.random()
    shows = ending >= WATCHED_UP_TO
    try_complaint(bench, shows=shows)
    measure(bench, shows=shows)
    _spend_looking(bench)
    if not shows:
        outcome = "no_fault_found" if ending < NOT_FOUND_UP_TO else "monitor"
        if outcome == "monitor":
            bench.job.plan(3, wording.conditions(visit.symptom.system, visit.day, rng))
        return _leave(bench, outcome, comes_back=bench.likely(COMES_BACK_NOT_FOUND))
    if ending < DECLINED_UP_TO and bench.failing:
        _decline(bench)
        return _leave(bench, "declined_all", comes_back=False)
    _coincidence(bench)
    repaired, share = repair(bench)
    _besides(bench)
    _charge(bench, repaired)
    return _leave(bench, "repaired", comes_back=bench.likely(share), repaired=repaired)


def _open(visit: Visit, rng: random.Random) -> Bench:
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
    return Bench(visit, rng, job, visit.day, minute)


def _spend_looking(bench: Bench) -> None:
    bench.job.spend(bench.rng.choice((15, 20, 25, 30, 40, 45, 55)), "diagnosis", bench.now())


def _decline(bench: Bench) -> None:
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


def _coincidence(bench: Bench) -> None:
    """Now and then something is taken for the cure because it came just before the change."""
    if not bench.likely(0.025):
        return
    event = bench.job.event(bench.now(), "intervention", bench.rng.choice(wording.INTERVENTIONS))
    bench.job.event(bench.now(), "symptom", "Complaint not there any more.", change="there to not there")
    bench.job.claim(event, "fix")


def _besides(bench: Bench) -> None:
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


def _charge(bench: Bench, taken: Fault) -> None:
    is_free = bench.visit.again == "same" and bench.likely(0.85)
    minutes = sum(entry["minutes"] for entry in bench.job.line()["time"])
    labour = 0.0 if is_free else minutes / 60 * POUNDS_AN_HOUR
    parts = 0 if is_free and bench.visit.earlier_component == taken.component else taken.pounds
    bench.job.charge(f"{labour:.2f}", f"{parts:.2f}", unbilled_minutes=minutes if is_free else 0)


def _leave(bench: Bench, outcome: str, *, comes_back: bool, repaired: Fault | None = None) -> Result:
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


def _settle_open_readings(bench: Bench) -> None:
    cited = {test for cause in bench.job.line().get("causes", []) for test in cause["evidence"]}
    for test in bench.failing_tests():
        if test["id"] not in cited and bench.likely(0.3):
            reason = bench.rng.choice(wording.DISPOSITIONS)
            test["disposition"] = {"reason": reason, "by": bench.job.technician}
        next_day = next_open(bench.day + timedelta(days=1))
        if next_day <= bench.visit.last and bench.likely(0.02):
            test["entered_on"] = next_day.isoformat()
