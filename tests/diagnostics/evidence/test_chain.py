"""Chain status of a symptom complaint and the customer's words (practice.md section 7)."""

from dataclasses import replace

import pytest

from diagnostics.evidence import LINKS, RULES, chain_status, chain_statuses, evaluate
from diagnostics.snapshot import Cause, Declined
from tests.diagnostics.evidence.build import (
    METERS,
    a_cause,
    a_complaint,
    a_series,
    a_test,
    a_whole_order,
    an_attempt,
    an_order,
    explained,
    on,
    some_work,
    still_open,
)


def status(order, complaint=None):
    found = evaluate(order, instruments=METERS)
    return chain_status(order, found, complaint or order.complaints[0])


def test_a_whole_chain_is_complete_and_proved_gone():
    chain = status(a_whole_order())

    assert (chain.words, chain.outcome) == ("complete", "proved gone")


def test_a_whole_chain_is_complete_before_hand_over():
    assert status(still_open(a_whole_order())).words == "complete"


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"complaints": (a_complaint(pattern="constant"),)}, "broken at attempt"),
        ({"tests": (), "causes": ()}, "broken at failing reading"),
        ({"causes": (a_cause(component="battery"),)}, "broken at cause"),
        ({"work": (some_work(cause="k1", safety=True),)}, "broken at work"),
        ({"tests": (a_test("t1", isolates="socket_module"),)}, "broken at re-read"),
        ({"trials": ()}, "broken at trials"),
    ],
)
def test_a_chain_breaks_at_its_first_link_with_a_gap(changes, words):
    chain = status(a_whole_order(**changes))

    assert (chain.words, chain.outcome) == (words, "repaired, not yet proved")


def test_a_pending_finding_breaks_a_chain_like_a_gap():
    assert status(still_open(a_whole_order(trials=()))).words == "broken at trials"


def test_an_explained_finding_is_named_when_nothing_is_broken():
    order = explained(a_whole_order(trials=()), "R19", "c1")

    assert status(order).words == "explained at trials"
    assert status(order).outcome == "repaired, not yet proved"


def test_a_gap_later_in_the_chain_comes_before_an_explained_finding():
    order = explained(a_whole_order(complaints=(a_complaint(pattern="constant"),), trials=()), "R1", "c1")

    assert status(order).words == "broken at trials"


def test_the_first_explained_link_is_named():
    order = a_whole_order(complaints=(a_complaint(pattern="constant"),), trials=())
    order = explained(explained(order, "R19", "c1"), "R1", "c1")

    assert status(order).words == "explained at attempt"


def test_rules_of_no_link_do_not_break_the_chain():
    tests = tuple(replace(t, instrument="") for t in a_whole_order().tests)
    order = a_whole_order(tests=tests)

    assert [f.rule for f in evaluate(order, instruments=METERS)] == ["R7", "R7"]
    assert status(order).words == "complete"


def test_a_gap_of_another_complaint_does_not_break_this_chain():
    order = a_whole_order()
    order = replace(order, complaints=(*order.complaints, a_complaint("c2")))

    assert status(order).words == "complete"
    assert status(order, order.complaints[1]).words == "broken at attempt"


def test_the_links_hold_the_rules_of_section_7():
    links = {link: [code for code, rule in RULES.items() if rule.link == link] for link in LINKS}

    assert links == {
        "attempt": ["R1", "R2", "R3", "R21"],
        "failing reading": ["R9", "R11"],
        "cause": ["R12", "R13", "R15"],
        "work": ["R22"],
        "re-read": ["R16", "R17", "R18"],
        "trials": ["R19", "R20"],
    }


SEEN = a_complaint(attempts=(an_attempt(),), system="charging")


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"complaints": (a_complaint(),)}, "broken at attempt"),
        ({}, "broken at failing reading"),
        ({"tests": (a_test(),)}, "broken at cause"),
        ({"tests": (a_test(isolates="radio"),), "causes": (a_cause(),)}, "broken at cause"),
        ({"tests": (a_test(isolates="socket_module"),), "causes": (a_cause(),)}, "broken at work"),
    ],
)
def test_without_reason_cause_work_the_first_link_not_on_record_is_named(changes, words):
    chain = status(an_order(**{"complaints": (SEEN,), **changes}))

    assert (chain.words, chain.outcome) == (words, "not found, watching")


def test_without_reason_cause_work_a_gap_on_a_link_that_is_on_record_does_not_name_it():
    partly = a_complaint(attempts=(an_attempt("partly"),))

    assert status(an_order(complaints=(partly,))).words == "broken at failing reading"


def test_a_failing_reading_that_only_the_cause_cites_is_on_record():
    order = an_order(
        complaints=(SEEN,),
        tests=(a_test(complaint="", isolates="socket_module"),),
        causes=(Cause("k1", "c1", "socket_module", evidence=("t1",)),),
    )

    assert status(order).words == "broken at work"


def test_work_for_another_reason_is_no_repair_of_the_complaint():
    assert status(a_whole_order(work=(some_work(reason="maintenance"),))).outcome == "not found, watching"


@pytest.mark.parametrize(
    ("system", "outcome"),
    [("charging", "known and declined"), ("lighting", "not found, watching"), ("", "not found, watching")],
)
def test_a_declined_item_of_its_system_is_known_and_declined(system, outcome):
    order = an_order(
        complaints=(SEEN,), declined=(Declined("d1", "alternator", "progressive", system=system),)
    )

    assert status(order).outcome == outcome


def test_reason_cause_work_outweighs_a_declined_item():
    order = a_whole_order(trials=(), declined=(Declined("d1", "alternator", "comfort", system="charging"),))

    assert status(order).outcome == "repaired, not yet proved"


def test_evidence_that_serves_two_complaints_breaks_both_chains():
    order = a_whole_order(tests=(a_test("t1", isolates="socket_module"),))
    second = replace(order.complaints[0], id="c2")
    order = replace(
        order,
        complaints=(*order.complaints, second),
        causes=(*order.causes, a_cause("k2", complaint="c2")),
        work=(*order.work, some_work("w2", complaint="c2", cause="k2")),
        trials=(*order.trials, a_series(complaint="c2")),
    )

    assert {c: s.words for c, s in chain_statuses(order, evaluate(order, instruments=METERS)).items()} == {
        "c1": "broken at re-read",
        "c2": "broken at re-read",
    }


def test_statuses_are_given_for_symptom_complaints_only():
    order = a_whole_order()
    order = replace(order, complaints=(*order.complaints, a_complaint("c2", kind="maintenance")))

    assert list(chain_statuses(order, ())) == ["c1"]


def test_an_attempt_after_hand_over_is_not_on_record():
    assert status(an_order(complaints=(a_complaint(attempts=(an_attempt(on=on(21)),)),))).link == "attempt"
