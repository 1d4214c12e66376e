"""R12 to R15: is one cause left?"""

from dataclasses import replace
from decimal import Decimal

import pytest

from diagnostics.snapshot import Assumption, Claim, Event, Phase, Reversal, SignedReason, Suspect
from tests.diagnostics.evidence.build import (
    a_cause,
    a_claim_of,
    a_complaint,
    a_test,
    an_order,
    explained,
    findings,
    on,
    some_work,
    states,
    still_open,
)

ISOLATING = a_test(isolates="socket_module")


def repaired(test=ISOLATING, cause=None, **given):
    """Reason-cause work on the socket module, with a cause that cites t1."""
    least = {
        "complaints": (a_complaint(),),
        "tests": (test,),
        "causes": (cause or a_cause(),),
        "work": (some_work(),),
    }
    return an_order(**{**least, **given})


# R12


def test_a_cause_that_cites_a_failing_test_isolating_its_component_is_isolated():
    assert states(repaired(), "R12") == {}


def test_the_isolated_cause_need_not_be_linked():
    assert states(repaired(work=(some_work(cause=""),)), "R12") == {}


@pytest.mark.parametrize(
    "given",
    [
        {"isolates": ""},
        {"isolates": "battery"},
        {"value": Decimal("12.60")},
        {"phase": "after"},
        {"kind": "code"},
        {"on": on(21)},
        {"status": "not_applicable"},
    ],
)
def test_a_test_that_did_not_fail_or_isolates_something_else_isolates_nothing(given):
    assert states(repaired(replace(ISOLATING, **given)), "R12") == {"w1": "gap"}


@pytest.mark.parametrize(
    "given", [{"complaint": "c2"}, {"component": "battery"}, {"evidence": ()}, {"evidence": ("t9",)}]
)
def test_a_cause_of_another_complaint_or_component_or_without_citation_does_not_help(given):
    assert states(repaired(cause=a_cause(**given)), "R12") == {"w1": "gap"}


def test_the_cause_itself_must_cite_the_test_not_the_work():
    order = repaired(cause=a_cause(evidence=()), work=(some_work(cause="k1", evidence=("t1",)),))

    assert states(order, "R12") == {"w1": "gap"}


@pytest.mark.parametrize("kind", ["replace", "repair", "clean", "adjust", "reset"])
def test_work_of_any_kind_with_reason_cause_needs_an_isolated_cause(kind):
    assert states(repaired(causes=(), work=(some_work(kind=kind),)), "R12") == {"w1": "gap"}


@pytest.mark.parametrize("reason", ["maintenance", "access", "consequential", "customer_request"])
def test_work_for_another_reason_needs_none(reason):
    assert states(repaired(causes=(), work=(some_work(reason=reason),)), "R12") == {}


def test_a_blank_component_equals_nothing():
    order = repaired(
        replace(ISOLATING, isolates=" "), a_cause(component=" "), work=(some_work(component=" "),)
    )

    assert states(order, "R12") == {"w1": "gap"}


def test_work_without_a_complaint_belongs_to_that_of_its_cause():
    order = repaired(work=(some_work(complaint="", cause="k1"),))

    assert states(order, "R12") == {}


def test_work_that_belongs_to_no_complaint_has_no_isolated_cause():
    assert states(repaired(work=(some_work(complaint=""),)), "R12") == {"w1": "gap"}


def test_a_failing_observation_can_isolate():
    assert states(repaired(a_claim_of("t1", "fail", isolates="socket_module")), "R12") == {}


def test_not_isolated_is_pending_then_explained():
    order = still_open(repaired(causes=()))

    assert states(order, "R12") == {"w1": "pending"}
    assert states(explained(order, "R12", "w1"), "R12") == {"w1": "explained"}


# R13


def suspecting(*suspects, **given):
    return repaired(complaints=(a_complaint(suspects=suspects),), **given)


@pytest.mark.parametrize(
    ("state", "evidence", "fires"),
    [
        ("open", (), True),
        ("open", ("t1",), True),
        ("ruled_out", (), True),
        ("ruled_out", ("t9",), True),
        ("ruled_out", ("t1",), False),
        ("ruled_out", ("t9", "t1"), False),
        ("confirmed", (), False),
    ],
)
def test_a_rival_must_be_ruled_out_by_a_test_with_an_outcome(state, evidence, fires):
    assert bool(states(suspecting(Suspect("battery", state, evidence)), "R13")) is fires


@pytest.mark.parametrize(
    "test",
    [
        a_test(kind="code"),
        a_test(value=None),
        a_test(info_only=True),
        a_test(status="not_applicable"),
        a_test(on=on(21)),
    ],
)
def test_a_test_without_outcome_rules_nothing_out(test):
    order = suspecting(Suspect("battery", "ruled_out", ("t1",)), tests=(test,))

    assert states(order, "R13") == {"battery": "gap"}


def test_the_component_that_was_worked_on_is_no_rival():
    assert states(suspecting(Suspect("socket_module", "open")), "R13") == {}


def test_a_component_worked_on_for_another_reason_is_still_a_rival():
    works = (some_work(), some_work("w2", component="battery", reason="maintenance"))

    assert states(suspecting(Suspect("battery", "open"), work=works), "R13") == {"battery": "gap"}


@pytest.mark.parametrize("works", [(), (some_work(reason="maintenance"),)])
def test_without_reason_cause_work_no_rival_is_left(works):
    assert states(suspecting(Suspect("battery", "open"), work=works), "R13") == {}


def test_work_on_another_complaint_leaves_no_rival_here():
    order = suspecting(Suspect("battery", "open"), work=(some_work(complaint="c2"),))
    order = replace(order, complaints=(*order.complaints, a_complaint("c2")))

    assert states(order, "R13") == {}


def test_the_same_rival_of_two_complaints_is_one_finding_of_both():
    rival = (Suspect("battery", "open"),)
    order = repaired(
        complaints=(a_complaint(suspects=rival), a_complaint("c2", suspects=rival)),
        work=(some_work(), some_work("w2", complaint="c2")),
    )

    (finding,) = findings(order, "R13")

    assert (finding.subject, finding.complaints) == ("battery", ("c1", "c2"))


@pytest.mark.parametrize("kind", ["maintenance", "inspection"])
def test_rivals_are_asked_for_at_every_kind_of_complaint(kind):
    complaint = a_complaint(kind=kind, suspects=(Suspect("battery", "open"),))

    assert states(repaired(complaints=(complaint,)), "R13") == {"battery": "gap"}


def test_a_rival_is_pending_then_explained():
    order = still_open(suspecting(Suspect("battery", "open")))

    assert states(order, "R13") == {"battery": "pending"}
    assert states(explained(order, "R13", "battery"), "R13") == {"battery": "explained"}


# R14


def assuming(tests=(), **given):
    return an_order(
        complaints=(a_complaint(),),
        tests=tests,
        assumptions=(Assumption("a1", "no trailer socket", **given),),
    )


@pytest.mark.parametrize("status", [None, "open", "confirmed", "refuted"])
def test_an_assumption_without_a_test_is_open(status):
    assert states(assuming(status=status), "R14") == {"a1": "gap"}


@pytest.mark.parametrize("status", ["confirmed", "refuted"])
@pytest.mark.parametrize("kind", ["numeric", "attribute", "code"])
def test_a_test_of_any_kind_done_on_this_order_settles_it(status, kind):
    order = assuming((a_test(kind=kind, value=None),), status=status, evidence=("t1",))

    assert states(order, "R14") == {}


@pytest.mark.parametrize("given", [{"id": "t9"}, {"status": "not_applicable"}, {"on": on(21)}])
def test_a_test_that_was_not_done_on_this_order_settles_nothing(given):
    order = assuming((a_test(**given),), status="confirmed", evidence=("t1",))

    assert states(order, "R14") == {"a1": "gap"}


@pytest.mark.parametrize(
    ("accepted", "state"),
    [
        (SignedReason("seen on the last visit", "Tobin Marl"), "explained"),
        (SignedReason("", "Tobin Marl"), "gap"),
        (SignedReason("seen on the last visit", " "), "gap"),
        (None, "gap"),
    ],
)
def test_an_accepted_assumption_is_explained_by_reason_and_name(accepted, state):
    assert states(assuming(status="accepted", accepted=accepted), "R14") == {"a1": state}


def test_a_signature_on_an_assumption_that_is_still_open_accepts_nothing():
    order = assuming(status="open", accepted=SignedReason("seen on the last visit", "Tobin Marl"))

    assert states(order, "R14") == {"a1": "gap"}


def test_an_open_assumption_is_pending_then_explained():
    order = still_open(assuming())

    assert states(order, "R14") == {"a1": "pending"}
    assert states(explained(order, "R14", "a1"), "R14") == {"a1": "explained"}


# R15

CHANGED = "10:00"


def claiming(after, *reversals, **given):
    """An event at ten, the complaint's change at `after`, and the claim that the one made the other."""
    events = (
        Event("e1", on(5, CHANGED), "intervention", "fuse 14 pulled"),
        Event("e2", on(5, after) if after else on(5), "symptom", "draw fell", complaint="c1"),
    )
    least = {
        "complaints": (a_complaint(),),
        "events": events,
        "claims": (Claim("m1", "c1", "e1", "fix"),),
        "reversals": reversals,
    }
    return an_order(**{**least, **given})


def a_reversal(*phases, event="e1"):
    return Reversal(event, tuple(Phase(condition, present, n) for condition, present, n in phases))


A_B_A = (("out", False, 2), ("in", True, 2), ("out", False, 2))


@pytest.mark.parametrize(
    ("after", "fires"),
    [
        ("10:00", True),
        ("10:30", True),
        ("10:15", True),
        ("10:30:01", False),
        ("10:31", False),
        ("09:59", False),
        ("", False),
    ],
)
def test_a_change_from_zero_to_thirty_minutes_after_the_event_is_a_coincidence(after, fires):
    assert bool(states(claiming(after), "R15")) is fires


@pytest.mark.parametrize("role", ["fix", "trigger"])
def test_a_claimed_trigger_is_asked_for_like_a_claimed_end(role):
    assert states(claiming("10:05", claims=(Claim("m1", "c1", "e1", role),)), "R15") == {"m1": "gap"}


def test_an_event_without_time_of_day_is_never_near():
    events = (
        Event("e1", on(5), "intervention", "fuse 14 pulled"),
        Event("e2", on(5, "10:05"), "symptom", "draw fell", complaint="c1"),
    )

    assert states(claiming("10:05", events=events), "R15") == {}


@pytest.mark.parametrize("given", [{"kind": "equipment"}, {"complaint": "c2"}, {"complaint": ""}])
def test_only_a_symptom_event_of_that_complaint_is_a_change(given):
    order = claiming("10:05")
    order = replace(order, events=(order.events[0], replace(order.events[1], **given)))

    assert states(order, "R15") == {}


def test_the_claimed_event_is_no_change_after_itself():
    event = Event("e1", on(5, CHANGED), "symptom", "draw fell", complaint="c1")

    assert states(claiming("10:05", events=(event,)), "R15") == {}


@pytest.mark.parametrize("claim", [Claim("m1", "c1", "e9", "fix"), Claim("m1", "c9", "e1", "fix")])
def test_a_claim_that_cites_nothing_claims_nothing(claim):
    assert states(claiming("10:05", claims=(claim,)), "R15") == {}


def test_a_change_across_midnight_is_near():
    events = (
        Event("e1", on(5, "23:50"), "intervention", "fuse 14 pulled"),
        Event("e2", on(6, "00:10"), "symptom", "draw fell", complaint="c1"),
    )

    assert states(claiming("10:05", events=events), "R15") == {"m1": "gap"}


@pytest.mark.parametrize(
    "phases", [A_B_A, (*A_B_A, ("in", True, 1)), (*A_B_A, ("in", True, 1), ("out", False, 1))]
)
def test_a_valid_reversal_answers_the_coincidence(phases):
    assert states(claiming("10:05", a_reversal(*phases)), "R15") == {}


@pytest.mark.parametrize(
    "phases",
    [
        A_B_A[:2],
        (("out", False, 2), ("in", True, 0), ("out", False, 2)),
        (("out", False, 2), ("in", False, 2), ("out", False, 2)),
        (("out", False, 2), ("in", True, 2), ("out", True, 2)),
        (("out", False, 2), ("in", True, 2), ("half", False, 2)),
        (("out", False, 2), ("out", False, 2), ("in", True, 2)),
        (("out", False, 2), ("in", True, 2), ("in", True, 2), ("out", False, 2)),
        (("out", False, 2), (" ", True, 2), ("out", False, 2)),
    ],
)
def test_a_reversal_that_does_not_alternate_cleanly_is_not_valid(phases):
    assert states(claiming("10:05", a_reversal(*phases)), "R15") == {"m1": "gap"}


def test_a_reversal_of_another_event_does_not_answer():
    assert states(claiming("10:05", a_reversal(*A_B_A, event="e2")), "R15") == {"m1": "gap"}


def test_one_valid_reversal_among_several_is_enough():
    assert states(claiming("10:05", a_reversal(*A_B_A[:2]), a_reversal(*A_B_A)), "R15") == {}


@pytest.mark.parametrize("kind", ["maintenance", "inspection"])
def test_coincidences_are_asked_for_at_every_kind_of_complaint(kind):
    assert states(claiming("10:05", complaints=(a_complaint(kind=kind),)), "R15") == {"m1": "gap"}


def test_a_coincidence_is_pending_then_explained():
    order = still_open(claiming("10:05"))

    assert states(order, "R15") == {"m1": "pending"}
    assert states(explained(order, "R15", "m1"), "R15") == {"m1": "explained"}
