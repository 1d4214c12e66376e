"""The seven rings of the job page."""

from dataclasses import replace

import pytest

from diagnostics.evidence import RINGS, RULES, evaluate, rings
from tests.diagnostics.evidence.build import (
    METERS,
    a_complaint,
    a_step,
    a_test,
    a_whole_order,
    an_order,
    explained,
    some_work,
    still_open,
)


def shown(order, *, sheet_issued=False):
    found = evaluate(order, instruments=METERS)
    return {ring.name: ring.state for ring in rings(order, found, sheet_issued=sheet_issued)}


def test_every_ring_of_a_whole_order_is_joined():
    assert shown(a_whole_order(), sheet_issued=True) == dict.fromkeys(RINGS, "joined")


def test_papers_are_open_after_hand_over_and_ahead_before():
    assert shown(a_whole_order())["papers"] == "open"
    assert shown(still_open(a_whole_order()))["papers"] == "ahead"


def test_the_rules_are_placed_as_the_design_says():
    placed = {ring: [code for code, rule in RULES.items() if rule.ring == ring] for ring in RINGS}

    assert placed == {
        "reported": [],
        "seen": ["R1", "R2", "R3", "R21"],
        "measured": ["R4", "R5", "R6", "R7", "R8", "R9", "R10", "R11", "R25"],
        "cause": ["R12", "R13", "R14", "R15"],
        "repair": ["R22", "R23", "R24", "R26"],
        "proved": ["R16", "R17", "R18", "R19", "R20"],
        "papers": [],
    }


def test_a_fresh_order_is_open_at_seen_and_not_reached_beyond():
    order = still_open(an_order(complaints=(a_complaint(required=(a_step(),)),)))

    assert list(shown(order).values()) == ["joined", "open", "ahead", "ahead", "ahead", "ahead", "ahead"]


def test_a_pending_finding_opens_the_ring_after_the_last_recorded_one():
    order = still_open(a_whole_order(tests=(a_test("t1", isolates="socket_module"),), trials=()))

    assert shown(order)["proved"] == "open"


def test_a_gap_opens_its_ring_even_when_nothing_is_recorded_there():
    order = an_order(complaints=(a_complaint(required=(a_step(),)),))

    assert shown(order)["measured"] == "open"


@pytest.mark.parametrize("is_open", [True, False])
def test_a_ring_whose_findings_are_all_explained_is_explained(is_open):
    order = explained(a_whole_order(trials=()), "R19", "c1")

    assert shown(still_open(order) if is_open else order)["proved"] == "explained"


def test_one_gap_beside_an_explained_finding_keeps_the_ring_open():
    order = explained(a_whole_order(work=(some_work(cause="k1", safety=True),), trials=()), "R19", "c1")

    assert shown(order)["repair"] == "open"
    assert shown(order)["proved"] == "explained"


def test_a_ring_carries_its_findings_and_what_would_join_it():
    order = a_whole_order(tests=tuple(replace(t, instrument="") for t in a_whole_order().tests))
    order = explained(order, "R7", "t1")
    ring = rings(order, evaluate(order, instruments=METERS), sheet_issued=True)[2]

    assert [f.subject for f in ring.findings] == ["t1", "t2"]
    assert [f.subject for f in ring.open_findings] == ["t2"]


def test_a_ring_that_is_ahead_is_called_not_reached():
    order = still_open(a_whole_order())

    assert rings(order, (), sheet_issued=False)[-1].words == "not reached"
