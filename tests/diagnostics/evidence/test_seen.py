"""R1, R2, R3 and R21: was the complaint seen before anything was changed?"""

from dataclasses import replace

import pytest

from tests.diagnostics.evidence.build import (
    a_complaint,
    a_plan,
    a_series,
    a_whole_order,
    an_attempt,
    an_order,
    explained,
    findings,
    on,
    some_work,
    states,
    still_open,
)


def with_attempts(*attempts, **given):
    return an_order(complaints=(a_complaint(attempts=attempts, **given),))


# R1


def test_a_symptom_complaint_without_an_attempt_is_not_verified():
    assert states(with_attempts(), "R1") == {"c1": "gap"}


def test_one_attempt_of_any_outcome_verifies():
    assert states(with_attempts(an_attempt("not_reproduced")), "R1") == {}


@pytest.mark.parametrize("kind", ["maintenance", "inspection"])
def test_only_symptom_complaints_need_an_attempt(kind):
    assert states(with_attempts(kind=kind), "R1") == {}


def test_an_attempt_after_hand_over_does_not_verify():
    assert states(with_attempts(an_attempt(on=on(21))), "R1") == {"c1": "gap"}


def test_an_attempt_on_the_day_of_hand_over_verifies():
    assert states(with_attempts(an_attempt(on=on(20, "23:59"))), "R1") == {}


def test_not_verified_is_pending_while_the_order_is_open():
    assert states(still_open(with_attempts()), "R1") == {"c1": "pending"}


def test_not_verified_is_explained_even_while_the_order_is_open():
    assert states(explained(still_open(with_attempts()), "R1", "c1"), "R1") == {"c1": "explained"}


def test_not_verified_says_what_would_close_it():
    (finding,) = findings(with_attempts(), "R1")

    assert finding.text.startswith("No attempt to see “Flat after standing two nights.” is recorded; try it")
    assert finding.complaint == "c1"


# R2


@pytest.mark.parametrize("outcome", ["partly", "not_reproduced"])
def test_a_complaint_never_fully_reproduced_needs_a_plan(outcome):
    assert states(with_attempts(an_attempt(outcome)), "R2") == {"c1": "gap"}


def test_one_reproduced_attempt_is_enough():
    assert states(with_attempts(an_attempt("not_reproduced"), an_attempt("reproduced")), "R2") == {}


def test_a_valid_plan_stands_in_for_reproducing():
    assert states(with_attempts(an_attempt("partly"), plan=a_plan(1)), "R2") == {}


@pytest.mark.parametrize("plan", [a_plan(0), a_plan(3, "  ")])
def test_a_plan_without_trials_or_conditions_is_not_valid(plan):
    assert states(with_attempts(an_attempt("partly"), plan=plan), "R2") == {"c1": "gap"}


def test_without_attempts_never_reproduced_is_silent():
    assert states(with_attempts(), "R2") == {}


def test_a_reproduction_after_hand_over_does_not_count():
    order = with_attempts(an_attempt("partly"), an_attempt("reproduced", on=on(21)))

    assert states(order, "R2") == {"c1": "gap"}


def test_never_reproduced_looks_at_symptoms_only():
    assert states(with_attempts(an_attempt("partly"), kind="inspection"), "R2") == {}


def test_never_reproduced_is_pending_then_explained():
    order = still_open(with_attempts(an_attempt("partly")))

    assert states(order, "R2") == {"c1": "pending"}
    assert states(explained(order, "R2", "c1"), "R2") == {"c1": "explained"}


# R3


def test_an_attempt_with_blank_conditions_is_a_gap_even_while_open():
    order = with_attempts(an_attempt(), an_attempt(conditions="  "))

    assert states(order, "R3") == {"c1": "gap"}
    assert states(still_open(order), "R3") == {"c1": "gap"}


def test_attempts_with_conditions_are_in_order():
    assert states(with_attempts(an_attempt()), "R3") == {}


def test_a_blank_attempt_after_hand_over_counts_for_nothing():
    assert states(with_attempts(an_attempt(), an_attempt(conditions="", on=on(21))), "R3") == {}


def test_missing_conditions_look_at_symptoms_only():
    assert states(with_attempts(an_attempt(conditions=""), kind="maintenance"), "R3") == {}


def test_missing_conditions_can_be_explained():
    order = explained(with_attempts(an_attempt(conditions="")), "R3", "c1")

    assert states(order, "R3") == {"c1": "explained"}


# R21


def test_trials_only_with_equipment_connected_are_a_gap():
    order = a_whole_order(trials=(a_series(equipment_connected=True), a_series(equipment_connected=True)))

    assert states(order, "R21") == {"c1": "gap"}


def test_one_matching_series_without_equipment_is_enough():
    order = a_whole_order(trials=(a_series(equipment_connected=True), a_series()))

    assert states(order, "R21") == {}


@pytest.mark.parametrize("given", [{"conditions_match": False}, {"on": on(9)}, {"on": on(21)}])
def test_a_series_that_does_not_match_does_not_help(given):
    order = a_whole_order(trials=(a_series(equipment_connected=True), a_series(**given)))

    assert states(order, "R21") == {"c1": "gap"}


def test_equipment_in_series_that_do_not_match_is_no_concern():
    order = a_whole_order(trials=(a_series(equipment_connected=True, conditions_match=False),))

    assert states(order, "R21") == {}


def test_not_reproduced_only_with_equipment_connected_is_a_gap():
    order = with_attempts(an_attempt("not_reproduced", equipment_connected=True))

    assert states(order, "R21") == {"c1": "gap"}


@pytest.mark.parametrize("outcome", ["partly", "reproduced"])
def test_a_complaint_seen_with_equipment_connected_is_no_concern(outcome):
    assert states(with_attempts(an_attempt(outcome, equipment_connected=True)), "R21") == {}


def test_one_bare_attempt_is_enough():
    order = with_attempts(
        an_attempt("not_reproduced", equipment_connected=True), an_attempt("not_reproduced")
    )

    assert states(order, "R21") == {}


def test_no_attempts_are_not_attempts_with_equipment():
    assert states(with_attempts(), "R21") == {}


def test_equipment_connected_is_pending_then_explained():
    order = still_open(a_whole_order(trials=(a_series(equipment_connected=True),)))

    assert states(order, "R21") == {"c1": "pending"}
    assert states(explained(order, "R21", "c1"), "R21") == {"c1": "explained"}


def test_equipment_connected_looks_at_symptoms_only():
    order = a_whole_order(trials=(a_series(equipment_connected=True),))
    serviced = replace(order.complaints[0], kind="maintenance")

    assert states(replace(order, complaints=(serviced,)), "R21") == {}


def test_a_trial_on_the_day_of_the_last_work_matches():
    order = a_whole_order(
        work=(some_work(cause="k1", on=on(12, "16:00")),),
        trials=(a_series(on=on(12, "09:00"), equipment_connected=True),),
    )

    assert states(order, "R21") == {"c1": "gap"}
