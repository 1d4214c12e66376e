"""Which tests are offered, with what warnings, and how a recorded run is heard."""

from dataclasses import replace

import pytest

from diagnostics.isolation.circuit import (
    Options,
    Override,
    Symptom,
    build,
    template,
)
from tests.diagnostics.isolation.circuit.stars import DEAD, ids, row, stars


def test_a_bar_out_and_a_leg_off_and_an_unplugged_unit_read_as_the_two_rules_say():
    """fault-isolation.md 7: unplugging does not clear a chafed wire, parting the leg at the hub does."""
    document = stars(replace(DEAD, error=0.0)).document

    assert row(document, "unplug_ramp_unit", "pull_ramp_unit") == [1, 0]
    assert row(document, "unplug_ramp_unit", "chafe_w7") == [0, 1]
    assert row(document, "leg_off_w7", "chafe_w7") == [1, 0]
    assert row(document, "bar_out_hub_b", "added_hub_b") == [1, 0]
    assert row(document, "bar_out_hub_b", "chafe_w5") == [0, 1]
    assert row(document, "back_hub_b_1", "chafe_w6") == [0, 1]
    assert row(document, "back_hub_b_1", "chafe_w7") == [1, 0]


def test_unplugging_that_brings_the_line_up_speaks_against_the_unit():
    heard = stars().listens["unplug_pump_unit"]

    assert (heard.code, heard.point) == ("unit_unplugged", "pump unit unplugged")
    assert heard.says == {"alive": "fail", "dead": "pass"}
    assert heard.observation["alive"] == "Pump unit unplugged: the line comes up."


def test_joining_back_that_brings_the_fault_back_speaks_against_what_was_joined():
    assert stars().listens["back_hub_a_1"].says == {"alive": "pass", "dead": "fail"}


def test_tests_at_an_assumed_unit_come_after_the_look_that_verifies_it():
    tests = {test["id"]: test for test in stars().document["tests"]}

    assert tests["unplug_ramp_unit"]["after"] == tests["swap_ramp_unit"]["after"] == ["fitted_ramp_unit"]
    assert "after" not in tests["unplug_pump_unit"]


def test_a_unit_that_is_seen_missing_cannot_pull_the_line():
    assert row(stars().document, "fitted_ramp_unit", "pull_ramp_unit") == [1.0, 0.0]


def test_an_intermittent_fault_gets_the_check_first_quiet_rows_and_tests_that_provoke():
    document = stars(replace(DEAD, intermittent=True)).document

    tests = {test["id"]: test for test in document["tests"]}
    assert tests["unplug_pump_unit"]["after"] == ["acting_now"]
    assert tests["unplug_pump_unit"]["likelihood"]["quiet"] == [0.99, 0.01]
    assert tests["look_hub_a"].get("after") is None
    assert tests["wiggle_w2"]["provocation"] == 1.0
    activities = {one["id"]: one.get("activity") for one in document["candidates"]}
    assert activities["chafe_w2"] == activities["other"] == 0.6


def test_a_fault_seen_acting_needs_no_check_and_is_likely_to_go_on():
    document = stars(replace(DEAD, intermittent=True, acting=True)).document

    assert "acting_now" not in ids(document, "tests")
    assert {test.get("provocation") for test in document["tests"]} == {0.9, 1.0}


def test_a_fault_that_cannot_come_and_go_is_left_out_of_an_intermittent_one():
    built = build(template("feed_chain", "F1\nwiper motor\nG1"), Options(intermittent=True))

    assert "blown_f1" not in ids(built.document)
    assert "It cannot come and go." in {left.reason for left in built.left_out}


def test_the_shop_s_own_minutes_and_cautions_win_and_a_test_not_offered_is_gone():
    own = {
        "unplug_pump_unit": Override(minutes=7.5, caution="Mind the lid."),
        "unplug_step_unit": Override(offered=False),
    }
    built = stars(replace(DEAD, tests=own))

    tests = {test["id"]: test for test in built.document["tests"]}
    assert tests["unplug_pump_unit"]["minutes"] == 7.5
    assert tests["unplug_pump_unit"]["caution"].startswith("Mind the lid. Key off")
    assert "unplug_step_unit" not in tests
    assert ("Unplug the step unit", "Not offered here.") in {
        (one.label, one.reason) for one in built.left_out
    }


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("airbag unit", "yellow plugs"),
        ("belt tensioner unit", "at least 3 minutes"),
        ("traction inverter", "only a person qualified"),
        ("fuel pump unit", "no sparks"),
    ],
)
def test_a_dangerous_name_brings_its_caution_first(name, says):
    built = build(template("single_star", f"{name}\nstep unit"), DEAD)

    test = next(test for test in built.document["tests"] if test["label"] == f"Unplug the {name}")
    assert says in test["caution"]
    assert test["caution"].index(says) < test["caution"].index("Key off before")


def test_a_zone_with_a_dangerous_name_brings_its_caution_too():
    built = build(template("single_star", "step unit @ behind the airbag 5+5\nlamp unit"), DEAD)

    test = next(test for test in built.document["tests"] if test["id"] == "unplug_step_unit")
    assert "yellow plugs" in test["caution"]


def test_a_drop_over_a_fuse_waits_for_sleep_once_and_pulling_one_waits_again():
    built = build(template("supply_tree", "F14: trailer unit, rear wash\nF2: radio"), Options())

    tests = {test["id"]: test for test in built.document["tests"]}
    assert "asleep" in tests["fuse_drop_f14"]["zones"]
    assert next(zone for zone in built.document["zones"] if zone["id"] == "asleep")["open_minutes"] == 30
    assert tests["out_f14"]["minutes"] >= 30
    assert "wakes units" in tests["out_f14"]["caution"]
    assert "caution" not in tests["fuse_drop_f14"]


def test_a_number_is_heard_by_the_range_that_holds_it():
    built = build(template("supply_tree", "F14: trailer unit, rear wash\nF2: radio"), Options())
    pair = build(template("two_wire", "a unit\nb unit\nc unit"), Options(symptom=Symptom(bus="noisy")))

    drop = next(test for test in built.document["tests"] if test["id"] == "fuse_drop_f14")
    assert [(one.get("from"), one.get("to")) for one in drop["outcomes"]] == [(0.0, 0.385), (0.385, None)]
    ohm = next(test for test in pair.document["tests"] if test["id"] == "pair")
    assert [one["id"] for one in ohm["outcomes"]] == ["touching", "about_40", "about_60", "about_120", "open"]
    assert [one["from"] for one in ohm["outcomes"]] == [0, 20, 50, 70, 200]
