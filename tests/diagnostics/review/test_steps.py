"""The skipped-test analysis against practice.md section 8, whose intervals are computed, and scipy."""

from dataclasses import replace
from datetime import date

import pytest
from scipy.stats import binomtest

from diagnostics.review.steps import StepOnce, compare, count_steps, step_state
from diagnostics.snapshot import (
    Assumption,
    Complaint,
    Explanation,
    Location,
    Order,
    RequiredStep,
    Vehicle,
    Waiver,
)
from diagnostics.snapshot import Test as Reading
from diagnostics.statistics.proportions import proportion
from shared.moments import Moment

DAY = Moment(date(2026, 3, 2))


def order(step, **more):
    usual = {
        "id": "1",
        "vehicle": Vehicle("V1"),
        "opened": DAY,
        "returned": DAY,
        "outcome": "repaired",
        "technician": "Isa Renk",
        "complaints": (Complaint("C1", "symptom", "", required=(step,)),),
    }
    return Order(**usual | more)


def times(count, state, code="draw", start=0, phase="before"):
    return [StepOnce(f"{start + n}", "battery", code, phase, state) for n in range(count)]


def test_a_step_without_a_test_or_a_waiver_was_skipped():
    assert step_state(order(RequiredStep("draw"))) == "skipped"


def test_a_waiver_with_reason_and_name_waives():
    assert step_state(order(RequiredStep("draw", waiver=Waiver("no draw", "Isa Renk")))) == "waived"


def test_a_waiver_without_a_reason_does_not_waive():
    assert step_state(order(RequiredStep("draw", waiver=Waiver(" ", "Isa Renk")))) == "skipped"


def test_an_explanation_of_the_step_waives():
    explained = Explanation("R4", "C1:draw", "no draw", "Isa Renk")

    assert step_state(order(RequiredStep("draw"), explanations=(explained,))) == "waived"


def test_a_critical_step_is_waived_by_two_people_only():
    alone = RequiredStep("draw", critical=True, waiver=Waiver("no draw", "Isa Renk"))
    two = replace(alone, waiver=Waiver("no draw", "Isa Renk", "Maud Tarrant"))

    assert step_state(order(alone)) == "skipped"
    assert step_state(order(two)) == "waived"
    assert step_state(order(alone, location=Location("L", single_person=True))) == "waived"


def test_a_waiver_that_leans_on_an_open_assumption_does_not_waive():
    step = RequiredStep("draw", waiver=Waiver("nothing added", "Isa Renk", assumption="A1"))
    assumed = Assumption("A1", "Nothing was added.", status="confirmed", evidence=("T1",))
    test = Reading("T1", "look", "before", "attribute", DAY)

    assert step_state(order(step, assumptions=(assumed,))) == "skipped"
    assert step_state(order(step, assumptions=(assumed,), tests=(test,))) == "waived"


def test_a_step_that_was_done_is_done():
    done = Reading("T1", "draw", "before", "numeric", DAY, complaint="C1")

    assert step_state(order(RequiredStep("draw"), tests=(done,))) == "done"


def test_below_thirty_orders_a_side_nothing_is_compared():
    assert compare(proportion(9, 29), proportion(0, 400)) == "too_few"
    assert compare(proportion(9, 400), proportion(0, 29)) == "too_few"
    assert compare(None, proportion(0, 400)) == "too_few"


def test_overlapping_intervals_cannot_tell():
    # 6 of 100 is 2.8 to 12.5 % and 12 of 200 is 3.5 to 10.2 %: practice.md section 8, computed there.
    assert compare(proportion(6, 100), proportion(12, 200)) == "cannot_tell"


def test_intervals_that_lie_apart_are_told_apart_either_way():
    often, seldom = proportion(9, 48), proportion(5, 118)

    assert often.low > seldom.high
    assert compare(often, seldom) == "more"
    assert compare(seldom, often) == "fewer"


@pytest.mark.parametrize(("count", "of"), [(0, 30), (1, 30), (9, 48), (16, 214), (30, 30)])
def test_the_intervals_are_those_of_scipy(count, of):
    # scipy.stats.binomtest, method "wilson": an implementation outside the project.
    outside = binomtest(count, of).proportion_ci(0.95, "wilson")
    share = proportion(count, of)

    assert (share.low, share.high) == pytest.approx((outside.low, outside.high), abs=1e-12)


def test_a_step_is_counted_by_what_became_of_it():
    steps = [*times(3, "done"), *times(2, "skipped", start=10), *times(1, "waived", start=20)]

    (count,) = count_steps(steps, {"0", "10"})

    assert (count.required, count.done, count.waived, count.skipped) == (6, 3, 1, 2)
    assert (count.done_rate.count, count.done_rate.of) == (1, 3)
    assert (count.skipped_rate.count, count.skipped_rate.of) == (1, 2)


def test_the_phases_of_one_test_are_two_steps():
    counts = count_steps([*times(1, "done"), *times(1, "skipped", phase="after")], set())

    assert [(count.phase, count.skipped) for count in counts] == [("after", 1), ("before", 0)]


def test_an_order_that_skipped_and_did_a_step_is_counted_once_as_skipped():
    (count,) = count_steps([*times(1, "done"), *times(1, "skipped")], {"0"})

    assert count.done_rate is None
    assert (count.skipped_rate.count, count.skipped_rate.of) == (1, 1)


def test_the_step_most_often_skipped_comes_first():
    steps = [*times(1, "skipped", "a"), *times(2, "skipped", "b"), *times(5, "done", "c")]

    assert [count.code for count in count_steps(steps, set())] == ["b", "a", "c"]


def test_no_words_call_an_association_a_cause():
    (count,) = count_steps(
        [*times(40, "skipped"), *times(40, "done", start=100)], {str(n) for n in range(30)}
    )

    assert count.answer == "more"
    assert count.words == "Goes with more comebacks."
    assert "cause" not in count.words
