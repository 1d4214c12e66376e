from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.comebacks.pairs import by_vehicle, in_opening_order, pairs_by_vehicle, vehicle_pairs
from diagnostics.comebacks.window import Window
from diagnostics.snapshot import Cause, Declined, PlannedReturn, Vehicle, Work
from tests.diagnostics.comebacks.visits import (
    HANDED_BACK,
    at,
    closed,
    complaint,
    counted,
    first,
    later,
    on,
    pair,
)


def verdict(index, back, **more):
    found = pair(index, back, **more)
    return found.verdict, found.reason, found.counts


def ids(orders):
    return "".join(order.id for order in orders)


# Verdicts, in the order of section 9


@pytest.mark.parametrize("outcome", ["repaired", "no_fault_found", "monitor"])
def test_these_outcomes_can_be_come_back_from(outcome):
    assert verdict(first(outcome=outcome), later()) == ("comeback", "same_complaint", True)


@pytest.mark.parametrize("index", [{"outcome": "declined_all"}, {"outcome": None}, {"returned": None}])
def test_any_other_order_is_no_index_order(index):
    assert verdict(first(**index), later()) == ("not_candidate", "index_not_eligible", False)


def test_level_days_and_distance_are_given_with_every_verdict():
    found = pair(first(outcome="declined_all"), later())

    assert (found.level, found.days, found.km, found.in_window) == ("S", 10, Decimal(500), "true")


def test_an_open_index_order_has_no_days():
    found = pair(first(returned=None, outcome=None, odo_out=None), later())

    assert (found.level, found.days, found.km, found.in_window) == ("S", None, None, "false")


def test_a_visit_without_a_symptom_complaint_is_never_a_candidate():
    back = later(complaints=(complaint(kind="maintenance"),))

    assert verdict(first(), back) == ("not_candidate", "no_symptom_complaint", False)


def test_an_unrelated_complaint_is_no_candidate():
    back = later(complaints=(complaint(system="lighting"),))

    assert verdict(first(), back) == ("not_candidate", "unrelated", False)


def test_a_late_return_keeps_its_level():
    found = pair(first(), later(91))

    assert (found.verdict, found.reason, found.level) == ("not_candidate", "outside_window", "S")
    assert not found.counts


def test_a_return_before_hand_over_is_outside_the_window():
    assert pair(first(), later(-1)).reason == "outside_window"


@pytest.mark.parametrize("odometer", [{"odo_in": None}, {"odo_in": Decimal(99_999)}])
def test_a_doubtful_odometer_needs_a_person(odometer):
    reason = "distance_unknown" if odometer["odo_in"] is None else "odometer_conflict"

    assert verdict(first(), later(**odometer)) == ("needs_review", reason, True)


def test_a_missing_odometer_at_hand_over_leaves_the_distance_unknown():
    assert verdict(first(odo_out=None), later())[1] == "distance_unknown"


def test_the_same_work_is_a_comeback():
    back = later(complaints=(complaint(system="lighting", component="harness"),))

    assert verdict(first(disturbed=("harness",)), back) == ("comeback", "same_work", True)


def test_the_same_system_needs_a_person():
    back = later(complaints=(complaint(symptom="leaks"),))

    assert verdict(first(), back) == ("needs_review", "same_system", True)


def test_a_possible_relation_needs_a_person():
    back = later(complaints=(complaint(system="hvac"),))

    assert verdict(first(), back) == ("needs_review", "possibly_related", True)


def test_the_sentence_names_reason_and_days():
    assert pair(first(), later(16)).why == "The same complaint has come back. It came back after 16 days."


# Order of opening


def test_orders_are_paired_by_date_of_opening_whatever_the_record():
    assert [(p.index_order, p.return_order) for p in vehicle_pairs([later(), first()])] == [("A", "B")]


def test_every_earlier_order_of_a_vehicle_is_paired():
    orders = [first(), later(10), later(20, id="C")]

    found = [(p.index_order, p.return_order) for p in vehicle_pairs(orders)]

    assert found == [("A", "B"), ("A", "C"), ("B", "C")]


def test_orders_of_one_date_go_by_time():
    assert ids(in_opening_order([later(id="B", opened=at(0, 15)), later(id="A", opened=at(0, 9))])) == "AB"


def test_orders_of_one_date_without_time_go_as_recorded():
    assert ids(in_opening_order([later(0, id="B"), later(id="A", opened=at(0, 9))])) == "BA"
    assert ids(in_opening_order([later(0, id="B"), later(0, id="A")])) == "BA"


def test_an_order_without_time_keeps_its_place_among_timed_ones():
    orders = [later(id="C", opened=at(0, 15)), later(0, id="B"), later(id="A", opened=at(0, 9))]

    assert ids(in_opening_order(orders)) == "ABC"


def test_two_visits_of_one_day_can_be_a_comeback():
    morning = first(opened=at(0, 8), returned=at(0, 11))
    evening = later(opened=at(0, 17))

    assert verdict(morning, evening) == ("comeback", "same_complaint", True)


# As of a day


def test_an_order_opened_after_the_day_is_left_out():
    assert vehicle_pairs([first(), later(10)], as_of=on(9).on) == ()
    assert len(vehicle_pairs([first(), later(10)], as_of=on(10).on)) == 1


def test_a_hand_over_after_the_day_has_not_happened():
    index = first(returned=on(5))

    found = pair(index, later(3), as_of=on(4).on)

    assert (found.reason, found.days, found.km) == ("index_not_eligible", None, None)


def test_a_hand_over_on_the_day_has_happened():
    assert pair(first(), later(0), as_of=on(0).on).verdict == "comeback"


# The pair a return counts in


def test_a_return_counts_against_the_strongest_level():
    other = closed(later(5, id="B", complaints=(complaint(symptom="leaks"),)), 6)

    assert counted(first(), other, later(20, id="C"))["C"] == "A"


def test_of_two_alike_a_return_counts_against_the_latest():
    again = closed(later(5, id="B"), 6)

    assert counted(first(), again, later(20, id="C")) == {"B": "A", "C": "B"}


def test_a_stronger_relation_outside_the_window_is_passed_over():
    other = closed(later(80, id="B", complaints=(complaint(symptom="leaks"),)), 81)

    assert counted(first(), other, later(100, id="C"))["C"] == "B"


def test_a_stronger_relation_of_unknown_distance_still_wins():
    index = first(odo_out=None)
    other = closed(later(5, id="B", complaints=(complaint(symptom="leaks"),)), 6)

    assert counted(index, other, later(20, id="C"))["C"] == "A"


def test_an_index_order_that_is_not_eligible_is_passed_over():
    declined = closed(later(5, id="B"), 6, outcome="declined_all")

    assert counted(first(), declined, later(20, id="C")) == {"B": "A", "C": "A"}


def test_a_weaker_pair_does_not_step_in_for_an_excluded_one():
    index = first(declined=(Declined("D1", "radiator", "comfort", "cooling", "overheats", HANDED_BACK),))
    other = closed(later(5, id="B", complaints=(complaint(symptom="leaks"),)), 6)

    found = {
        p.index_order: p for p in vehicle_pairs([index, other, later(20, id="C")]) if p.return_order == "C"
    }

    assert found["A"].counts
    assert found["A"].verdict == "excluded"
    assert not found["B"].counts


def test_an_unrelated_return_counts_nowhere():
    assert counted(first(), later(complaints=(complaint(system="lighting"),))) == {}


# A planned return takes over

ANNOUNCED = (PlannedReturn("R1", HANDED_BACK),)
PLANNED = closed(later(5, id="P", visit="planned", planned_ref="R1"), 6)
ITEM = Work("W1", "adjust", "thermostat", "cause", on(5), complaint="C1")


def after_a_planned_return(planned, back=None, **index):
    return counted(first(planned_return=ANNOUNCED, **index), planned, back or later(20))


def test_a_planned_return_with_work_takes_over():
    assert after_a_planned_return(replace(PLANNED, work=(ITEM,)))["B"] == "P"


def test_a_planned_return_counts_itself_against_the_original():
    assert after_a_planned_return(replace(PLANNED, work=(ITEM,)))["P"] == "A"


@pytest.mark.parametrize("own", ["", "C9"])
def test_work_without_a_complaint_on_record_belongs_to_that_of_its_linked_cause(own):
    planned = replace(
        PLANNED, work=(replace(ITEM, complaint=own, cause="K1"),), causes=(Cause("K1", "C1", "thermostat"),)
    )

    assert (
        after_a_planned_return(planned, later(20, complaints=(complaint("C1", symptom="leaks"),)))["B"] == "P"
    )


# The original has the stronger level, so that the later return would go back to it without a take-over.
STRONGER = {"disturbed": ("hose",)}
LINKED_BY_HOSE = later(20, complaints=(complaint(symptom="leaks", component="hose"),))


@pytest.mark.parametrize(
    "planned",
    [
        PLANNED,
        replace(
            PLANNED,
            complaints=(complaint(), complaint("C2", "lighting")),
            work=(replace(ITEM, complaint="C2"),),
        ),
        replace(PLANNED, work=(replace(ITEM, complaint=""),)),
        replace(PLANNED, work=(ITEM,), planned_ref=""),
        replace(PLANNED, work=(ITEM,), visit="symptom"),
    ],
    ids=["no work", "work on another complaint", "work on none", "only claimed", "not planned"],
)
def test_any_other_planned_return_leaves_the_original_in_place(planned):
    assert after_a_planned_return(planned, LINKED_BY_HOSE, **STRONGER)["B"] == "A"


def test_the_original_is_left_even_by_a_stronger_relation():
    assert after_a_planned_return(replace(PLANNED, work=(ITEM,)), LINKED_BY_HOSE, **STRONGER)["B"] == "P"


def test_a_planned_return_outside_the_window_takes_nothing_over():
    planned = closed(replace(PLANNED, work=(ITEM,), opened=on(91)), 92, odo_out=None)
    index = first(planned_return=ANNOUNCED)

    assert not any(p.exclusion for p in vehicle_pairs([index, planned]))


def test_take_overs_follow_one_another():
    second = closed(replace(PLANNED, id="Q", opened=on(10), planned_ref="R2", work=(ITEM,)), 11)
    planned = replace(PLANNED, work=(ITEM,), planned_return=(PlannedReturn("R2", on(6).on),))

    assert counted(first(planned_return=ANNOUNCED), planned, second, later(20)) == {
        "P": "A",
        "Q": "P",
        "B": "Q",
    }


# Vehicles


def test_vehicles_are_told_apart_by_id():
    other = later(vehicle=Vehicle("V2"))

    assert list(pairs_by_vehicle([first(), other])) == []


def test_the_same_vin_is_the_same_vehicle():
    orders = [
        first(vehicle=Vehicle("V1", vin="00ZAA11AXAA000001")),
        later(vehicle=Vehicle("V2", vin=" 00zaa11axaa000001")),
        later(20, id="C", vehicle=Vehicle("V2")),
    ]

    assert [ids(group) for group in by_vehicle(orders)] == ["ABC"]


# What holds for every history

HISTORIES = st.lists(
    st.tuples(
        st.integers(0, 120),
        st.integers(0, 30),
        st.sampled_from(["cooling", "hvac", "lighting"]),
        st.sampled_from(["repaired", "declined_all", None]),
        st.sampled_from(["symptom", "planned"]),
        st.one_of(st.none(), st.integers(99_000, 108_000)),
    ),
    max_size=7,
)


def history(rows):
    return [
        later(
            day,
            id=f"O{number}",
            returned=on(day + stay),
            outcome=outcome,
            visit=visit,
            planned_ref="R1",
            planned_return=ANNOUNCED,
            complaints=(complaint(system=system),),
            work=(ITEM,),
            odo_in=None if odometer is None else Decimal(odometer),
            odo_out=None if odometer is None else Decimal(odometer),
        )
        for number, (day, stay, system, outcome, visit, odometer) in enumerate(rows)
    ]


@given(HISTORIES)
def test_a_return_counts_at_most_once(rows):
    pairs = vehicle_pairs(history(rows))

    counting = [p.return_order for p in pairs if p.counts]
    assert len(counting) == len(set(counting))


@given(HISTORIES)
def test_every_two_orders_make_one_pair(rows):
    pairs = vehicle_pairs(history(rows))

    assert len({frozenset((p.index_order, p.return_order)) for p in pairs}) == len(pairs)
    assert len(pairs) == len(rows) * (len(rows) - 1) // 2


@given(HISTORIES)
def test_only_candidates_count(rows):
    assert all(
        p.verdict != "not_candidate" and p.level != "N" for p in vehicle_pairs(history(rows)) if p.counts
    )


@given(HISTORIES, st.integers(0, 200), st.integers(0, 200))
def test_a_longer_window_lets_no_pair_out(rows, days, more):
    def inside(window):
        pairs = vehicle_pairs(history(rows), window=window)
        return {(p.index_order, p.return_order) for p in pairs if p.in_window != "false"}

    assert inside(Window(days)) <= inside(Window(days + more))


@given(HISTORIES, st.integers(-5, 150))
def test_looking_back_changes_no_order_that_was_closed_by_then(rows, day):
    orders = history(rows)
    as_of = HANDED_BACK + timedelta(days=day)
    known = [order for order in orders if order.opened.on <= as_of and order.returned.on <= as_of]
    names = {order.id for order in known}

    then = [p for p in vehicle_pairs(orders, as_of=as_of) if {p.index_order, p.return_order} <= names]

    assert [replace(p, counts=False) for p in then] == [
        replace(p, counts=False) for p in vehicle_pairs(known)
    ]
