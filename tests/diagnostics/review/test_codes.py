"""The table of codes against practice.md section 10, and what records speak for."""

import re
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from diagnostics.evidence import evaluate
from diagnostics.review.codes import CODES, ESCAPE_POINTS, GROUPS, codes_by_group, label_of
from diagnostics.review.people import had_a_hand
from diagnostics.review.suggesting import RULES, facts
from diagnostics.review.timeline import Call, timeline
from diagnostics.snapshot import (
    Assumption,
    Cause,
    Complaint,
    Declined,
    Instrument,
    Order,
    Part,
    RequiredStep,
    TrialSeries,
    Vehicle,
    Work,
)
from diagnostics.snapshot import (
    Test as Run,
)
from shared.moments import Moment

PRACTICE = Path("diagnostics/practice.md").read_text()
THEN, NOW = Moment(date(2026, 3, 2)), Moment(date(2026, 3, 20))
METER = {"meter": Instrument("meter", cal_due=date(2027, 1, 1))}


def a_test(id="t1", value="1.21", phase="before", on=THEN, **more):
    usual = {"code": "standing_draw", "kind": "numeric", "value": Decimal(value), "unit": "A"}
    usual |= {"hi": Decimal("0.05"), "limit_unit": "A", "instrument": "meter", "by": "Isa Renk"}
    return Run(id=id, phase=phase, on=on, complaint="c1", **usual | more)


def a_job(id, on, **more):
    complaint = Complaint("c1", "symptom", "It is flat.", "battery", "flat_after_standing")
    usual = {"complaints": (complaint,), "technician": "Corin Hesk", "opened": on, "returned": on}
    return Order(id, Vehicle("v1"), outcome="repaired", **usual | more)


def shown(then, now, **more):
    found = facts(then, evaluate(then, instruments=METER), now, name_of=lambda code: code, **more)
    return {fact.code for fact in found}, found


def test_the_codes_and_escape_points_are_those_of_the_practice_text():
    section = PRACTICE[PRACTICE.index("## 10.") : PRACTICE.index("## 11.")]
    table = section[: section.index("Groups follow")]
    written = re.findall(r"\b([DWPVISCFU]\d)\b", table)

    assert list(CODES) == written
    assert [f"| {letter} | {name}" in table for letter, name in GROUPS.items()] == [True] * 9
    points = re.search(r"Escape points: ([^.]*)\.", section)[1]
    assert list(ESCAPE_POINTS) == [point.strip() for point in points.replace("\n", " ").split(",")]
    assert sum(len(codes) for _, _, codes in codes_by_group()) == len(CODES)
    assert label_of("D1") == "D1, a required test was skipped"
    assert label_of("Z9") == "Z9"


def test_every_rule_speaks_for_a_code_that_there_is():
    assert {speaks.code for speaks in RULES.values()} <= set(CODES)
    assert {speaks.escape for speaks in RULES.values()} <= set(ESCAPE_POINTS)


def test_a_battery_replaced_without_a_test_speaks_for_skipped_unseen_and_stopped_early():
    step = RequiredStep("standing_draw")
    complaint = Complaint("c1", "symptom", "It is flat.", "battery", "flat_after_standing", required=(step,))
    fitted = Work("w1", "replace", "battery", "cause", THEN, "c1", part=Part("Battery", "B1", batch="2631"))
    then = a_job(
        "1042", THEN, complaints=(complaint,), work=(fitted,), assumptions=(Assumption("a1", "It is old."),)
    )
    now = a_job("1057", NOW, causes=(Cause("k1", "c1", "Battery"),))

    codes, found = shown(then, now, batches={"w1": 2})

    assert {"D7", "D1", "D4", "D5", "V3", "P2", "P4", "U1"} == codes
    texts = {fact.key: fact.text for fact in found}
    assert texts["R4:c1:standing_draw"] == "standing_draw: required and not done"
    assert texts["batch:w1"] == "Battery, batch 2631: 2 other jobs with this batch came back too"


@pytest.mark.parametrize(
    ("then", "now", "code"),
    [
        ({}, {}, "S1"),
        ({"tests": (a_test(by="Isa Renk", instrument="old"),)}, {}, "U1 not"),
        ({"tests": (a_test(value="0.03"),)}, {"tests": (a_test(on=NOW),)}, "F1"),
        ({"tests": (a_test(), a_test("t2", "0.03", "after"))}, {"tests": (a_test(on=NOW),)}, "F1 not"),
        ({"disturbed": ("Trim",)}, {"causes": (Cause("k1", "c1", "trim"),)}, "W2"),
        ({"trials": (TrialSeries("c1", THEN, 3, 0, conditions_match=False),)}, {}, "V2"),
        ({"declined": (Declined("d1", "belt", "comfort", "battery", informed_on=THEN.on),)}, {}, "C1"),
        ({"declined": (Declined("d1", "belt", "comfort", "battery"),)}, {}, "I4"),
        ({"declined": (Declined("d1", "belt", "comfort", "brakes"),)}, {}, "C1 not"),
        ({"assumptions": (Assumption("a1", "It is old.", status="refuted"),)}, {}, "D5"),
    ],
)  # fmt: skip
def test_a_record_speaks_for_its_code(then, now, code):
    codes, _ = shown(a_job("1042", THEN, **then), a_job("1057", NOW, **now))

    wanted, _, is_not = code.partition(" ")
    assert (wanted in codes) is not bool(is_not)


def test_no_fact_and_no_day_names_a_person_of_the_jobs():
    tests = (a_test(), a_test("t2", "0.03", "after"))
    then = a_job(
        "1042", THEN, tests=tests, work=(Work("w1", "repair", "feed", "cause", THEN, "c1", by="Tobin"),)
    )
    now = a_job("1057", NOW, tests=(a_test(on=NOW),), causes=(Cause("k1", "c1", "fuse", evidence=("t1",)),))

    _, found = shown(then, now)
    days = timeline(then, now, name_of={}, instruments=METER, calls=[Call(date(2026, 3, 9), "it is gone")])

    said = " ".join(fact.text for fact in found) + " ".join(entry.text for entry in days)
    assert not any(name in said for name in ("Isa", "Corin", "Tobin"))
    assert [(entry.link, entry.level) for entry in days] == [
        ("reported", ""), ("measured", "E4"), ("repair", ""), ("proved", "E4"), ("handed back", ""),
        ("call", ""), ("came back", ""), ("measured", "E4"), ("cause", ""), ("handed back", ""),
    ]  # fmt: skip
    assert [had_a_hand(name, then, now) for name in ("Isa Renk", "Corin Hesk", "Tobin", "Gwen")] == [
        True, True, True, False
    ]  # fmt: skip
