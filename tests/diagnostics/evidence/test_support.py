"""R9 and R11: does each failing reading lead somewhere, and each part come from one?"""

from dataclasses import replace
from decimal import Decimal

import pytest

from diagnostics.snapshot import Declined, SignedReason, Suspect
from tests.diagnostics.evidence.build import (
    a_cause,
    a_claim_of,
    a_complaint,
    a_test,
    an_order,
    explained,
    on,
    some_work,
    states,
    still_open,
)

GOOD = Decimal("12.60")


def read(*tests, **given):
    return an_order(**{"complaints": (a_complaint(),), "tests": tests, **given})


# R9


def test_a_failing_reading_that_leads_nowhere_is_a_gap():
    assert states(read(a_test()), "R9") == {"t1": "gap"}


def test_a_failing_attribute_test_must_be_followed_up_too():
    assert states(read(a_claim_of("t1", "fail")), "R9") == {"t1": "gap"}


@pytest.mark.parametrize(
    "test",
    [
        a_test(value=GOOD),
        a_test(phase="after"),
        a_test(info_only=True),
        a_test(status="not_applicable"),
        a_test(on=on(21)),
        a_test(kind="code"),
    ],
)
def test_only_a_failing_before_test_that_counts_asks_for_follow_up(test):
    assert states(read(test), "R9") == {}


@pytest.mark.parametrize("reason", ["cause", "maintenance", "access"])
def test_a_citation_by_any_work_follows_up(reason):
    assert states(read(a_test(), work=(some_work(reason=reason, evidence=("t1",)),)), "R9") == {}


def test_a_citation_by_any_cause_follows_up():
    assert states(read(a_test(), causes=(a_cause(),)), "R9") == {}


def test_a_citation_by_a_suspect_does_not_help():
    complaint = a_complaint(suspects=(Suspect("battery", "ruled_out", ("t1",)),))

    assert states(read(a_test(), complaints=(complaint,)), "R9") == {"t1": "gap"}


def test_the_test_of_a_declined_item_is_followed_up():
    assert states(read(a_test(), declined=(Declined("d1", "battery", "comfort", test="t1"),)), "R9") == {}


@pytest.mark.parametrize("phase", ["before", "after"])
def test_a_later_same_reading_that_passes_answers(phase):
    assert states(read(a_test(), a_test("t2", phase=phase, on=on(4), value=GOOD)), "R9") == {}


@pytest.mark.parametrize(
    "given",
    [
        {"point": "battery posts"},
        {"code": "charge_voltage"},
        {"on": on(2)},
        {"value": Decimal("12.39")},
        {"info_only": True},
        {"on": on(21)},
    ],
)
def test_another_or_an_earlier_reading_does_not_answer(given):
    later = a_test(**{"id": "t2", "on": on(4), "value": GOOD, **given})

    assert states(read(a_test(), later), "R9")["t1"] == "gap"


def test_a_later_same_reading_of_another_complaint_answers():
    later = a_test("t2", on=on(4), value=GOOD, complaint="c2")

    assert states(read(a_test(), later), "R9") == {}


def test_a_blank_point_is_the_same_point_as_a_blank_one():
    later = a_test("t2", on=on(4), value=GOOD, point="  ")

    assert states(read(a_test(), later), "R9") == {}


def test_on_one_date_the_time_of_day_says_which_reading_is_later():
    failing = a_test(on=on(3, "09:00"))

    assert states(read(a_test("t2", on=on(3, "09:01"), value=GOOD), failing), "R9") == {}
    assert states(read(failing, a_test("t2", on=on(3, "08:59"), value=GOOD)), "R9") == {"t1": "gap"}


def test_without_a_time_of_day_after_comes_later_than_before():
    passing = a_test("t2", phase="after", on=on(3, "08:00"), value=GOOD)

    assert states(read(passing, a_test(on=on(3))), "R9") == {}


def test_without_time_and_phase_the_record_says_which_reading_is_later():
    failing, passing = a_test(), a_test("t2", value=GOOD)

    assert states(read(failing, passing), "R9") == {}
    assert states(read(passing, failing), "R9") == {"t1": "gap"}


@pytest.mark.parametrize(
    ("disposition", "state"),
    [
        (SignedReason("meter lead was loose", "Tobin Marl"), "explained"),
        (SignedReason("meter lead was loose", " "), "pending"),
        (SignedReason("", "Tobin Marl"), "pending"),
        (None, "pending"),
    ],
)
def test_a_signed_disposition_explains_even_while_open(disposition, state):
    assert states(still_open(read(a_test(disposition=disposition))), "R9") == {"t1": state}


def test_a_written_explanation_explains_too():
    assert states(explained(read(a_test()), "R9", "t1"), "R9") == {"t1": "explained"}


# R11


def fitted(**given):
    work = {"reason": "cause", "complaint": "c1", **given}
    return an_order(
        complaints=(a_complaint(),), tests=(a_test(),), causes=(a_cause(),), work=(some_work(**work),)
    )


def test_a_part_replaced_as_the_cause_needs_a_failing_reading():
    assert states(fitted(), "R11") == {"w1": "gap"}
    assert states(fitted(evidence=("t1",)), "R11") == {}


def test_the_evidence_of_the_linked_cause_is_the_works_own():
    assert states(fitted(cause="k1"), "R11") == {}


@pytest.mark.parametrize(
    "given",
    [{"phase": "after"}, {"value": GOOD}, {"value": None}, {"kind": "code"}, {"status": "not_applicable"}],
)
def test_a_test_that_did_not_fail_before_the_work_supports_no_part(given):
    order = replace(fitted(evidence=("t1",)), tests=(a_test(**given),))

    assert states(order, "R11") == {"w1": "gap"}


def test_a_citation_that_names_nothing_supports_no_part():
    assert states(fitted(evidence=("t9",)), "R11") == {"w1": "gap"}


def test_a_failing_observation_supports_a_part_and_a_bare_bad_does_not():
    seen = replace(fitted(evidence=("t1",)), tests=(a_claim_of("t1", "fail"),))
    bare = replace(fitted(evidence=("t1",)), tests=(a_claim_of("t1", "fail", observation=""),))

    assert states(seen, "R11") == {}
    assert [states(bare, rule) for rule in ("R5", "R11", "R12")] == [
        {"t1": "gap"},
        {"w1": "gap"},
        {"w1": "gap"},
    ]


@pytest.mark.parametrize("kind", ["repair", "clean", "adjust", "reset"])
def test_only_a_replacement_can_be_an_unsupported_part(kind):
    assert states(fitted(kind=kind), "R11") == {}


@pytest.mark.parametrize(
    ("given", "fires"),
    [
        ({"reason": "consequential"}, True),
        ({"reason": "consequential", "cause": "k9"}, True),
        ({"reason": "consequential", "cause": "k1"}, False),
        ({"reason": "customer_request"}, True),
        ({"reason": "customer_request", "note": "  "}, True),
        ({"reason": "customer_request", "note": "wants the long-life kind"}, False),
        ({"reason": "maintenance"}, False),
        ({"reason": "access"}, False),
    ],
)
def test_each_reason_asks_for_its_own_support(given, fires):
    assert bool(states(fitted(**given), "R11")) is fires


def test_an_unsupported_part_is_pending_then_explained():
    order = still_open(fitted())

    assert states(order, "R11") == {"w1": "pending"}
    assert states(explained(order, "R11", "w1"), "R11") == {"w1": "explained"}
