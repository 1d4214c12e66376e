"""A search from its first reading to the named cause, and what the evidence rules say of it then."""

import pytest
from django.utils import timezone

from diagnostics import recording
from diagnostics.assessment import assess
from diagnostics.models import Cause, FaultSearch, Suspect, TestRun
from shared.models import AuditEntry
from tests.diagnostics.searching.conftest import NOON
from tests.factories import TestRunFactory

pytestmark = pytest.mark.django_db


def press(client, search, test, outcome, **more):
    """Press an outcome on the card of a test."""
    data = {"test": test, "outcome": outcome, **more}
    return client.post(f"{search.get_absolute_url()}act/reading/", data, follow=True)


def act(client, search, kind, **data):
    return client.post(f"{search.get_absolute_url()}act/{kind}/", data, follow=True)


def to_the_ramp_unit(client, search):
    """Readings that leave the ramp unit alone; the last one shows it by itself."""
    for test, outcome in (("bar_b_out", "alive"), ("half_b", "alive"), ("unplug_U10", "dead")):
        press(client, search, test, outcome)
    press(client, search, "unplug_U9", "alive")


def gaps(order):
    order.refresh_from_db()
    order.returned_on, order.waiting_on = timezone.localdate(), ""
    order.save()
    return {(one.rule, one.subject) for one in assess(order.pk).findings if one.state == "gap"}


def test_pressing_an_outcome_records_an_ordinary_test_run(technician, search, order):
    press(technician, search, "bar_b_out", "alive", minutes="12")

    run = TestRun.objects.get(order=order)
    assert (run.code, run.point, run.phase, run.result) == ("remove_bar", "bar_b_out", "before", "fail")
    assert run.observation == "bar out at hub B: side A and bridge only: alive."
    assert (run.complaint_ref, run.repeatable, run.done_by) == ("C1", False, "Tobin Marl")


def test_after_an_outcome_the_search_goes_on(technician, search):
    answer = press(technician, search, "bar_b_out", "alive")

    assert answer.redirect_chain[-1][0] == f"{search.get_absolute_url()}#next"


def test_the_reading_that_leaves_one_repair_isolates_its_component(technician, search, order):
    to_the_ramp_unit(technician, search)

    assert list(TestRun.objects.filter(order=order).values_list("isolates", flat=True)) == [
        "", "", "", "ramp unit",
    ]  # fmt: skip


def test_after_the_path_no_rule_asks_for_isolation_rivals_or_follow_up(technician, search, order, tobin):
    TestRunFactory(
        order=order, ref="T9", code="line_state", point="test socket", kind="attribute", complaint_ref="C1",
        result="fail", observation="The line stays low.",
    )  # fmt: skip
    search.options = {"symptom_runs": ["T9"]}
    search.save()
    to_the_ramp_unit(technician, search)
    act(technician, search, "name", mode="pulls the line down", statement="It came up without it.")
    cause = Cause.objects.get(order=order)
    recording.add_work(
        order, by=tobin, at=timezone.now(), kind="replace", component="ramp unit", reason="cause",
        complaint_ref="C1", cause_ref=cause.ref,
    )  # fmt: skip

    found = gaps(order)
    assert {rule for rule, _ in found} & {"R9", "R11", "R12", "R13"} == set()
    # Taken again after the repair is the symptom alone: the others took something apart.
    assert {subject for rule, subject in found if rule == "R17"} == {"T9"}


def test_naming_writes_suspects_with_what_ruled_them_out(technician, search, complaint):
    to_the_ramp_unit(technician, search)
    act(technician, search, "name")

    states = {one.component: (one.state, one.evidence) for one in Suspect.objects.filter(complaint=complaint)}
    assert states["ramp unit"] == ("confirmed", ["T1", "T4"])
    assert states["heater unit"][0] == "ruled_out"
    assert all(evidence for _, evidence in states.values())


def test_naming_ends_the_search_in_one_transaction_with_an_entry_each(technician, search, order):
    to_the_ramp_unit(technician, search)
    before = AuditEntry.objects.count()
    act(technician, search, "name")

    search.refresh_from_db()
    cause = Cause.objects.get(order=order)
    assert (search.end, search.cause_ref, cause.component) == ("found", cause.ref, "ramp unit")
    made = list(AuditEntry.objects.order_by("pk")[before:].values_list("action", flat=True))
    assert (made.count("name cause"), made.count("find fault")) == (1, 1)
    assert made.count("add suspect") == Suspect.objects.count()


def test_failing_readings_on_the_way_are_cited_or_say_where_they_led(technician, search, order):
    """What failed and was taken again does not speak for the cause: where it led stands at the reading."""
    press(technician, search, "unplug_U8", "alive")
    press(technician, search, "unplug_U8", "dead")
    press(technician, search, "bar_b_out", "alive")
    press(technician, search, "half_b", "alive")
    press(technician, search, "unplug_U10", "dead")
    press(technician, search, "unplug_U9", "alive")
    act(technician, search, "name")

    cited = set(Cause.objects.get(order=order).evidence)
    failing = TestRun.objects.filter(order=order, result="fail", status="done", superseded_by=None)
    left = {run.ref: run.disposition_reason for run in failing if run.ref not in cited}
    assert list(left) == ["T1"]
    assert left["T1"].startswith("Followed up in the search F1: it led to “unplug the rear door unit”.")


def by_elimination(client, search):
    """Readings that clear everybody but the chafed wire, which none of them shows by itself."""
    readings = (("bar_b_out", "alive"), ("half_b", "dead"), ("unplug_U7", "dead"), ("unplug_U8", "dead"))
    for test, outcome in readings:
        press(client, search, test, outcome)


def test_what_is_left_over_is_not_named_before_a_reading_of_its_own(technician, search, order):
    by_elimination(technician, search)
    page = act(technician, search, "name").content.decode()

    assert "Confirm it by one reading of its own first" in page
    assert not Cause.objects.filter(order=order).exists()


def test_one_reading_of_its_own_confirms_what_is_left_and_it_can_be_named(technician, search, order):
    by_elimination(technician, search)
    act(technician, search, "confirm", candidate="chafe_w8", outcome="shown", note="Bare at the grommet.")
    act(technician, search, "name")

    run = TestRun.objects.get(order=order, ref="T5")
    assert (run.code, run.result, run.repeatable) == ("wire_alone", "fail", False)
    assert run.observation.endswith("Bare at the grommet.")
    assert Cause.objects.get(order=order).evidence == ["T1", "T2", "T5"]
    assert gaps(order) & {("R9", f"T{n}") for n in range(1, 6)} == set()


def test_a_suspect_that_does_not_show_is_not_named(technician, search, order):
    by_elimination(technician, search)
    page = act(technician, search, "confirm", candidate="chafe_w8", outcome="sound").content.decode()

    assert "repeat the readings that led here" in page
    act(technician, search, "name")
    assert not Cause.objects.filter(order=order).exists()


def test_a_cause_named_on_the_job_page_ends_the_search(search, order, tobin):
    cause = recording.name_cause(order, by=tobin, at=NOON, complaint_ref="C1", component="hub B")

    search.refresh_from_db()
    assert (search.end, search.cause_ref, search.ended_by) == ("found", cause.ref, "Tobin Marl")


def test_a_cause_of_another_complaint_leaves_it_running(search, order, tobin):
    recording.name_cause(order, by=tobin, at=NOON, complaint_ref="C2", component="hub B")

    assert FaultSearch.objects.get(pk=search.pk).is_running


def test_an_ended_search_says_what_should_have_come_first(technician, search):
    to_the_ramp_unit(technician, search)
    act(technician, search, "name")
    page = technician.get(search.get_absolute_url()).content.decode()

    assert "The fault is found" in page
    # fault-isolation.md 13.6, read: the bar at hub B is the best first test, so nothing was lost there.
    assert "First was “bar out at hub B: side A and bridge only”, as the plan would have it" in page
