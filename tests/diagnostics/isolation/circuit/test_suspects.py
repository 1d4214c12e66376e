"""Which suspects a symptom leaves, why not the others, and how likely each is."""

from dataclasses import replace

import pytest

from diagnostics.isolation.circuit import (
    Circuit,
    CircuitError,
    Options,
    Override,
    Place,
    Symptom,
    Wire,
    build,
    template,
)
from diagnostics.isolation.circuit.building import priors_of
from tests.diagnostics.isolation.circuit.stars import DEAD, ids, prior, row, stars


def test_a_dead_line_leaves_out_what_cannot_hold_it_down_and_says_why():
    built = stars()

    assert {"pull_pump_unit", "chafe_w2", "wet_hub_a", "added_hub_b", "socket_w1", "other"} <= ids(
        built.document
    )
    assert not [id for id in ids(built.document) if id.startswith(("dead_", "open_", "unfed_"))]
    reasons = {left.label: left.reason for left in built.left_out}
    assert reasons["pump unit does not work"] == "It would not hold the line down at the test socket."


def test_a_line_that_stays_low_has_no_short_to_power():
    low = stars(Options(symptom=Symptom(bus="dead", level="low"))).document
    high = stars(Options(symptom=Symptom(bus="dead", level="high"))).document

    labels = [[one["label"] for one in document["candidates"]] for document in (low, high)]
    assert not [label for label in labels[0] if "to power" in label]
    assert not [label for label in labels[1] if "to ground" in label]


def test_one_silent_unit_leaves_its_own_faults_and_whether_it_is_fitted():
    built = stars(Options(symptom=Symptom(bus="alive", silent=("ramp_unit",))))

    assert ids(built.document) == {
        "dead_ramp_unit", "unfed_ramp_unit", "not_fitted_ramp_unit", "open_w7", "resist_w7", "other",
    }  # fmt: skip
    assert "It also silences the rear door unit, which is answering." in {
        left.reason for left in built.left_out
    }


def test_a_dead_load_suspects_its_whole_way_from_source_to_ground():
    circuit = template("feed_chain", "F1\nwiper motor\nG1")
    built = build(circuit, Options(symptom=Symptom(loads_dead=("wiper_motor",))))

    assert {"blown_f1", "contact_f1", "dead_wiper_motor", "lost_g1", "nofeed_battery"} <= ids(built.document)


def test_two_units_silenced_by_nothing_in_common_are_two_faults_without_being_asked_for():
    silent = Symptom(bus="alive", silent=("ramp_unit", "heater_unit"))
    document = stars(Options(symptom=silent, error=0.0)).document

    pairs = [one for one in document["candidates"] if one["kind"] == "compound"]
    assert sum(one["prior"] for one in pairs) == pytest.approx(0.97 * 0.85)
    assert "both_dead_ramp_unit_unfed_heater_unit" in ids(document)
    assert "both_dead_ramp_unit_unfed_ramp_unit" not in ids(document)
    assert row(document, "swap_ramp_unit", "both_dead_ramp_unit_unfed_heater_unit") == [1, 0]
    assert row(document, "swap_heater_unit", "both_dead_ramp_unit_unfed_heater_unit") == [0, 1]


def test_a_whole_hub_that_is_silent_is_one_fault_in_what_its_units_share():
    silent = Symptom(bus="alive", silent=("rear_door_unit", "ramp_unit", "heater_unit"))

    assert ids(stars(Options(symptom=silent)).document) == {"poor_hub_b", "open_w5", "other"}


def test_a_dead_unit_does_not_disturb_and_an_unlisted_symptom_keeps_whatever_would_be_noticed():
    noisy = stars(Options(symptom=Symptom(bus="noisy")))
    unknown = stars(Options())

    reasons = {left.label: left.reason for left in noisy.left_out}
    assert reasons["pump unit does not work"] == "A unit that does not talk disturbs nobody."
    assert {"dead_pump_unit", "pull_pump_unit", "wet_hub_a"} <= ids(unknown.document)


def test_of_two_loads_a_dead_one_clears_what_feeds_the_other():
    places = [("B", "source"), ("F", "fuse"), ("T", "splice"), ("L", "load"), ("M", "load"), ("G", "ground")]
    ends = [("B", "F"), ("F", "T"), ("T", "L"), ("T", "M"), ("L", "G"), ("M", "G")]
    circuit = Circuit(
        "feed",
        tuple(Place(*place) for place in places),
        tuple(Wire(f"w{n}", *pair) for n, pair in enumerate(ends)),
    )
    built = build(circuit, Options(symptom=Symptom(loads_dead=("L",))))

    assert ids(built.document) == {"dead_L", "open_w2", "open_w4", "other"}
    assert "It also stops the M, which is working." in {left.reason for left in built.left_out}


def test_a_symptom_that_names_nothing_on_the_map_is_refused():
    with pytest.raises(CircuitError, match="names 'attic_unit', which is no unit of this map"):
        stars(Options(symptom=Symptom(bus="alive", silent=("attic_unit",))))
    with pytest.raises(CircuitError, match="say which unit does not answer"):
        stars(Options(symptom=Symptom(bus="alive")))


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (Options(catch_all=0.0), "The share of 'none of these' is 0. Give 0.005 to 0.5"),
        (Options(error=0.5), "The chance of a misread reading is 0.5"),
        (Options(activity=0.0), "The chance that it is acting is 0"),
        (Options(priors={"pull_x": 2.0}), "The prior of 'pull_x' is 2"),
        (Options(tests={"look_x": Override(minutes=0)}), "The test 'look_x' has 0 minutes"),
    ],
)
def test_an_option_that_cannot_be_used_is_refused_in_words(options, says):
    with pytest.raises(CircuitError, match=says):
        stars(options)


# --- priors and groups ---


def test_priors_of_the_shop_are_taken_and_the_rest_is_shared_by_weight():
    document = stars(replace(DEAD, priors={"pull_ramp_unit": 0.4})).document

    assert prior(document, "pull_ramp_unit") == pytest.approx(0.4)
    assert prior(document, "other") == 0.03
    assert prior(document, "pull_pump_unit") == pytest.approx(prior(document, "pull_step_unit"))


def test_priors_that_say_more_than_all_leave_a_share_for_the_others():
    document = stars(replace(DEAD, priors={"pull_ramp_unit": 1.0, "pull_step_unit": 1.0})).document

    assert prior(document, "pull_ramp_unit") == pytest.approx(0.97 * 0.95 / 2)


def test_priors_of_zero_everywhere_are_shared_evenly():
    built = stars()
    names = [id for id in ids(built.document) if id != "other"]
    document = stars(replace(DEAD, priors=dict.fromkeys(names, 0.0))).document

    assert sum(one["prior"] for one in document["candidates"]) == pytest.approx(1)
    assert priors_of([], DEAD) == {}


def test_two_shorts_of_one_wire_are_one_suspect_and_a_unit_is_another_repair_than_its_wire():
    groups = {one["id"]: one.get("group") for one in stars().document["candidates"]}

    assert "power_w2" not in groups
    assert groups["chafe_w2"] != groups["pull_pump_unit"]


def test_what_no_test_separates_is_one_group_with_the_test_that_would():
    only_units = {f"leg_off_w{n}": Override(offered=False) for n in range(1, 9)}
    hidden = {id: Override(offered=False) for id in ids(stars().document, "tests") if "hub" in id}
    built = stars(replace(DEAD, tests=only_units | hidden))

    groups = {one["id"]: one.get("group") for one in built.document["candidates"]}
    assert groups["chafe_w2"] == groups["chafe_w3"]
    assert any("by itself, open at both ends" in alike.would for alike in built.alike)


# --- two faults at once ---


def test_two_faults_at_once_are_compounds_with_a_small_share():
    document = stars(replace(DEAD, pairs="all")).document

    pairs = [one for one in document["candidates"] if one["kind"] == "compound"]
    assert len(pairs) > 5
    assert sum(one["prior"] for one in pairs) == pytest.approx(0.97 * 0.05)
    assert row(document, "unplug_pump_unit", "both_pull_pump_unit_pull_step_unit")[1] > 0.9


def test_the_best_pair_is_that_of_the_two_that_were_believed_most():
    options = replace(
        DEAD, pairs="best", weigh={"pull_ramp_unit": 0.5, "chafe_w2": 0.4, "pull_step_unit": 0.1}
    )
    document = stars(options).document

    assert [one["members"] for one in document["candidates"] if one["kind"] == "compound"] == [
        ["pull_ramp_unit", "chafe_w2"]
    ]
