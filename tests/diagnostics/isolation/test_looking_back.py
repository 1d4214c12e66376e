import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.isolation import Done, advise, believe
from diagnostics.isolation.handing_over import hand_over
from diagnostics.isolation.looking_back import look_back
from tests.diagnostics.isolation.small_star import cut, look, searched

AWAY = ("unplug_fan", "down")  # Under the floor panel: dear, and unlikely to find it.


def looked(*history, taken=(), cause=None, **options):
    problem, _, done = searched(*history, **options)
    return problem, look_back(problem, done, taken, cause=cause)


def by_the_plan(problem, *, cause):
    """The history of a search that keeps to the plan until it ends."""
    history = ()
    while (advice := advise(problem, history)).test is not None:
        outcome = "up" if advice.test == f"unplug_{cause}" else "down"
        history = (*history, Done(advice.test, outcome))
    return history


# --- looking back -------------------------------------------------------------------------------------


def test_a_search_that_kept_to_the_plan_cost_no_more_than_it():
    problem, _, _ = searched()
    history = by_the_plan(problem, cause="pump")

    found = look_back(problem, history, cause="pump")

    assert found.first == found.first_taken == history[0].test
    assert found.route_cost == 0
    assert found.costliest is None
    assert "the route cost no more than the plan" in found.text


def test_a_departure_costs_what_was_expected_then_and_not_what_came_of_it():
    """Also where it found the fault at once."""
    problem, lucky = looked(("unplug_fan", "up"), cause="fan")
    _, unlucky = looked(AWAY)
    minutes = {each.test: each.expected_minutes for each in advise(problem).ranking}

    for found in (lucky, unlucky):
        assert found.route_cost == pytest.approx(minutes["unplug_fan"] - min(minutes.values()))
        assert found.costliest == 0


def test_the_dearest_departure_is_named():
    _, found = looked(("unplug_horn", "down"), AWAY, ("unplug_lamp", "up"), cause="lamp")

    assert found.costliest == 1
    assert "at step 2, “unplug the fan unit”, where the plan had “" in found.text


def test_a_choice_within_a_tie_costs_nothing():
    problem, _, _ = searched()
    advice = advise(problem)
    tied = next(
        each.test for each in advice.ranking[1:] if each.expected_minutes - advice.expected_minutes < 2
    )

    _, found = looked((tied, "down"))

    assert found.steps[0].cost == 0
    assert "for practical purposes the same as the plan's" in found.text


def test_minutes_taken_stand_beside_those_thought():
    _, found = looked(("unplug_horn", "down"), ("unplug_lamp", "up"), taken=[2, 21], cause="lamp")

    assert (found.taken, found.thought) == (23, 9)  # 2 for the horn; cover 3 + 2 and the lamp 2.
    assert "The steps took 23 min; 9 min were thought." in found.text


def test_steps_that_were_not_timed_are_left_out_of_the_clock():
    _, found = looked(("unplug_horn", "down"), ("unplug_lamp", "up"), taken=[3], cause="lamp")

    assert (found.taken, found.thought) == (3, 2)
    assert "The 1 timed step took 3 min, as thought." in found.text


def test_a_reading_that_moved_nobody_is_named():
    _, found = looked(("bar_out", "down"), ("look_hub", "fine"), ("unplug_pump", "up"), tests=[look()])

    assert found.no_help == (1,)
    assert "Without bearing on the suspects: “count the legs at the hub”." in found.text


def test_the_chance_that_the_readings_gave_the_cause_is_told():
    _, found = looked(("unplug_pump", "up"), cause="pump")

    assert "The readings gave the cause found, “pump unit”, 100 in 100." in found.text


def test_a_cause_that_was_no_suspect_is_put_on_the_map():
    assert "add it to the map" in looked(("unplug_horn", "down"))[1].text


def test_after_a_contradiction_nothing_is_held_against_anybody():
    _, found = looked(("bar_out", "up"), ("unplug_pump", "up"), ("unplug_fan", "down"))

    assert [step.cost for step in found.steps[1:]] == [None, None]


def test_a_search_without_a_reading_has_nothing_to_compare():
    assert looked()[1].text == "Nothing was read in this search, so there is nothing to compare."


histories = st.lists(
    st.sampled_from(["bar_out", "unplug_pump", "unplug_lamp", "unplug_fan", "unplug_horn"]), unique=True
)


@settings(max_examples=25)
@given(histories)
def test_whatever_the_route_it_is_told_without_blame_and_costs_nothing_less_than_nothing(tests):
    _, found = looked(*((test, "down") for test in tests))

    assert all(step.cost is None or step.cost >= 0 for step in found.steps)
    assert not re.search(r"\bwrong\b|should have|mistake|fault of|blame|\d{4}|\d\.\d", found.text)


# --- handing over -------------------------------------------------------------------------------------


def handed(*history, **options):
    problem, belief, done = searched(*history, **options)
    advice = None if belief.is_impossible else advise(problem, done)
    return hand_over(problem, belief, done, advice)


def test_what_is_known_is_the_complaint_and_every_reading():
    assert handed(("unplug_horn", "down"), ("bar_out", "up")).known == (
        "The line stays low at the socket.",
        "unplug the horn unit: it stays down",
        "take the bar out at the hub: the line comes up",
    )


def test_each_suspect_ruled_out_stands_beside_the_reading_that_did_it():
    assert handed(("unplug_horn", "down"), ("bar_out", "up")).ruled_out == (
        "by unplug the horn unit: it stays down: horn unit",
        "by take the bar out at the hub: the line comes up: pump unit, lamp unit, none of these",
    )


def test_the_suspects_stand_with_their_chances():
    assert handed(("unplug_horn", "down"), ("bar_out", "up")).suspected == (
        "fan unit: 45 in 100",
        "wire to the fan unit: 34 in 100",
        "a unit not drawn: 21 in 100",
    )


def test_what_comes_next_says_its_price_and_what_is_still_to_be_refitted():
    found = handed(("unplug_horn", "down"), ("bar_out", "up"))

    assert found.next[0].startswith("unplug the fan unit (2 min, nothing to open); about ")
    assert found.next[1] == "open, to be refitted: floor panel, insulation at the hub"


def test_a_caution_is_handed_on_before_the_test():
    hot = {**cut("unplug_heater", ["pump", "lamp", "horn"], 1), "caution": "Key off first."}

    assert handed(tests=[hot]).next[0] == "Caution: Key off first."


def test_a_search_that_has_ended_hands_on_the_cause():
    assert handed(("unplug_pump", "up")).next == (
        "pump unit: confirm it by one reading of its own, then put it right",
    )


def test_a_contradiction_is_handed_on_with_its_ways():
    found = handed(("bar_out", "up"), ("unplug_pump", "up"))

    assert found.suspected[0] == "The readings contradict the list: no suspect fits all of them."
    assert found.next[0].startswith("Measure again")


def test_a_suspect_that_came_back_is_not_ruled_out():
    """The look speaks against the unit not drawn at first; the bar brings it back."""
    priors = {"added": 0.1, "pump": 0.9}

    found = handed(("look_hub", "fine"), ("bar_out", "up"), tests=[look()], priors=priors)

    assert found.ruled_out == ("by take the bar out at the hub: the line comes up: pump unit",)


def test_the_text_has_its_four_headings():
    text = handed().text

    assert [line for line in text.splitlines() if line and not line.startswith("-")] == [
        "Known",
        "Ruled out",
        "Suspected",
        "Next",
    ]
    assert "- nobody yet" in text


@settings(max_examples=25)
@given(histories)
def test_nobody_is_suspected_and_ruled_out_at_once(tests):
    problem, belief, done = searched(*((test, "down") for test in tests))

    found = hand_over(problem, believe(problem, done), done)

    named = {line.split(": ")[0] for line in found.suspected}
    cleared = {name for line in found.ruled_out for name in line.rsplit(": ", 1)[1].split(", ")}
    assert not named & cleared
    assert belief.is_impossible or named
