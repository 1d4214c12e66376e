"""How far the shop looks: the complaint tried, the required steps done or left out."""

from __future__ import annotations

import textwrap

from diagnostics.catalogue import TestKind
from diagnostics.demo import protocols, wording
from diagnostics.demo.bench import Bench
from diagnostics.demo.exact import NO_LIMITS, Limits
from diagnostics.demo.job import Line
from diagnostics.demo.readings import limits_of, outside, within, written
from diagnostics.demo.tools import tool_for

LONGEST_REFERENCE = 64


def try_complaint(bench: Bench, *, shows: bool) -> None:
    """Try to see the complaint, unless nobody takes the time."""
    if not bench.cares(0.66, 0.88):
        return
    rng = bench.rng
    words = "" if bench.likely(0.05) else wording.conditions(bench.visit.symptom.system, bench.day, rng)
    tries = rng.choice((1, 1, 2, 3, 4))
    shown = sum(rng.random() < 0.8 for _ in range(tries)) if shows else 0
    outcome = "reproduced" if shown else rng.choice(("not_reproduced", "not_reproduced", "partly"))
    bench.job.attempt(bench.now(), outcome, words, n=tries, k=shown, connected=bench.likely(0.1))
    if not shown and bench.likely(0.5):
        bench.job.plan(rng.choice((2, 3, 4, 5)), rng.choice(wording.TRIAL_CONDITIONS))


def measure(bench: Bench, *, shows: bool) -> None:
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
        made = do_test(bench, kind, fails=fails, isolates=isolates)
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


def _waive(bench: Bench, step: Line) -> None:
    bench.job.waive(
        step["code"],
        bench.rng.choice(wording.WAIVER_REASONS),
        bench.job.technician,
        approved_by=bench.colleague() if bench.likely(0.6) else None,
    )


def do_test(
    bench: Bench,
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
