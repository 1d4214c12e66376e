from datetime import date

import pytest

from diagnostics.snapshot import Cause, Declined, OutsideEvent, PlannedReturn
from tests.diagnostics.comebacks.visits import complaint, first, later, on, pair

INFORMED = date(2025, 2, 28)


def verdict(index, back):
    found = pair(index, back)
    return found.verdict, found.reason, found.exclusion


def declined(**more):
    usual = {"system": "cooling", "symptom": "overheats", "informed_on": INFORMED}
    return (Declined(**{"id": "D1", "component": "radiator", "risk": "comfort"} | usual | more),)


def outside(kind, day, system="cooling", evidence="photo 4"):
    return (OutsideEvent(kind, on(day).on, system, evidence),)


def entry(day=0, id="R1"):
    return PlannedReturn(id, on(day).on)


# X1 declined work


def test_a_declined_symptom_is_excluded():
    assert verdict(first(declined=declined()), later()) == ("excluded", "declined_work", "X1")


def test_a_declined_component_found_to_be_the_cause_is_excluded():
    back = later(causes=(Cause("K1", "C1", "radiator"),))

    assert verdict(first(declined=declined(symptom="")), back)[2] == "X1"


def test_declined_work_without_informed_date_is_only_claimed():
    found = verdict(first(declined=declined(informed_on=None)), later())

    assert found == ("needs_review", "exclusion_without_evidence:X1", "")


def test_one_informed_item_is_evidence_enough():
    items = declined(informed_on=None) + declined(id="D2")

    assert verdict(first(declined=items), later())[2] == "X1"


@pytest.mark.parametrize(
    "item", [{"system": "hvac"}, {"system": ""}, {"symptom": "leaks"}, {"symptom": "", "component": "hose"}]
)
def test_another_declined_item_claims_nothing(item):
    assert verdict(first(declined=declined(**item)), later()) == ("comeback", "same_complaint", "")


def test_a_located_component_is_no_cause_for_declined_work():
    back = later(complaints=(complaint(component="radiator"),))

    assert verdict(first(declined=declined(symptom="")), back)[0] == "comeback"


def test_a_blank_declined_component_equals_nothing():
    back = later(causes=(Cause("K1", "C1", ""),))

    assert verdict(first(declined=declined(symptom="", component="")), back)[0] == "comeback"


def test_a_declined_item_of_another_complaint_claims_nothing():
    index = first(declined=declined(system="lighting", symptom="dark"))
    back = later(complaints=(complaint(), complaint("C2", "lighting", "dark")))

    assert verdict(index, back)[0] == "comeback"


# X2 planned return


def test_a_planned_return_entered_by_hand_over_is_excluded():
    back = later(visit="planned", planned_ref="R1")

    assert verdict(first(planned_return=(entry(0),)), back) == ("excluded", "planned_return", "X2")


@pytest.mark.parametrize(
    ("entries", "ref"),
    [((entry(1),), "R1"), ((), "R1"), ((entry(),), ""), ((entry(),), "R2"), ((entry(id=" "),), " ")],
)
def test_any_other_planned_visit_claims_to_be_planned(entries, ref):
    back = later(visit="planned", planned_ref=ref)

    found = verdict(first(planned_return=entries), back)

    assert found == ("needs_review", "exclusion_without_evidence:X2", "")


@pytest.mark.parametrize("visit", ["symptom", "maintenance"])
def test_a_visit_that_is_not_planned_is_no_planned_return(visit):
    back = later(visit=visit, planned_ref="R1")

    assert verdict(first(planned_return=(entry(),)), back)[0] == "comeback"


# X3 outside damage, X4 other work

OUTSIDE = [("damage", "outside_damage", "X3"), ("other_work", "other_work", "X4")]


@pytest.mark.parametrize(("kind", "reason", "exclusion"), OUTSIDE)
@pytest.mark.parametrize("day", [0, 10])
def test_an_outside_event_from_hand_over_to_arrival_is_excluded(kind, reason, exclusion, day):
    back = later(10, outside_events=outside(kind, day))

    assert verdict(first(), back) == ("excluded", reason, exclusion)


@pytest.mark.parametrize("kind", ["damage", "other_work"])
@pytest.mark.parametrize("day", [-1, 11])
def test_an_outside_event_on_other_days_claims_nothing(kind, day):
    assert verdict(first(), later(10, outside_events=outside(kind, day)))[0] == "comeback"


@pytest.mark.parametrize("kind", ["damage", "other_work"])
@pytest.mark.parametrize("system", ["hvac", "", " "])
def test_an_outside_event_on_another_system_claims_nothing(kind, system):
    assert verdict(first(), later(outside_events=outside(kind, 5, system)))[0] == "comeback"


@pytest.mark.parametrize(("kind", "reason", "exclusion"), OUTSIDE)
@pytest.mark.parametrize("evidence", ["", " "])
def test_an_outside_event_without_evidence_is_only_claimed(kind, reason, exclusion, evidence):
    found = verdict(first(), later(outside_events=outside(kind, 5, evidence=evidence)))

    assert found == ("needs_review", f"exclusion_without_evidence:{exclusion}", "")


def test_an_outside_event_on_a_blank_system_claims_nothing():
    back = later(
        complaints=(complaint(system=""),), since_repair=True, outside_events=outside("damage", 5, "")
    )

    assert verdict(first(), back) == ("needs_review", "possibly_related", "")


# Several at once


def test_evidence_is_looked_for_in_the_order_x2_x1_x3_x4():
    events = outside("damage", 5) + outside("other_work", 5)
    planned = later(visit="planned", planned_ref="R1", outside_events=events)
    unplanned = later(outside_events=events)
    index = first(declined=declined(), planned_return=(entry(),))

    assert verdict(index, planned)[2] == "X2"
    assert verdict(index, unplanned)[2] == "X1"
    assert verdict(first(), unplanned)[2] == "X3"


def test_claims_are_looked_for_in_the_order_x2_x1_x3_x4():
    events = outside("damage", 5, evidence="") + outside("other_work", 5, evidence="")
    index = first(declined=declined(informed_on=None))

    assert verdict(index, later(visit="planned", outside_events=events))[1].endswith(":X2")
    assert verdict(index, later(outside_events=events))[1].endswith(":X1")
    assert verdict(first(), later(outside_events=events))[1].endswith(":X3")


def test_an_exclusion_on_file_comes_before_a_claimed_one():
    back = later(visit="planned", outside_events=outside("other_work", 5))

    assert verdict(first(), back) == ("excluded", "other_work", "X4")


def test_an_exclusion_comes_before_an_unknown_distance():
    index = first(declined=declined(), odo_out=None)

    assert verdict(index, later())[2] == "X1"


def test_a_claimed_exclusion_comes_before_an_unknown_distance():
    index = first(declined=declined(informed_on=None), odo_out=None)

    assert verdict(index, later())[1] == "exclusion_without_evidence:X1"


def test_outside_the_window_no_exclusion_is_looked_for():
    assert verdict(first(declined=declined()), later(91)) == ("not_candidate", "outside_window", "")
