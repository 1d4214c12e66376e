"""Orders for the rules: the least valid record of each kind, and one whole order without a finding."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal

from diagnostics.evidence import Finding, evaluate
from diagnostics.snapshot import (
    Attempt,
    Cause,
    Complaint,
    Explanation,
    Instrument,
    Location,
    Order,
    RequiredStep,
    Test,
    TrialPlan,
    TrialSeries,
    Vehicle,
    Work,
)
from shared.moments import Moment

METER = Instrument("meter 2", "multimeter", cal_due=date(2027, 6, 30), accuracy=Decimal("0.02"))
METERS: Mapping[str, Instrument] = {METER.id: METER}

OPENED, WORKED, RETURNED = 1, 10, 20  # Days of October 2026.


def on(day: int, clock: str = "") -> Moment:
    """A day of October 2026, with a time of day if one is given."""
    if not clock:
        return Moment(date(2026, 10, day))
    hour, minute, *second = (int(part) for part in clock.split(":"))
    return Moment(date(2026, 10, day), datetime(2026, 10, day, hour, minute, *second, tzinfo=UTC))


def an_attempt(outcome: str = "reproduced", **given) -> Attempt:
    return Attempt(**{"on": on(2), "outcome": outcome, "conditions": "two nights locked", **given})


def a_complaint(id: str = "c1", **given) -> Complaint:
    return Complaint(**{"id": id, "kind": "symptom", "text": "Flat after standing two nights.", **given})


def a_test(id: str = "t1", **given) -> Test:
    """A failing phase-before reading, 12.05 V against 12.40 V or more, by a listed meter."""
    least = {
        "code": "rest_voltage",
        "phase": "before",
        "kind": "numeric",
        "on": on(3),
        "complaint": "c1",
        "value": Decimal("12.05"),
        "unit": "V",
        "lo": Decimal("12.40"),
        "instrument": METER.id,
        "by": "Tobin Marl",
    }
    return Test(**{"id": id, **least, **given})


def a_claim_of(id: str, result: str, **given) -> Test:
    """An attribute test with an observation."""
    least = {
        "kind": "attribute",
        "value": None,
        "unit": "",
        "lo": None,
        "result": result,
        "observation": "seen",
    }
    return a_test(id, **{**least, **given})


def a_cause(id: str = "k1", **given) -> Cause:
    return Cause(**{"id": id, "complaint": "c1", "component": "socket_module", "evidence": ("t1",), **given})


def some_work(id: str = "w1", **given) -> Work:
    least = {
        "kind": "replace",
        "component": "socket_module",
        "reason": "cause",
        "on": on(WORKED),
        "complaint": "c1",
    }
    return Work(**{"id": id, **least, **given})


def a_series(n: int = 1, recurrences: int = 0, **given) -> TrialSeries:
    return TrialSeries(**{"complaint": "c1", "on": on(12), "n": n, "recurrences": recurrences, **given})


def a_plan(n: int = 2, conditions: str = "two nights locked") -> TrialPlan:
    return TrialPlan(n, conditions)


def a_step(code: str = "draw_asleep", **given) -> RequiredStep:
    return RequiredStep(code, **given)


def an_order(**given) -> Order:
    """An order that was handed back and has nothing on it."""
    least = {
        "id": "1057",
        "vehicle": Vehicle("v1"),
        "opened": on(OPENED),
        "returned": on(RETURNED),
        "technician": "Tobin Marl",
        "location": Location("quarry"),
    }
    return Order(**{**least, **given})


def a_whole_order(**given) -> Order:
    """One constant complaint, seen, measured, isolated, repaired, read again and tried: no finding."""
    whole = {
        "complaints": (a_complaint(pattern="constant", system="charging", attempts=(an_attempt(n=1, k=1),)),),
        "tests": (
            a_test("t1", isolates="socket_module"),
            a_test("t2", phase="after", on=on(11), value=Decimal("12.66")),
        ),
        "causes": (a_cause(),),
        "work": (some_work(cause="k1"),),
        "trials": (a_series(),),
    }
    return an_order(**{**whole, **given})


def still_open(order: Order) -> Order:
    return replace(order, returned=None)


def explained(order: Order, rule: str, subject: str, **given) -> Order:
    """The order with a signed explanation added."""
    signed = {"reason": "the customer drives on today", "by": "Maud Kerrow", **given}
    return replace(order, explanations=(*order.explanations, Explanation(rule, subject, **signed)))


def findings(order: Order, rule: str, instruments=METERS, earlier=()) -> list[Finding]:
    return [f for f in evaluate(order, instruments=instruments, earlier=earlier) if f.rule == rule]


def states(order: Order, rule: str, instruments=METERS, earlier=()) -> dict[str, str]:
    """What one rule finds: subject to state."""
    return {f.subject: f.state for f in findings(order, rule, instruments, earlier)}
