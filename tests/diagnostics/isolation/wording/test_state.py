import pytest

from diagnostics.isolation import Done
from diagnostics.isolation.wording import state
from diagnostics.isolation.wording.terms import terms_of
from diagnostics.isolation.wording.together import oddest_pair
from tests.diagnostics.isolation.small_star import UNITS, cut, document, look, searched


def stands(*history, **options):
    problem, belief, done = searched(*history, **options)
    return state(problem, belief, done)


def test_a_flat_list_is_said_to_separate_nobody():
    priors = dict.fromkeys(["pump", "lamp", "fan", "horn", "wire_fan", "added"], 0.16) | {"other": 0.04}

    found = stands(priors=priors)

    assert found.kind == "flat"
    assert found.text == "Nothing separates them yet: 7 suspects, none above 16 in 100."


def test_a_list_with_a_leader_names_the_first_three():
    found = stands(priors={"pump": 0.5, "lamp": 0.2, "fan": 0.1, "horn": 0.1, "added": 0.07, "other": 0.03})

    assert found.kind == "open"
    assert found.text == (
        "6 suspects left, the likeliest first: “pump unit” (50 in 100), “lamp unit” (20), “fan unit” (10), "
        "and 3 more."
    )


def test_one_suspect_left_is_said_so():
    assert stands(("unplug_pump", "up")).text == "One suspect is left: “pump unit”."


@pytest.mark.parametrize(("share", "said"), [(0.14, False), (0.15, True), (0.4, True)])
def test_a_search_that_goes_off_the_list_is_said_aloud(share, said):
    found = stands(priors={"pump": 1 - share, "other": share})

    assert (found.kind == "off the list") is said
    assert ("This is going off the list" in found.text) is said


# --- readings that cannot be --------------------------------------------------------------------------


def contradiction():
    return stands(("unplug_horn", "down"), ("bar_out", "up"), ("unplug_pump", "up"))


def test_a_contradiction_names_the_readings_that_cannot_go_together():
    found = contradiction()

    assert found.kind == "impossible"
    assert found.sentences == (
        "The readings contradict the list: no suspect fits all of them.",
        "These 2 cannot all be true: 2. “take the bar out at the hub: the line comes up”; "
        "3. “unplug the pump unit: the line comes up”.",
    )


def test_a_contradiction_offers_the_ways_on():
    ways = {way.code: way.text for way in contradiction().ways}

    assert list(ways) == ["measure_again", "two_faults", "not_on_the_map", "assumption"]
    assert ways["measure_again"].startswith("Measure again, the cheaper first: “take the bar out at the hub”")
    assert "Nobody has checked: “the hub carries only what is drawn”" in ways["assumption"]


def test_the_cheaper_reading_is_the_first_to_take_again():
    """Both places are open by now; unplugging takes as long as the bar, so the earlier one stands first."""
    assert contradiction().repeat == (1, 2)


# --- readings that hardly go together -----------------------------------------------------------------


def test_readings_that_hardly_go_together_are_named_with_the_cheaper_to_repeat():
    found = stands(("bar_out", "up"), ("unplug_pump", "up"), error=0.01)

    assert found.sentences[-1] == (
        "These two readings do not go together well: “take the bar out at the hub: the line comes up” and "
        "“unplug the pump unit: the line comes up”. By the list both are seen in 1 in 100. Repeat the "
        "cheaper, “take the bar out at the hub” (2 min)."
    )
    assert found.repeat == (0, 1)


def test_a_lucky_reading_speaks_against_nothing():
    """Unplugging the right unit at once is rare, and fits whatever was read before."""
    found = stands(("unplug_pump", "down"), ("unplug_lamp", "down"), ("unplug_horn", "up"), error=0.01)

    assert found.repeat == ()


def test_the_chance_of_both_is_that_of_plain_bayes():
    """Worked by hand for pump 0.5, fan 0.5: both come up with 0.01 x 0.99 whichever it is."""
    given = document(priors={"pump": 0.5, "fan": 0.5}, error=0.01)
    priors = {each["id"]: each["prior"] for each in given["candidates"]}

    odd = oddest_pair(terms_of(given), priors, (Done("bar_out", "up"), Done("unplug_pump", "up")))

    assert odd.chance == pytest.approx(0.0099)


def test_one_reading_alone_is_no_pair():
    given = document(error=0.01)
    priors = {each["id"]: each["prior"] for each in given["candidates"]}

    assert oddest_pair(terms_of(given), priors, (Done("bar_out", "up"),)) is None


def test_of_three_readings_the_two_that_disagree_are_named():
    again = cut("bar_again", ["fan", "wire_fan", "added"], 2, ["hub"], 0.01, label="bar out once more")

    found = stands(
        ("unplug_horn", "down"), ("bar_out", "up"), ("bar_again", "down"), error=0.01, tests=[again]
    )

    assert set(found.repeat) == {1, 2}


def test_a_false_alarm_of_a_look_is_no_contradiction():
    assert stands(("look_hub", "wrong"), ("bar_out", "down"), tests=[look()]).repeat == ()


def test_no_unit_of_the_map_is_called_by_its_id():
    text = stands().text

    assert all(f" {name} " not in text for name in UNITS)
