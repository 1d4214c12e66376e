from types import SimpleNamespace

import pytest

from diagnostics import snapshot
from diagnostics.comebacks import carried
from diagnostics.snapshot import Assumption, Attempt, RequiredStep, TrialPlan, TrialSeries, Work
from tests.diagnostics.comebacks.visits import complaint, first, on


def finding(rule, subject, state="gap"):
    return SimpleNamespace(rule=rule, subject=subject, state=state)


def reading(id, **more):
    return snapshot.Test(
        **{"id": id, "code": "voltage_drop", "phase": "before", "kind": "numeric", "on": on(-1)} | more
    )


def needing(id, *codes):
    return complaint(id, required=tuple(RequiredStep(code) for code in codes))


def test_skipped_steps_are_listed_once_as_on_the_record():
    index = first(
        complaints=(needing("C1", "draw_test", "drop_test"), needing("C2", "load_test", "draw_test"))
    )
    gaps = [finding("R4", subject) for subject in ("C2:load_test", "C2:draw_test", "C1:draw_test")]

    assert carried(index, gaps).skipped_steps == ("draw_test", "load_test")


@pytest.mark.parametrize("state", ["explained", "pending"])
def test_only_gaps_are_carried(state):
    index = first(
        complaints=(needing("C1", "draw_test"),), work=(Work("W1", "replace", "hose", "cause", on(0)),)
    )

    found = carried(index, [finding("R4", "C1:draw_test", state), finding("R11", "W1", state)])

    assert (found.skipped_steps, found.unsupported_parts) == ((), ())


def test_unsupported_parts_are_the_work_items_of_r11():
    items = tuple(Work(id, "replace", "hose", "cause", on(0)) for id in ("W1", "W2", "W3"))

    found = carried(first(work=items), [finding("R11", "W3"), finding("R11", "W1"), finding("R22", "W2")])

    assert found.unsupported_parts == ("W1", "W3")


@pytest.mark.parametrize("rule", ["R17", "R18"])
def test_a_failing_reading_without_a_passing_one_is_not_reread(rule):
    index = first(tests=(reading("T1"),))

    left, explained = (
        carried(index, [finding(rule, "T1")]),
        carried(index, [finding(rule, "T1", "explained")]),
    )

    assert left.not_reread + left.still_failing == ("T1",)
    assert explained.not_reread + explained.still_failing == ()


@pytest.mark.parametrize(
    ("status", "evidence", "is_open"),
    [
        (None, (), True),
        ("open", ("T1",), True),
        ("confirmed", (), True),
        ("confirmed", ("T9",), True),
        ("confirmed", ("T1",), False),
        ("refuted", ("T1",), False),
        ("refuted", ("T2",), True),
        ("refuted", ("T3",), True),
        ("confirmed", ("T9", "T1"), False),
        ("accepted", (), False),
    ],
)
def test_an_assumption_is_open_until_a_test_on_the_order_settles_it(status, evidence, is_open):
    tests = (reading("T1", kind="code"), reading("T2", status="not_applicable"), reading("T3", on=on(1)))
    index = first(tests=tests, assumptions=(Assumption("S1", "-", status=status, evidence=evidence),))

    assert carried(index, []).open_assumptions == (("S1",) if is_open else ())


def trials(*series, **more):
    (only,) = carried(first(complaints=(complaint(**more),), trials=series), []).trials
    return only.clean, only.needed


def series(n, recurrences=0, day=-1, **more):
    return TrialSeries("C1", on(day), n, recurrences, **more)


def test_clean_trials_are_counted_since_the_last_recurrence():
    assert trials(series(4, day=-3), series(5, 1, day=-2), series(2), series(1)) == (3, 3)


def test_trials_under_other_conditions_or_after_hand_over_are_not_counted():
    assert trials(series(4, conditions_match=False), series(2, day=1), series(1)) == (1, 3)


def test_the_plan_says_how_many_trials_are_needed():
    assert trials(plan=TrialPlan(7, "cold start")) == (0, 7)


# Rate 0.5 needs 5, by the table of practice.md section 8.
def test_the_rate_of_the_complaint_says_how_many_trials_are_needed():
    assert trials(attempts=(Attempt(on(-2), "reproduced", "cold", n=4, k=2),)) == (0, 5)


def test_trials_are_told_in_words():
    (only,) = carried(first(trials=(series(1),)), []).trials

    assert only.words == "1 clean trial of 3 needed"
