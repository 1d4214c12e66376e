"""R16 to R20: is the complaint proved gone?"""

from dataclasses import replace
from decimal import Decimal

import pytest

from diagnostics.snapshot import Instrument
from diagnostics.trials.of_order import standing_of
from tests.diagnostics.evidence.build import (
    METER,
    METERS,
    a_cause,
    a_claim_of,
    a_complaint,
    a_plan,
    a_series,
    a_test,
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


def repaired(*tests, **given):
    """Reason-cause work that cites t1."""
    least = {
        "complaints": (a_complaint(),),
        "tests": tests or (a_test(),),
        "work": (some_work(evidence=("t1",)),),
    }
    return an_order(**{**least, **given})


def after(value="12.66", id="t2", **given):
    return a_test(**{"id": id, "phase": "after", "on": on(11), "value": Decimal(value), **given})


# R16 (a)


@pytest.mark.parametrize(
    ("value", "fires"), [("12.38", True), ("12.39", True), ("12.379", False), ("12.05", False)]
)
def test_work_on_a_reading_no_farther_outside_than_its_accuracy_is_marginal(value, fires):
    assert ("w1" in states(repaired(a_test(value=Decimal(value))), "R16")) is fires


@pytest.mark.parametrize(("value", "fires"), [("14.72", True), ("14.73", False)])
def test_the_upper_limit_is_marginal_in_the_same_way(value, fires):
    test = a_test(value=Decimal(value), lo=Decimal("13.5"), hi=Decimal("14.7"))

    assert ("w1" in states(repaired(test), "R16")) is fires


def test_the_distance_is_taken_in_the_readings_unit():
    near = a_test(value=Decimal("12.38"), lo=Decimal(12400), limit_unit="mV")
    far = replace(near, value=Decimal("12.37"))

    assert "w1" in states(repaired(near), "R16")
    assert "w1" not in states(repaired(far), "R16")


@pytest.mark.parametrize("accuracy", [None, Decimal("0.01")])
def test_without_a_known_accuracy_or_beyond_it_nothing_is_marginal(accuracy):
    meters = {METER.id: replace(METER, accuracy=accuracy)}

    assert states(repaired(a_test(value=Decimal("12.38"))), "R16", meters) == {}


@pytest.mark.parametrize("instrument", ["", "meter 9"])
def test_an_instrument_that_is_not_listed_has_no_known_accuracy(instrument):
    assert states(repaired(a_test(value=Decimal("12.38"), instrument=instrument)), "R16") == {}


def test_an_overdue_instrument_still_has_its_known_accuracy():
    meters = {METER.id: replace(METER, cal_due=None)}

    assert "w1" in states(repaired(a_test(value=Decimal("12.38"))), "R16", meters)


@pytest.mark.parametrize(
    "other",
    [
        a_test("t3", value=Decimal("11.90")),
        a_claim_of("t3", "fail"),
        a_test("t3", value=Decimal("12.39"), instrument=""),
    ],
)
def test_one_failing_evidence_that_is_not_marginal_carries_the_work(other):
    order = repaired(a_test(value=Decimal("12.38")), other, work=(some_work(evidence=("t1", "t3")),))

    assert "w1" not in states(order, "R16")


def test_evidence_that_did_not_fail_does_not_carry_the_work():
    passing = a_test("t3", value=Decimal("12.60"))
    order = repaired(a_test(value=Decimal("12.38")), passing, work=(some_work(evidence=("t1", "t3")),))

    assert "w1" in states(order, "R16")


def test_work_without_failing_evidence_or_for_another_reason_is_not_marginal():
    near = a_test(value=Decimal("12.38"))

    assert states(repaired(near, work=(some_work(),)), "R16") == {}
    assert states(repaired(near, work=(some_work(evidence=("t1",), reason="maintenance"),)), "R16") == {}


def test_the_evidence_of_the_linked_cause_can_be_marginal():
    order = repaired(a_test(value=Decimal("12.38")), causes=(a_cause(),), work=(some_work(cause="k1"),))

    assert "w1" in states(order, "R16")


# R16 (b)


@pytest.mark.parametrize(
    ("value", "fires"),
    [("12.40", True), ("12.42", True), ("12.421", False), ("12.66", False), ("12.39", False)],
)
def test_a_proof_no_farther_inside_than_its_accuracy_is_marginal(value, fires):
    assert ("t2" in states(repaired(a_test(), after(value)), "R16")) is fires


def test_the_nearest_of_two_limits_decides():
    test = after("14.69", lo=Decimal("12.40"), hi=Decimal("14.7"))

    assert "t2" in states(repaired(a_test(), test), "R16")


def test_a_failing_reading_that_nobody_cites_makes_its_proof_marginal_too():
    assert states(repaired(a_test(), after("12.41"), work=()), "R16") == {"t2": "gap"}


def test_two_proofs_of_one_reading_are_not_marginal():
    order = repaired(a_test(), after("12.41"), after("12.42", "t3"))

    assert states(order, "R16") == {}


@pytest.mark.parametrize(
    "given", [{"info_only": True}, {"status": "not_applicable"}, {"on": on(21)}, {"lo": None}]
)
def test_a_second_reading_without_outcome_is_no_second_proof(given):
    order = repaired(a_test(), after("12.41"), after("12.66", "t3", **given))

    assert states(order, "R16") == {"t2": "gap"}


def test_a_proof_of_a_reading_that_failed_as_an_observation_is_not_marginal():
    assert states(repaired(a_claim_of("t1", "fail"), after("12.41")), "R16") == {}


def test_a_proof_whose_reading_had_not_failed_before_is_not_marginal():
    assert states(repaired(a_test(value=Decimal("12.60")), after("12.41")), "R16") == {}
    assert states(repaired(a_test(), after("12.41", point="jump posts")), "R16") == {}


def test_two_failing_readings_share_one_marginal_proof():
    order = repaired(a_test(), a_test("t3", on=on(4)), after("12.41"))

    assert len(findings(order, "R16")) == 1


def test_a_marginal_reading_names_the_accuracy_with_its_unit():
    finding = next(f for f in findings(repaired(a_test(), after("12.41")), "R16") if f.subject == "t2")

    assert "rest voltage, 12.41 V (12.40 V or more)" in finding.text
    assert "accuracy of 0.02 V" in finding.text


def test_a_marginal_reading_is_pending_then_explained():
    order = still_open(repaired(a_test(), after("12.41")))

    assert states(order, "R16") == {"t2": "pending"}
    assert states(explained(order, "R16", "t2"), "R16") == {"t2": "explained"}


# R17


def test_a_failing_reading_that_was_not_taken_again_is_a_gap():
    assert states(repaired(), "R17") == {"t1": "gap"}


@pytest.mark.parametrize("value", ["12.66", "12.00"])
def test_a_same_reading_after_the_work_with_any_outcome_takes_it_again(value):
    assert states(repaired(a_test(), after(value)), "R17") == {}


def test_a_same_reading_of_another_complaint_takes_it_again():
    assert states(repaired(a_test(), after(complaint="c2")), "R17") == {}


@pytest.mark.parametrize(
    "given",
    [
        {"phase": "before"},
        {"point": "jump posts"},
        {"code": "charge_voltage"},
        {"info_only": True},
        {"instrument": "", "unit": ""},
        {"status": "not_applicable"},
        {"on": on(21)},
    ],
)
def test_another_reading_or_one_without_outcome_does_not_take_it_again(given):
    assert states(repaired(a_test(), after(**given)), "R17") == {"t1": "gap"}


def test_a_reading_that_cannot_be_repeated_is_not_asked_for():
    assert states(repaired(a_test(repeatable=False)), "R17") == {}


def test_a_failing_observation_must_be_made_again_too():
    assert states(repaired(a_claim_of("t1", "fail")), "R17") == {"t1": "gap"}


@pytest.mark.parametrize("works", [(), (some_work(),), (some_work(evidence=("t1",), reason="maintenance"),)])
def test_only_failing_evidence_of_reason_cause_work_is_asked_for(works):
    assert states(repaired(work=works), "R17") == {}


def test_one_finding_a_reading_on_its_first_test():
    order = repaired(a_test("t1", on=on(4)), a_test("t3", on=on(3)), work=(some_work(evidence=("t1", "t3")),))

    assert states(order, "R17") == {"t3": "gap"}


def test_a_reading_that_serves_two_works_is_one_finding_of_both_complaints():
    order = repaired(
        complaints=(a_complaint(), a_complaint("c2")),
        work=(some_work(evidence=("t1",)), some_work("w2", complaint="c2", evidence=("t1",))),
    )

    (finding,) = findings(order, "R17")

    assert finding.complaints == ("c1", "c2")


def test_a_reading_not_taken_again_is_pending_then_explained():
    order = still_open(repaired())

    assert states(order, "R17") == {"t1": "pending"}
    assert states(explained(order, "R17", "t1"), "R17") == {"t1": "explained"}


# R18


def test_a_last_reading_that_fails_is_a_gap():
    assert states(repaired(a_test(), after("12.00")), "R18") == {"t2": "gap"}


def test_a_later_reading_that_passes_closes_it():
    order = repaired(a_test(), after("12.00"), after("12.66", "t3", on=on(12)))

    assert states(order, "R18") == {}


@pytest.mark.parametrize(
    "given", [{"on": on(10)}, {"info_only": True}, {"point": "jump posts"}, {"on": on(21)}]
)
def test_an_earlier_or_another_reading_does_not_close_it(given):
    order = repaired(a_test(), after("12.00"), after(**{"id": "t3", "on": on(12), **given}))

    assert states(order, "R18") == {"t2": "gap"}


def test_time_of_day_says_which_reading_is_the_last():
    order = repaired(after("12.66", "t2", on=on(11, "09:00")), after("12.00", "t3", on=on(11, "08:00")))

    assert states(order, "R18") == {}


def test_without_time_of_day_the_last_on_the_record_is_the_last():
    assert states(repaired(after("12.66"), after("12.00", "t3")), "R18") == {"t3": "gap"}
    assert states(repaired(after("12.00"), after("12.66", "t3")), "R18") == {}


def test_any_reading_counts_whatever_its_complaint_and_without_work():
    assert states(repaired(after("12.00", complaint=""), work=()), "R18") == {"t2": "gap"}


def test_a_before_reading_that_fails_last_is_no_concern():
    assert states(repaired(a_test(on=on(12)), after()), "R18") == {}


def test_closed_on_a_failing_reading_needs_a_second_name():
    order = repaired(a_test(), after("12.00"))

    assert states(still_open(order), "R18") == {"t2": "pending"}
    assert states(explained(order, "R18", "t2"), "R18") == {"t2": "gap"}
    assert states(explained(order, "R18", "t2", approved_by="Hugo Lant"), "R18") == {"t2": "explained"}


# R19


def trying(*series, plan=None, attempts=(), pattern=None, **given):
    complaint = a_complaint(pattern=pattern, plan=plan, attempts=attempts)
    least = {"complaints": (complaint,), "trials": series, "work": (some_work(),)}
    return an_order(**{**least, **given})


@pytest.mark.parametrize(("n", "fires"), [(2, True), (3, False)])
def test_an_intermittent_complaint_needs_at_least_three_clean_trials(n, fires):
    assert bool(states(trying(a_series(n)), "R19")) is fires


def test_a_constant_complaint_needs_one_clean_trial():
    assert states(trying(pattern="constant"), "R19") == {"c1": "gap"}
    assert states(trying(a_series(1), pattern="constant"), "R19") == {}


def test_series_add_up():
    assert states(trying(a_series(2), a_series(1, on=on(13))), "R19") == {}


@pytest.mark.parametrize(
    "given", [{"conditions_match": False}, {"on": on(9)}, {"on": on(21)}, {"complaint": "c2"}]
)
def test_a_series_that_does_not_match_does_not_count(given):
    assert states(trying(a_series(3, **given)), "R19") == {"c1": "gap"}


def test_matching_series_count_with_equipment_connected():
    assert states(trying(a_series(3, equipment_connected=True)), "R19") == {}


def test_the_plans_number_comes_first():
    assert states(trying(a_series(4), plan=a_plan(5)), "R19") == {"c1": "gap"}
    assert states(trying(a_series(2), plan=a_plan(2)), "R19") == {}


def test_a_valid_plan_asks_for_trials_without_any_work():
    assert states(trying(plan=a_plan(2), work=()), "R19") == {"c1": "gap"}


@pytest.mark.parametrize("works", [(), (some_work(reason="maintenance"),), (some_work(complaint="c9"),)])
def test_without_reason_cause_work_and_plan_no_trials_are_asked_for(works):
    assert states(trying(work=works), "R19") == {}


def test_the_rate_of_the_complaint_says_how_many():
    attempts = (
        an_attempt(n=6, k=2),
        an_attempt("partly", n=4, k=1, equipment_connected=True),
        an_attempt(n=9),
    )

    assert states(trying(a_series(8), attempts=attempts), "R19") == {"c1": "gap"}
    assert states(trying(a_series(9), attempts=attempts), "R19") == {}


def test_an_attempt_after_hand_over_does_not_change_the_rate():
    attempts = (an_attempt(n=2, k=2), an_attempt(n=98, k=1, on=on(21)))

    assert states(trying(a_series(3), attempts=attempts), "R19") == {}


def test_only_trials_after_the_last_recurrence_count():
    order = trying(a_series(5, on=on(11)), a_series(5, 1, on=on(12)), a_series(2, on=on(13)))

    assert states(order, "R19") == {"c1": "gap"}
    assert states(replace(order, trials=(*order.trials, a_series(1, on=on(14)))), "R19") == {}


def test_a_recurrence_in_a_series_that_does_not_match_starts_the_count_anew():
    order = trying(
        a_series(5, on=on(11)), a_series(1, 1, on=on(12), conditions_match=False), a_series(2, on=on(13))
    )

    assert states(order, "R19") == {"c1": "gap"}


def test_on_one_date_the_record_says_which_series_came_after_the_recurrence():
    assert states(trying(a_series(5, 1), a_series(3)), "R19") == {}
    assert states(trying(a_series(5), a_series(1, 1), a_series(2)), "R19") == {"c1": "gap"}


def test_a_page_can_ask_how_many_trials_are_clean_and_needed():
    order = trying(a_series(5, 1, on=on(11)), a_series(2, on=on(12)), attempts=(an_attempt(n=10, k=3),))

    found = standing_of(order, order.complaints[0])
    assert (found.clean, found.by_rule, found.recurrences) == (2, 9, 0)


def test_never_reproduced_silences_not_proved_even_when_explained():
    order = trying(attempts=(an_attempt("partly"),))

    assert states(order, "R19") == {}
    assert states(explained(order, "R2", "c1"), "R19") == {}


def test_a_recurrence_in_the_last_series_silences_not_proved():
    order = trying(a_series(1, 1))

    assert states(order, "R19") == {}
    assert states(explained(order, "R20", "c1", approved_by="Hugo Lant"), "R19") == {}


@pytest.mark.parametrize("kind", ["maintenance", "inspection"])
def test_trials_are_asked_for_at_symptom_complaints_only(kind):
    order = trying(a_series(1, 1))

    assert states(replace(order, complaints=(a_complaint(kind=kind),)), "R19") == {}
    assert states(replace(order, complaints=(a_complaint(kind=kind),)), "R20") == {}


def test_work_that_belongs_to_the_complaint_through_its_cause_asks_for_trials():
    order = trying(causes=(a_cause(),), work=(some_work(complaint="", cause="k1"),))

    assert states(order, "R19") == {"c1": "gap"}


def test_not_proved_says_how_many_trials_are_done_needed_and_why():
    (finding,) = findings(trying(a_series(2), attempts=(an_attempt(n=10, k=3),)), "R19")

    assert (
        "has 2 of 9 clean trials needed (it showed 3 in 10 before the repair); try it 7 more" in finding.text
    )


def test_not_proved_is_pending_then_explained():
    order = still_open(trying())

    assert states(order, "R19") == {"c1": "pending"}
    assert states(explained(order, "R19", "c1"), "R19") == {"c1": "explained"}


# R20


def test_a_recurrence_in_the_last_series_is_a_gap():
    assert states(trying(a_series(3), a_series(4, 1, on=on(13))), "R20") == {"c1": "gap"}


def test_a_clean_series_after_the_recurrence_closes_it():
    assert states(trying(a_series(4, 1), a_series(3, on=on(13))), "R20") == {}


@pytest.mark.parametrize("given", [{"conditions_match": False}, {"on": on(9)}, {"equipment_connected": True}])
def test_a_recurrence_counts_whether_or_not_the_series_matches(given):
    assert states(trying(a_series(4, 1, **given)), "R20") == {"c1": "gap"}


def test_a_series_that_does_not_match_can_be_the_last():
    order = trying(a_series(4, 1), a_series(1, on=on(13), conditions_match=False))

    assert states(order, "R20") == {}


def test_a_recurrence_after_hand_over_counts_for_nothing():
    assert states(trying(a_series(3), a_series(1, 1, on=on(21))), "R20") == {}


def test_the_time_of_day_says_which_series_is_the_last():
    order = trying(a_series(3, on=on(12, "15:00")), a_series(1, 1, on=on(12, "14:00")))

    assert states(order, "R20") == {}


def test_a_recurrence_without_any_work_is_a_gap():
    assert states(trying(a_series(1, 1), work=()), "R20") == {"c1": "gap"}


def test_a_recurrence_needs_a_second_name():
    order = trying(a_series(1, 1))

    assert states(still_open(order), "R20") == {"c1": "pending"}
    assert states(explained(order, "R20", "c1"), "R20") == {"c1": "gap"}
    assert states(explained(order, "R20", "c1", approved_by="Hugo Lant"), "R20") == {"c1": "explained"}


def test_a_whole_order_by_a_better_meter_is_not_marginal():
    meters = {METER.id: Instrument(METER.id, "multimeter", cal_due=METER.cal_due, accuracy=Decimal("0.001"))}

    assert states(a_whole_order(), "R16", meters) == {}
    assert states(a_whole_order(), "R16", METERS) == {}
