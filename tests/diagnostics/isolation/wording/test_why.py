import math
import re
from dataclasses import dataclass, replace

import pytest

from diagnostics.isolation import advise
from diagnostics.isolation.wording import (
    bound_words,
    cost_in_words,
    cost_of,
    found_by,
    found_within,
    what_would_change,
    why,
    why_stop,
)
from tests.diagnostics.isolation.small_star import cut, document, searched


def reason(*history, test=None, **options):
    problem, belief, done = searched(*history, **options)
    return why(problem, belief, advise(problem, done), test)


def changes(*history, **options):
    problem, _, done = searched(*history, **options)
    return what_would_change(problem, done, advise(problem, done))


# --- the reason ---------------------------------------------------------------------------------------


def test_the_reason_names_the_test_its_price_and_the_split():
    found = reason(test="bar_out")

    assert found.sentences[0] == ("Take the bar out at the hub (19 min to get in, 13 to refit, 2 to do).")
    assert found.sentences[1].startswith("Cuts 7 suspects to 3 if the line comes up")


def test_what_is_open_already_is_no_longer_in_the_price():
    assert reason(("unplug_pump", "down"), test="unplug_lamp").price == "2 min, nothing to open"


def test_without_a_name_the_reason_is_that_of_the_advised_test():
    problem, belief, done = searched()
    advice = advise(problem, done)

    found = why(problem, belief, advice)

    assert found.test == advice.test
    assert found.expect.startswith(f"Expect about {advice.expected_minutes:.0f} min to the fault from here; ")


def test_a_caution_is_read_before_anything_else():
    hot = {**cut("unplug_heater", ["pump"], 2, label="unplug the heater"), "caution": "Key off first."}

    assert reason(test="unplug_heater", tests=[hot]).sentences[0] == "Caution: Key off first."


def test_the_second_best_is_shown_with_its_gap():
    problem, belief, done = searched()
    advice = advise(problem, done)
    second = advice.ranking[1]

    told = why(problem, belief, advice).others[0]

    assert told.startswith("Next best: “")
    assert f"{second.expected_minutes:.0f} min from here" in told


def test_another_choice_is_told_its_cost_and_never_scolded():
    text = reason(test="bar_out").text

    assert "The plan would start with: “" in text
    assert not re.search(r"wrong|should|must|mistake|instead|not advised", text)


def test_the_tempting_easy_test_is_told_with_what_it_leaves():
    told = " ".join(reason(test="bar_out").others)

    assert "The easy one, “unplug the horn unit” (2 min), leaves 6 of 7 suspects 87 times in 100" in told


def test_a_test_that_is_easy_itself_has_no_tempting_one_beside_it():
    assert "The easy one" not in reason(test="unplug_horn").text


def test_a_reason_for_no_test_of_the_problem_is_refused():
    with pytest.raises(ValueError, match="There is no test unplug_moon"):
        reason(test="unplug_moon")


def test_a_reason_has_no_bits_and_no_digits_beyond_what_is_known():
    assert not re.search(r"\d{4}|\d\.\d|\bbits?\b", reason().text)


# --- costs, chances, bounds ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("chosen", "best", "said"),
    [
        (81, 79.5, "the same for practical purposes"),
        (83.5, 79.5, "about 4 min more on average"),
        (100, 90, "about 10 min more on average"),
        (300, 292, "the same for practical purposes"),
    ],
)
def test_a_choice_within_two_minutes_or_three_in_100_is_a_tie(chosen, best, said):
    assert cost_in_words(chosen, best) == said


def test_the_cost_of_the_advised_test_is_nothing():
    problem, _, done = searched()
    advice = advise(problem, done)

    assert cost_of(advice, advice.test) == "the same for practical purposes"


def test_a_test_that_can_tell_nothing_more_is_not_compared():
    problem, _, done = searched(("unplug_pump", "down"))

    assert cost_of(advise(problem, done), "unplug_pump").startswith("not compared")


@dataclass(frozen=True)
class Plan:
    """A plan that ends at certain minutes: (minutes, share of cases)."""

    ends: tuple

    def within(self, minutes):
        return sum(share for at, share in self.ends if at <= minutes)

    def minutes_by(self, share):
        return next((at for at, _ in self.ends if self.within(at) >= share - 1e-9), math.inf)


def test_the_chance_for_the_customer_is_a_whole_number():
    assert found_within(Plan(((25, 0.606), (70, 0.394))), 30) == "61 % to find it within 30 more minutes"


def test_no_chance_is_rounded_away_to_certainty():
    assert found_within(Plan(((25, 0.998),)), 30) == "over 99 % to find it within 30 more minutes"


@pytest.mark.parametrize(
    ("ends", "said"),
    [
        (((36, 1.0),), "Nine in ten of such faults are found by 36 min."),
        (((25, 0.5), (70, 0.45)), "Half of such faults are found by 25 min, nine in ten by 70 min."),
        (
            ((25, 0.5),),
            "Half of such faults are found by 25 min; with these tests fewer than nine in ten are.",
        ),
        (((25, 0.2),), "Fewer than half of such faults are found with these tests."),
    ],
)
def test_the_spread_is_told_by_half_and_nine_in_ten(ends, said):
    assert found_by(Plan(ends)) == said


def test_the_distance_to_the_best_possible_is_told():
    problem, _, done = searched()
    advice = advise(problem, done)

    assert bound_words(replace(advice, method="exact")) == "no plan is quicker"
    guess = replace(advice, method="look-ahead", expected_minutes=70.6, lower_bound=44.0)
    assert bound_words(guess) == "no plan can need fewer than 44 min"


# --- what would change it -----------------------------------------------------------------------------


def with_zones(**minutes):
    """The problem with other minutes to get in; None: open already."""
    return [
        {**each, "already_open": True}
        if each["id"] in minutes and minutes[each["id"]] is None
        else {**each, "open_minutes": minutes.get(each["id"], each["open_minutes"])}
        for each in document()["zones"]
    ]


def test_what_is_said_of_an_open_place_is_what_the_plan_does_then():
    first = advise(searched()[0]).test

    (told,) = [each for each in changes() if "is open already" in each]

    assert told.startswith("This changes if “floor panel” is open already: then “")
    opened, _, _ = searched(zones=with_zones(panel=None))
    assert advise(opened).test != first
    assert f"“{label_of(opened, advise(opened).test)}” comes first" in told


def label_of(problem, test):
    return next(each["label"] for each in problem.document["tests"] if each["id"] == test)


def test_what_is_said_of_a_longer_access_is_what_the_plan_does_then():
    near = {"panel": 6.0, "hub": 0.0, "cover": 30.0}
    problem, _, done = searched(zones=with_zones(**near), drop=["unplug_horn", "unplug_fan"])
    advice = advise(problem, done)
    assert advice.test == "bar_out"

    (told,) = [each for each in what_would_change(problem, done, advice) if "getting in" in each]

    limit = int(re.search(r"more than about (\d+) min instead of 6 min: then “", told)[1])
    for minutes, is_first in ((limit - 6 - 1.5, True), (limit - 6 + 1.5, False)):
        zones = with_zones(**near | {"hub": minutes})
        changed, _, _ = searched(zones=zones, drop=["unplug_horn", "unplug_fan"])
        assert (advise(changed).test == "bar_out") is is_first


def test_nothing_changes_a_search_that_has_ended():
    assert changes(("unplug_pump", "up")) == ()


# --- stopping -----------------------------------------------------------------------------------------


def stop(*history, **options):
    problem, belief, done = searched(*history, **options)
    return why_stop(problem, belief, advise(problem, done))


def test_a_search_that_has_ended_asks_for_one_reading_of_its_own():
    assert stop(("unplug_pump", "up")) == (
        "Pump unit: 100 in 100.",
        "Confirm it by one reading of its own before anything is fitted.",
    )


def test_stopping_with_a_doubt_says_what_being_wrong_costs():
    told = stop(priors={"lamp": 0.98, "other": 0.02}, drop=["unplug_lamp"])

    assert told[1].startswith("Naming it and being wrong would cost 4 h, 5 min on average;")


def test_stopping_at_the_catch_all_says_to_leave_a_recorder():
    told = stop(priors={"pump": 0.1, "other": 0.9}, drop=["unplug_pump", "unplug_lamp"])

    assert told[0].startswith("Nothing on the map explains it (90 in 100).")


def test_while_a_test_is_advised_nothing_is_said_of_stopping():
    assert stop() == ()
