"""R4 to R8 and R10: was it measured, by what, and when was it written down?"""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from diagnostics.evidence import is_left_out
from diagnostics.snapshot import Assumption, Waiver
from tests.diagnostics.evidence.build import (
    METER,
    a_cause,
    a_claim_of,
    a_complaint,
    a_step,
    a_test,
    an_order,
    explained,
    findings,
    on,
    some_work,
    states,
    still_open,
)

SIGNED = Waiver("no clamp in the house", "Tobin Marl")


def requiring(*steps, tests=(), **given):
    return an_order(complaints=(a_complaint(required=steps, **given),), tests=tests)


def reading(**given):
    return an_order(complaints=(a_complaint(),), tests=(a_test(**given),))


# R4


def test_a_required_step_without_a_test_is_skipped():
    assert states(requiring(a_step()), "R4") == {"c1:draw_asleep": "gap"}


def test_a_done_test_of_code_phase_and_complaint_does_the_step():
    assert states(requiring(a_step(), tests=(a_test(code="draw_asleep"),)), "R4") == {}


@pytest.mark.parametrize(
    "given",
    [
        {"phase": "after"},
        {"complaint": ""},
        {"complaint": "c2"},
        {"status": "not_applicable"},
        {"on": on(21)},
        {"code": "draw"},
    ],
)
def test_a_test_of_other_phase_complaint_or_status_leaves_the_step_skipped(given):
    test = a_test(**{"code": "draw_asleep", **given})

    assert states(requiring(a_step(), tests=(test,)), "R4") == {"c1:draw_asleep": "gap"}


def test_entered_late_or_only_claimed_is_still_done():
    test = a_test(code="draw_asleep", value=None, entered_on=on(15))

    assert states(requiring(a_step(), tests=(test,)), "R4") == {}


def test_a_step_required_after_the_work_asks_for_an_after_test():
    step = a_step(phase="after")

    assert states(requiring(step, tests=(a_test(code="draw_asleep"),)), "R4") == {"c1:draw_asleep": "gap"}
    assert states(requiring(step, tests=(a_test(code="draw_asleep", phase="after"),)), "R4") == {}


@pytest.mark.parametrize("kind", ["maintenance", "inspection"])
def test_steps_are_required_of_every_kind_of_complaint(kind):
    assert states(requiring(a_step(), kind=kind), "R4") == {"c1:draw_asleep": "gap"}


def test_a_skipped_step_is_pending_while_the_order_is_open():
    assert states(still_open(requiring(a_step())), "R4") == {"c1:draw_asleep": "pending"}


def test_a_signed_waiver_explains_even_while_the_order_is_open():
    order = requiring(a_step(waiver=SIGNED))

    assert states(order, "R4") == {"c1:draw_asleep": "explained"}
    assert states(still_open(order), "R4") == {"c1:draw_asleep": "explained"}


@pytest.mark.parametrize("waiver", [Waiver(" ", "Tobin Marl"), Waiver("no clamp", " ")])
def test_a_waiver_without_reason_or_name_explains_nothing(waiver):
    assert states(requiring(a_step(waiver=waiver)), "R4") == {"c1:draw_asleep": "gap"}


@pytest.mark.parametrize(
    ("assumption", "state"),
    [
        (None, "gap"),
        (Assumption("a1", "not fitted"), "gap"),
        (Assumption("a1", "not fitted", status="open"), "gap"),
        (Assumption("a1", "not fitted", status="confirmed"), "gap"),
        (Assumption("a1", "not fitted", status="confirmed", evidence=("t1",)), "explained"),
        (Assumption("a1", "not fitted", status="accepted"), "explained"),
    ],
)
def test_a_waiver_may_cite_only_an_assumption_that_is_on_the_order_and_not_open(assumption, state):
    order = requiring(a_step(waiver=replace(SIGNED, assumption="a1")), tests=(a_test("t1", kind="code"),))
    order = replace(order, assumptions=(assumption,) if assumption else ())

    assert states(order, "R4") == {"c1:draw_asleep": state}


def test_a_written_explanation_explains_where_the_waiver_does_not():
    order = requiring(a_step(waiver=replace(SIGNED, assumption="none")))

    assert states(explained(order, "R4", "c1:draw_asleep"), "R4") == {"c1:draw_asleep": "explained"}


def test_a_critical_step_needs_a_second_name_on_its_waiver():
    alone = requiring(a_step(critical=True, waiver=SIGNED))
    approved = requiring(a_step(critical=True, waiver=replace(SIGNED, approved_by="Maud Kerrow")))

    assert states(alone, "R4") == {"c1:draw_asleep": "gap"}
    assert states(approved, "R4") == {"c1:draw_asleep": "explained"}
    assert findings(alone, "R4")[0].unapproved is not None


def test_a_step_required_in_both_phases_is_one_finding_and_the_worse_state_stands():
    order = requiring(a_step(waiver=SIGNED), a_step(phase="after"))

    assert states(order, "R4") == {"c1:draw_asleep": "gap"}
    assert len(findings(order, "R4")) == 1


# R5


@pytest.mark.parametrize("given", [{"value": None}, {"unit": ""}, {"unit": "  "}])
def test_a_numeric_test_without_value_or_unit_is_only_claimed(given):
    assert states(reading(**given), "R5") == {"t1": "gap"}


def test_an_information_only_reading_without_value_is_only_claimed():
    assert states(reading(value=None, info_only=True), "R5") == {"t1": "gap"}


@pytest.mark.parametrize("observation", ["", "   "])
def test_an_attribute_test_without_observation_is_only_claimed(observation):
    order = an_order(tests=(a_claim_of("t1", "pass", observation=observation),))

    assert states(order, "R5") == {"t1": "gap"}


def test_measured_observed_and_code_tests_are_not_claims():
    tests = (a_test("t1"), a_claim_of("t2", "fail"), a_test("t3", kind="code", value=None, unit=""))

    assert states(an_order(tests=tests), "R5") == {}


@pytest.mark.parametrize("given", [{"status": "not_applicable"}, {"on": on(21)}])
def test_a_test_that_no_rule_counts_is_no_claim(given):
    assert states(reading(value=None, **given), "R5") == {}


def test_a_claim_is_never_pending_and_can_be_explained():
    order = still_open(reading(value=None))

    assert states(order, "R5") == {"t1": "gap"}
    assert states(explained(order, "R5", "t1"), "R5") == {"t1": "explained"}


# R6


@pytest.mark.parametrize("given", [{"lo": None}, {"limit_unit": "A"}, {"limit_unit": "furlong"}])
def test_a_reading_without_limit_or_with_one_of_another_kind_cannot_be_judged(given):
    assert states(reading(**given), "R6") == {"t1": "gap"}


@pytest.mark.parametrize(
    "given",
    [
        {},
        {"limit_unit": "mV", "lo": Decimal(12400)},
        {"unit": "notch", "limit_unit": "notch"},
        {"unit": "notch"},
        {"lo": None, "info_only": True},
        {"limit_unit": "A", "info_only": True},
        {"value": None, "lo": None},
        {"unit": "", "lo": None},
    ],
)
def test_a_reading_that_can_be_judged_or_need_not_be_is_in_order(given):
    assert states(reading(**given), "R6") == {}


def test_an_unjudged_reading_is_never_pending_and_can_be_explained():
    order = still_open(reading(lo=None))

    assert states(order, "R6") == {"t1": "gap"}
    assert states(explained(order, "R6", "t1"), "R6") == {"t1": "explained"}


def test_an_unjudged_reading_tells_its_value_with_unit():
    (finding,) = findings(reading(lo=None), "R6")

    assert "rest voltage, 12.05 V, has no limit" in finding.text


# R7


@pytest.mark.parametrize("instrument", ["", " ", "meter 9"])
def test_a_reading_by_no_listed_instrument_is_a_gap(instrument):
    assert states(reading(instrument=instrument), "R7") == {"t1": "gap"}


def test_an_information_only_reading_must_name_its_instrument_too():
    assert states(reading(instrument="", info_only=True), "R7") == {"t1": "gap"}


@pytest.mark.parametrize("given", [{}, {"value": None, "instrument": ""}, {"unit": "", "instrument": ""}])
def test_a_listed_instrument_or_no_measurement_is_in_order(given):
    assert states(reading(**given), "R7") == {}


def test_an_attribute_test_needs_no_instrument():
    assert states(an_order(tests=(a_claim_of("t1", "fail", instrument=""),)), "R7") == {}


def test_a_missing_instrument_is_never_pending_and_can_be_explained():
    order = still_open(reading(instrument=""))

    assert states(order, "R7") == {"t1": "gap"}
    assert states(explained(order, "R7", "t1"), "R7") == {"t1": "explained"}


# R8

THE_DAY = date(2026, 10, 3)
DAY_BEFORE, DAY_AFTER = date(2026, 10, 2), date(2026, 10, 4)


@pytest.mark.parametrize(
    ("record", "fires"),
    [
        ({"cal_due": THE_DAY}, False),
        ({"cal_due": DAY_BEFORE}, True),
        ({"cal_due": None}, True),
        ({"cal_due": None, "cal_required": False}, False),
        ({"cal_due": DAY_BEFORE, "cal_required": False}, False),
        ({"withdrawn_on": THE_DAY}, True),
        ({"withdrawn_on": DAY_AFTER}, False),
        ({"withdrawn_on": THE_DAY, "cal_required": False}, True),
    ],
)
def test_calibration_is_asked_on_the_date_the_test_was_done(record, fires):
    meters = {METER.id: replace(METER, **record)}

    assert bool(states(reading(), "R8", meters)) is fires


@pytest.mark.parametrize("kind", ["numeric", "attribute", "code"])
def test_a_test_of_any_kind_by_an_overdue_instrument_fires(kind):
    meters = {METER.id: replace(METER, cal_due=DAY_BEFORE)}

    assert states(reading(kind=kind), "R8", meters) == {"t1": "gap"}


def test_an_instrument_that_is_not_listed_is_no_matter_of_calibration():
    assert states(reading(instrument="meter 9"), "R8") == {}


def test_an_overdue_instrument_fires_that_rule_only():
    meters = {METER.id: replace(METER, cal_due=DAY_BEFORE)}
    order = reading(value=Decimal("12.60"))

    assert states(order, "R8", meters) == {"t1": "gap"}
    assert [states(order, rule, meters) for rule in ("R5", "R6", "R7", "R9")] == [{}] * 4


def test_an_overdue_instrument_is_never_pending_and_can_be_explained():
    meters = {METER.id: replace(METER, cal_due=DAY_BEFORE)}
    order = still_open(reading())

    assert states(order, "R8", meters) == {"t1": "gap"}
    assert states(explained(order, "R8", "t1"), "R8", meters) == {"t1": "explained"}


# R10


def cited(test, **work):
    return an_order(
        complaints=(a_complaint(),), tests=(test,), work=(some_work(**{"evidence": ("t1",), **work}),)
    )


@pytest.mark.parametrize(
    ("dates", "fires"),
    [
        ({"entered_on": on(11)}, True),
        ({"entered_on": on(10)}, False),
        ({"entered_on": None}, False),
        ({"on": on(11), "entered_on": None}, True),
        ({"on": on(11), "entered_on": on(10)}, False),
        ({"entered_on": on(10, "18:00")}, False),
    ],
)
def test_an_entry_on_a_later_date_than_the_work_it_stands_behind_is_late(dates, fires):
    order = cited(a_test(**dates), on=on(10, "09:00"))

    assert bool(states(order, "R10")) is fires


def test_a_test_cited_by_the_linked_cause_can_be_late():
    order = cited(a_test(entered_on=on(11)), evidence=(), cause="k1")
    order = replace(order, causes=(a_cause(),))

    assert states(order, "R10") == {"t1": "gap"}


@pytest.mark.parametrize("kind", ["attribute", "code"])
def test_a_cited_test_of_any_kind_can_be_late(kind):
    assert states(cited(a_test(kind=kind, entered_on=on(11))), "R10") == {"t1": "gap"}


def test_a_late_after_test_or_a_test_nobody_cites_is_no_concern():
    assert states(cited(a_test(phase="after", entered_on=on(11))), "R10") == {}
    assert states(cited(a_test(entered_on=on(11)), evidence=()), "R10") == {}


@pytest.mark.parametrize("reason", ["maintenance", "access", "consequential", "customer_request"])
def test_only_reason_cause_work_makes_an_entry_late(reason):
    assert states(cited(a_test(entered_on=on(11)), reason=reason), "R10") == {}


def test_a_test_cited_by_two_works_is_one_finding():
    order = cited(a_test(entered_on=on(11)))
    order = replace(order, work=(*order.work, some_work("w2", evidence=("t1",))))

    assert len(findings(order, "R10")) == 1


def test_an_entry_after_hand_over_of_a_test_done_in_time_still_counts():
    assert states(cited(a_test(entered_on=on(25))), "R10") == {"t1": "gap"}


def test_a_late_entry_is_never_pending_and_can_be_explained():
    order = still_open(cited(a_test(entered_on=on(11))))

    assert states(order, "R10") == {"t1": "gap"}
    assert states(explained(order, "R10", "t1"), "R10") == {"t1": "explained"}


@pytest.mark.parametrize(
    ("waiver", "critical", "is_out"),
    [
        (Waiver("No draw suspected.", "Corin Hesk"), False, True),
        (Waiver("No draw suspected.", "Corin Hesk"), True, False),
        (Waiver("No draw suspected.", "Corin Hesk", "Corin Hesk"), True, False),
        (Waiver("No draw suspected.", "Corin Hesk", "Isa Renk"), True, True),
        (Waiver("", "Corin Hesk"), False, False),
        (Waiver("No draw suspected.", ""), False, False),
        (Waiver("No draw suspected.", "Corin Hesk", "", "A1"), False, False),
        (None, False, False),
    ],
)
def test_a_waiver_that_rests_on_nothing_else_explains_its_own_step(waiver, critical, is_out):
    assert is_left_out(waiver, critical=critical) is is_out
