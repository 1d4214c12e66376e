import json
from datetime import UTC, datetime
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from diagnostics import returns, watching
from diagnostics.models import Assumption, Explanation, RequiredStep, ReturnVisit
from tests.diagnostics.visits import first_visit, later_visit, on
from tests.factories import ComplaintFactory, OrderFactory, OwnerFactory, WorkItemFactory

pytestmark = pytest.mark.django_db

MONDAY = datetime(2026, 3, 16, 9, 0, tzinfo=UTC)
PAIR_KEYS = [
    "index_order",
    "return_order",
    "counts",
    "level",
    "days",
    "km",
    "in_window",
    "exclusion",
    "verdict",
    "reason",
    "state",
    "skipped",
    "unsupported_parts",
    "open_assumptions",
]


def run(*args):
    out = StringIO()
    call_command(*args, stdout=out, stderr=StringIO())
    return out.getvalue()


def answers(*args):
    return [json.loads(line) for line in run(*args, "--json").splitlines()]


# --- comebacks ----------------------------------------------------------------------------------------


def test_a_pair_is_told_with_exactly_these_keys():
    first = first_visit(number="1042")
    later_visit(first, number="1057")

    (pair,) = answers("comebacks")

    assert list(pair) == PAIR_KEYS
    assert pair == {
        "index_order": "1042",
        "return_order": "1057",
        "counts": True,
        "level": "S",
        "days": 10,
        "km": 500.0,
        "in_window": "true",
        "exclusion": None,
        "verdict": "comeback",
        "reason": "same_complaint",
        "state": "unreviewed",
        "skipped": [],
        "unsupported_parts": [],
        "open_assumptions": [],
    }


def test_what_the_earlier_order_left_unproved_is_told():
    first = first_visit()
    RequiredStep.objects.create(complaint=first.complaint_set.get(), code="pressure_hold", phase="before")
    WorkItemFactory(order=first, ref="W1", component="thermostat")
    Assumption.objects.create(order=first, ref="A1", text="The radiator is new.", status="open")
    later_visit(first)

    (pair,) = answers("comebacks")

    assert (pair["skipped"], pair["unsupported_parts"], pair["open_assumptions"]) == (
        ["pressure_hold"],
        ["W1"],
        ["A1"],
    )


def test_every_pair_of_a_vehicle_is_told_also_the_unrelated_ones():
    first = first_visit()
    later_visit(first, system="lighting", symptom="lamp_out")

    (pair,) = answers("comebacks")

    assert (pair["verdict"], pair["reason"], pair["level"]) == ("not_candidate", "unrelated", "N")


def test_a_missing_odometer_gives_no_distance():
    first = first_visit(odo_out=None)
    later_visit(first)

    (pair,) = answers("comebacks")

    assert (pair["km"], pair["in_window"], pair["reason"]) == (None, "unknown", "distance_unknown")


def test_a_review_is_told_as_the_state():
    first = first_visit()
    later_visit(first)
    watching.recount(at=MONDAY)
    returns.review(ReturnVisit.objects.get(), state="confirmed", by=OwnerFactory(), at=MONDAY)

    (pair,) = answers("comebacks")

    assert pair["state"] == "confirmed"


def test_as_of_a_day_leaves_out_what_was_opened_later():
    first = first_visit()
    later_visit(first, day=10)

    assert answers("comebacks", "--as-of", on(9).isoformat()) == []
    assert len(answers("comebacks", "--as-of", on(10).isoformat())) == 1


def test_as_of_a_day_holds_a_later_hand_over_for_open():
    first = first_visit(day=20, opened_on=on(0))
    later_visit(first, day=10)

    (pair,) = answers("comebacks", "--as-of", on(15).isoformat())

    assert (pair["reason"], pair["days"]) == ("index_not_eligible", None)


@pytest.mark.parametrize(
    ("option", "inside", "outside"), [("--window-days", "10", "9"), ("--window-km", "500", "499.9")]
)
def test_a_window_of_ones_own_replaces_that_of_the_location(option, inside, outside):
    first = first_visit()
    later_visit(first)

    assert answers("comebacks", option, inside)[0]["in_window"] == "true"
    assert answers("comebacks", option, outside)[0]["reason"] == "outside_window"


@pytest.mark.parametrize(("option", "value"), [("--window-days", "-1"), ("--window-km", "-0.5")])
def test_a_window_below_nothing_is_refused(option, value):
    with pytest.raises(CommandError, match="cannot be below 0"):
        run("comebacks", f"{option}={value}")


def test_a_window_that_is_no_number_is_refused():
    with pytest.raises(CommandError, match=r"is 'far'.*number of kilometres"):
        run("comebacks", "--window-km", "far")


@pytest.mark.parametrize("value", ["nan", "infinity"])
def test_a_window_that_is_no_finite_number_is_refused(value):
    with pytest.raises(CommandError, match="--window-km"):
        run("comebacks", "--window-km", value)


def test_a_shop_without_orders_has_no_pair():
    assert run("comebacks", "--json") == ""


def test_a_pair_reads_as_a_sentence():
    first = first_visit(number="1042")
    later_visit(first, number="1057")

    assert "1042 -> 1057: comeback (same_complaint, counts), level S, 10 days, 500 km" in run("comebacks")


def test_a_pair_without_days_reads_as_a_sentence():
    first = OrderFactory(number="1042")
    later_visit(first, number="1057")

    line = run("comebacks")

    assert "days not known" in line
    assert "None" not in line


# --- analyse ------------------------------------------------------------------------------------------


def test_what_the_audit_counts_is_written_by_command_once():
    later_visit(first_visit())

    assert "2 orders in" in run("analyse", "--processes", "1")
    (again,) = answers("analyse")

    assert again.pop("seconds") > 0
    assert again == {"orders": 2, "pairs_written": 0, "jobs_written": 0, "checks_written": 0}
    assert ReturnVisit.objects.count() == 1


# --- gaps ---------------------------------------------------------------------------------------------


def test_the_gaps_of_an_order_are_told_with_exactly_these_keys():
    order = first_visit(number="1042")
    RequiredStep.objects.create(complaint=order.complaint_set.get(), code="pressure_hold", phase="before")

    (answer,) = answers("gaps", "1042")

    assert list(answer) == ["order", "findings", "chain"]
    assert answer["order"] == "1042"
    assert answer["chain"] == [{"complaint": "C1", "status": "broken at attempt"}]
    skipped = next(finding for finding in answer["findings"] if finding["rule"] == "R4")
    assert list(skipped) == ["rule", "subject", "state", "text"]
    assert (skipped["subject"], skipped["state"]) == ("C1:pressure_hold", "gap")
    assert "pressure hold" in skipped["text"]


def test_findings_of_an_open_order_are_pending():
    ComplaintFactory(order=OrderFactory(number="1057"), ref="C1")

    (answer,) = answers("gaps", "1057")

    assert {finding["state"] for finding in answer["findings"]} == {"pending"}


def test_an_explained_finding_is_told_as_explained():
    order = first_visit(number="1042")
    Explanation.objects.create(
        order=order, rule="R1", subject="C1", reason="The car would not move.", signed_by="Isa Renk"
    )

    (answer,) = answers("gaps", "1042")

    assert [f["state"] for f in answer["findings"] if f["rule"] == "R1"] == ["explained"]


def test_an_order_without_a_complaint_has_nothing_to_tell():
    OrderFactory(number="1042", returned_on=on(0), outcome="repaired")

    assert answers("gaps", "1042") == [{"order": "1042", "findings": [], "chain": []}]


def test_orders_come_in_the_order_asked_for():
    first_visit(number="1")
    first_visit(number="2")

    assert [answer["order"] for answer in answers("gaps", "2", "1")] == ["2", "1"]


def test_all_orders_are_told():
    first_visit(number="1")
    first_visit(number="2")

    assert sorted(answer["order"] for answer in answers("gaps", "--all")) == ["1", "2"]


def test_one_order_and_all_orders_tell_the_same_of_it():
    first = first_visit(number="1")
    WorkItemFactory(order=first, ref="W1", component="pump")
    second = first_visit(first.vehicle, number="2", day=30)
    WorkItemFactory(order=second, ref="W1", component="pump")

    of_all = {answer["order"]: answer for answer in answers("gaps", "--all")}

    assert answers("gaps", "2") == [of_all["2"]]
    assert "R26" in {finding["rule"] for finding in of_all["2"]["findings"]}


def test_an_unknown_order_is_named():
    first_visit(number="1042")

    with pytest.raises(CommandError, match="No such order: 99, 98"):
        run("gaps", "99", "1042", "98")


@pytest.mark.parametrize("args", [(), ("1042", "--all")])
def test_one_must_say_which_orders(args):
    with pytest.raises(CommandError, match="Give order numbers, or --all"):
        run("gaps", *args)


def test_gaps_read_as_lines():
    first_visit(number="1042")

    told = run("gaps", "1042")

    assert "Order 1042" in told
    assert "complaint C1: broken at attempt" in told
    assert "R1 C1 (gap)" in told
