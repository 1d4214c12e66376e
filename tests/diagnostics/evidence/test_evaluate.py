"""All rules together: a whole order, the order of findings, and what must not matter."""

import time
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.evidence import RULES, Policy, evaluate
from diagnostics.snapshot import Check, Declined, Suspect
from tests.diagnostics.evidence.build import (
    METERS,
    a_complaint,
    a_series,
    a_step,
    a_test,
    a_whole_order,
    an_attempt,
    an_order,
    on,
    some_work,
    states,
    still_open,
)


def a_bad_order():
    rivals = (Suspect("battery", "open"), Suspect("radio", "ruled_out"))
    return an_order(
        complaints=(
            a_complaint(required=(a_step(), a_step("charge_voltage")), suspects=rivals),
            a_complaint("c2", attempts=(an_attempt("partly", conditions=""),)),
        ),
        tests=(
            a_test("t1", instrument="", on=on(3)),
            a_test("t2", code="draw_asleep", value=None, on=on(4)),
            a_test("t3", code="drop", phase="after", lo=None, on=on(11)),
            a_test("t4", code="draw_asleep", phase="after", on=on(12)),
        ),
        work=(some_work("w1", safety=True), some_work("w2", complaint="c2", component="radio")),
        trials=(a_series(2, on=on(12)), a_series(2, 1, on=on(13)), a_series(5, complaint="c2", on=on(14))),
        checks=(Check("w1", "Tobin Marl", on(10)), Check("w1", "Tobin Marl", on(11))),
        declined=(Declined("d1", "front_discs", "safety"), Declined("d2", "horn", "comfort")),
    )


def verdicts(order):
    return {(f.rule, f.subject, f.state) for f in evaluate(order, instruments=METERS)}


def test_a_whole_order_has_no_finding():
    assert evaluate(a_whole_order(), instruments=METERS) == ()


def test_a_whole_order_has_no_finding_while_it_is_open():
    assert evaluate(still_open(a_whole_order()), instruments=METERS) == ()


def test_an_empty_order_has_no_finding():
    assert evaluate(an_order(), instruments={}) == ()


def test_findings_go_by_rule_number_then_by_the_record():
    found = [(f.rule, f.subject) for f in evaluate(a_bad_order(), instruments=METERS)]

    assert (
        found
        == [
            ("R1", "c1"),
            ("R2", "c2"),
            ("R3", "c2"),
            ("R4", "c1:charge_voltage"),
            ("R5", "t2"),
            ("R6", "t3"),
            ("R7", "t1"),
            ("R9", "t1"),
            ("R11", "w1"),
            ("R11", "w2"),
            ("R12", "w1"),
            ("R12", "w2"),
            ("R13", "battery"),
            ("R13", "radio"),
            ("R18", "t4"),
            ("R20", "c1"),
            ("R22", "w1"),
            ("R23", "d1"),
            ("R23", "d2"),
        ]
        or found[3][1] == "c1:charge_voltage"
    )


def test_every_finding_says_what_is_missing_in_one_sentence():
    for finding in evaluate(a_bad_order(), instruments=METERS):
        assert finding.text[0].isupper() or finding.text[0] == "“"
        assert finding.text.endswith(".")
        assert ";" in finding.text, finding.text
        assert finding.title == RULES[finding.rule].title


def test_live_rules_are_never_pending_and_close_rules_never_gaps_while_open():
    for finding in evaluate(still_open(a_bad_order()), instruments=METERS):
        assert finding.state == ("gap" if RULES[finding.rule].is_live else "pending")


def test_closing_turns_each_pending_finding_into_a_gap():
    pending = {(r, s) for r, s, _ in verdicts(still_open(a_bad_order()))}

    assert pending == {(r, s) for r, s, _ in verdicts(a_bad_order())}
    assert {state for _, _, state in verdicts(a_bad_order())} == {"gap"}


LISTS = ("complaints", "tests", "work", "trials", "checks", "declined")


@given(st.data())
def test_the_order_of_records_of_different_dates_changes_no_finding(data):
    order = a_bad_order()
    shuffled = {name: tuple(data.draw(st.permutations(getattr(order, name)))) for name in LISTS}

    assert verdicts(replace(order, **shuffled)) == verdicts(order)


@given(
    st.decimals("0", "20", places=2),
    st.one_of(st.none(), st.decimals("0", "20", places=2)),
    st.one_of(st.none(), st.decimals("0", "20", places=2)),
)
def test_a_reading_is_the_same_in_another_unit_of_its_kind(value, lo, hi):
    in_volts = a_test(value=value, lo=lo, hi=hi)
    limits_in_mv = replace(in_volts, lo=lo and lo * 1000, hi=hi and hi * 1000, limit_unit="mV")
    order = an_order(complaints=(a_complaint(),), work=(some_work(evidence=("t1",)),))

    assert verdicts(replace(order, tests=(in_volts,))) == verdicts(replace(order, tests=(limits_in_mv,)))


@given(st.integers(21, 31))
def test_what_is_dated_after_hand_over_changes_no_finding(day):
    order = a_bad_order()
    late = replace(
        order,
        complaints=(
            replace(order.complaints[0], attempts=(an_attempt(on=on(day)),)),
            *order.complaints[1:],
        ),
        tests=(*order.tests, a_test("t9", phase="after", on=on(day), value=Decimal("12.66"))),
        trials=(*order.trials, a_series(9, on=on(day))),
        checks=(*order.checks, Check("w1", "Hugo Lant", on(day))),
    )

    assert verdicts(late) == verdicts(order)


def test_the_owners_numbers_replace_the_defaults():
    order = a_whole_order(complaints=(a_complaint(attempts=(an_attempt(),)),), trials=(a_series(3),))

    assert states(order, "R19") == {}
    assert [f.rule for f in evaluate(order, instruments=METERS, policy=Policy(fewest_trials=4))] == ["R19"]


@pytest.mark.slow
def test_ten_thousand_orders_take_seconds():
    order, start = a_bad_order(), time.perf_counter()

    for _ in range(10_000):
        evaluate(order, instruments=METERS)

    assert time.perf_counter() - start < 20
