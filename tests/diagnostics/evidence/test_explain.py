"""Explanations, second names, one-person shops, and what stays pending (practice.md section 6)."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.evidence import RULES, evaluate
from diagnostics.snapshot import Explanation, Location, Waiver
from tests.diagnostics.evidence.build import (
    METERS,
    a_complaint,
    a_series,
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

ALONE = Location("quarry", single_person=True)


def recurred(**given):
    """A finding that asks for a second name: R20 on c1."""
    return an_order(complaints=(a_complaint(),), trials=(a_series(2, 1),), **given)


def unsupported():
    """A finding that asks for one name: R11 on w1."""
    return an_order(complaints=(a_complaint(),), work=(some_work(),))


@pytest.mark.parametrize("signed", [{"reason": "  "}, {"by": ""}])
def test_an_explanation_without_reason_or_name_explains_nothing(signed):
    assert states(explained(unsupported(), "R11", "w1", **signed), "R11") == {"w1": "gap"}


@pytest.mark.parametrize(("rule", "subject"), [("R12", "w1"), ("R11", "w2"), ("R11", "c1")])
def test_an_explanation_of_another_rule_or_subject_explains_nothing(rule, subject):
    assert states(explained(unsupported(), rule, subject), "R11") == {"w1": "gap"}


def test_an_explained_finding_keeps_its_text_reason_and_name():
    (gap,) = findings(unsupported(), "R11")
    (finding,) = findings(explained(unsupported(), "R11", "w1"), "R11")

    assert finding.text == gap.text
    assert finding.explanation is not None
    assert finding.explanation.by == "Maud Kerrow"


@pytest.mark.parametrize(
    ("second", "state"),
    [("", "gap"), ("  ", "gap"), ("Maud Kerrow", "gap"), ("Tobin Marl", "gap"), ("Hugo Lant", "explained")],
)
def test_the_second_name_is_neither_the_explainer_nor_the_technician(second, state):
    assert states(explained(recurred(), "R20", "c1", approved_by=second), "R20") == {"c1": state}


def test_without_a_technician_anybody_but_the_explainer_may_approve():
    order = explained(recurred(technician=""), "R20", "c1", approved_by="Tobin Marl")

    assert states(order, "R20") == {"c1": "explained"}


def test_one_approved_explanation_among_several_is_enough():
    order = explained(explained(recurred(), "R20", "c1"), "R20", "c1", approved_by="Hugo Lant")

    (finding,) = findings(order, "R20")

    assert finding.state == "explained"
    assert finding.explanation is not None
    assert finding.explanation.approved_by == "Hugo Lant"


def test_a_finding_that_waits_for_a_second_name_says_so():
    (finding,) = findings(explained(recurred(), "R20", "c1"), "R20")

    assert (finding.state, finding.needs_second_name) == ("gap", True)
    assert finding.unapproved is not None
    assert finding.explanation is None


def test_a_one_person_shop_is_exempt_and_the_exemption_is_marked():
    (finding,) = findings(explained(recurred(location=ALONE), "R20", "c1"), "R20")

    assert (finding.state, finding.exempt) == ("explained", True)


def test_a_one_person_shop_with_a_second_name_uses_no_exemption():
    order = explained(recurred(location=ALONE), "R20", "c1", approved_by="Hugo Lant")

    assert findings(order, "R20")[0].exempt is False


def test_a_one_person_shop_must_still_explain():
    assert states(recurred(location=ALONE), "R20") == {"c1": "gap"}


def test_a_missing_second_name_leaves_the_finding_pending_while_open():
    assert states(still_open(explained(recurred(), "R20", "c1")), "R20") == {"c1": "pending"}


def test_a_step_that_is_not_critical_needs_one_name():
    step = a_step(waiver=Waiver("no clamp in the house", "Maud Kerrow"))
    order = an_order(complaints=(a_complaint(required=(step,)),))

    assert states(order, "R4") == {"c1:draw_asleep": "explained"}
    assert findings(order, "R4")[0].needs_second_name is False


@pytest.mark.parametrize("approver", ["Maud Kerrow", "Tobin Marl"])
def test_a_critical_steps_waiver_is_approved_by_a_third_person(approver):
    step = a_step(critical=True, waiver=Waiver("no clamp", "Maud Kerrow", approved_by=approver))

    assert states(an_order(complaints=(a_complaint(required=(step,)),)), "R4") == {"c1:draw_asleep": "gap"}


def test_a_one_person_shop_may_waive_a_critical_step_alone():
    step = a_step(critical=True, waiver=Waiver("no clamp", "Maud Kerrow"))
    order = an_order(complaints=(a_complaint(required=(step,)),), location=ALONE)

    (finding,) = findings(order, "R4")

    assert (finding.state, finding.exempt, finding.critical) == ("explained", True, True)


def test_exactly_four_rules_can_ask_for_a_second_name():
    asking = {code: rule.second_name for code, rule in RULES.items() if rule.second_name}

    assert asking == {"R4": "critical", "R18": "always", "R20": "always", "R22": "always"}


def test_nine_rules_are_live():
    live = {code for code, rule in RULES.items() if rule.is_live}

    assert live == {"R3", "R5", "R6", "R7", "R8", "R10", "R24", "R25"}


def a_bad_order():
    """An order on which many rules fire."""
    return an_order(
        complaints=(
            a_complaint(required=(a_step(), a_step("charge_voltage", critical=True))),
            a_complaint("c2"),
        ),
        tests=(
            a_test("t1", instrument="", on=on(3)),
            a_test("t2", value=None, on=on(4)),
            a_test("t3", phase="after", lo=None, on=on(11)),
            a_test("t4", phase="after", code="draw_asleep", on=on(12)),
        ),
        work=(some_work("w1", safety=True), some_work("w2", complaint="c2", reason="consequential")),
        trials=(a_series(2, 1),),
    )


@given(
    st.lists(
        st.builds(
            Explanation,
            rule=st.sampled_from(sorted(RULES)),
            subject=st.sampled_from(
                ["c1", "c2", "t1", "t2", "t3", "t4", "w1", "w2", "c1:draw_asleep", "1057"]
            ),
            reason=st.sampled_from(["", "as agreed"]),
            by=st.sampled_from(["", "Maud Kerrow", "Tobin Marl"]),
            approved_by=st.sampled_from(["", "Hugo Lant"]),
        ),
        max_size=12,
    )
)
def test_an_explanation_never_removes_or_adds_a_finding(explanations):
    bare = evaluate(a_bad_order(), instruments=METERS)
    order = replace(a_bad_order(), explanations=tuple(explanations))

    after = evaluate(order, instruments=METERS)

    assert [(f.rule, f.subject, f.text) for f in after] == [(f.rule, f.subject, f.text) for f in bare]
