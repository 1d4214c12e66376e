"""What a job was asked for and what became of it: R1, R4, R11, R14, R17, R19 (practice.md section 5)."""

from dataclasses import replace

from diagnostics.evidence import settled
from diagnostics.evidence.asked import checks_of
from diagnostics.snapshot import Assumption, SignedReason, Waiver
from tests.diagnostics.evidence.build import (
    METERS,
    a_cause,
    a_complaint,
    a_plan,
    a_series,
    a_step,
    a_test,
    a_whole_order,
    an_attempt,
    an_order,
    explained,
    on,
    some_work,
)


def asked(order):
    """What was asked, by code, phase and complaint: done, waived or skipped."""
    terms, findings, _ = settled(order, instruments=METERS)
    found = checks_of(terms, findings)
    by_key = {(check.code, check.phase, check.complaint): check.state for check in found}
    assert len(by_key) == len(found), "one for each complaint, code and phase"
    return by_key


def test_a_whole_job_did_all_that_it_was_asked_for():
    assert asked(a_whole_order()) == {
        ("R1", "", "c1"): "done",
        ("R11", "", "c1"): "done",
        ("R17", "", "c1"): "done",
        ("R19", "", "c1"): "done",
    }


def test_nothing_is_asked_where_a_rule_could_not_fire():
    maintenance = a_complaint(kind="maintenance")
    work = some_work(reason="maintenance", complaint="c1")

    assert asked(an_order(complaints=(maintenance,), work=(work,))) == {}
    assert asked(an_order(complaints=(a_complaint(),))) == {("R1", "", "c1"): "skipped"}


def test_each_phase_of_a_step_stands_for_itself():
    steps = (
        a_step(),
        a_step(phase="after"),
        a_step("fuse", waiver=Waiver("No adapter.", "Isa Renk")),
        a_step("lamp", critical=True, waiver=Waiver("No adapter.", "Isa Renk")),
    )
    order = an_order(
        complaints=(a_complaint(required=steps),), tests=(a_test(code="draw_asleep", phase="after"),)
    )

    found = asked(order)
    assert found["draw_asleep", "before", "c1"] == "skipped"
    assert found["draw_asleep", "after", "c1"] == "done"
    assert found["fuse", "before", "c1"] == "waived"
    assert found["lamp", "before", "c1"] == "skipped", "a critical step asks for a second name"
    assert asked(explained(order, "R4", "c1:draw_asleep"))["draw_asleep", "before", "c1"] == "waived"


def test_of_several_parts_the_worst_stands_for_the_complaint():
    blank = some_work("w2", component="battery")
    order = a_whole_order(work=(some_work(cause="k1"), blank))

    assert asked(order)["R11", "", "c1"] == "skipped"
    assert asked(explained(order, "R11", "w2"))["R11", "", "c1"] == "waived"


def test_work_of_another_complaint_that_rests_on_an_unread_reading_is_asked_too():
    order = a_whole_order(
        complaints=(a_complaint(), a_complaint("c2")),
        tests=(a_test("t1", isolates="socket_module"),),
        work=(some_work(cause="k1"), some_work("w2", complaint="c2", evidence=("t1",))),
    )

    found = asked(order)
    assert (found["R17", "", "c1"], found["R17", "", "c2"]) == ("skipped", "skipped")
    once = replace(order, tests=(a_test("t1", isolates="socket_module", repeatable=False),))
    assert ("R17", "", "c1") not in asked(once)


def test_an_assumption_is_asked_of_the_complaint_that_it_bears_on():
    assumed = [
        Assumption("a1", "The earth is sound.", bears_on="k1", status="confirmed", evidence=("t1",)),
        Assumption("a2", "The lamp is right.", status="accepted", accepted=SignedReason("Seen.", "Isa Renk")),
        Assumption("a3", "The fuse is right.", bears_on="c2", status="open"),
    ]
    order = a_whole_order(
        complaints=(a_complaint(), a_complaint("c2")), causes=(a_cause(),), assumptions=tuple(assumed)
    )

    found = asked(order)
    assert found["R14", "", "c1"] == "done"
    assert found["R14", "", ""] == "waived"
    assert found["R14", "", "c2"] == "skipped"


def test_where_another_rule_spoke_for_too_few_trials_its_explanation_waives():
    seen = a_complaint(pattern="constant", attempts=(an_attempt("not_reproduced"),))
    unseen = a_whole_order(complaints=(seen,), trials=())
    assert asked(unseen)["R19", "", "c1"] == "skipped", "R2 speaks"
    assert asked(explained(unseen, "R2", "c1"))["R19", "", "c1"] == "waived"
    assert asked(replace(unseen, trials=(a_series(),)))["R19", "", "c1"] == "done", "enough trials, R2 or not"

    again = a_whole_order(trials=(a_series(), a_series(n=3, recurrences=1, on=on(13))))
    assert asked(again)["R19", "", "c1"] == "skipped", "R20 speaks"

    planned = an_order(complaints=(a_complaint(plan=a_plan(2)),), trials=(a_series(2),))
    assert asked(planned)["R19", "", "c1"] == "done"
