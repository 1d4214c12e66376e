"""The problem as it stands: zones said to be open, tests that cannot be done."""

from diagnostics.searching.problem import as_it_stands, can_be_repeated
from tests.diagnostics.searching.example import example


def test_a_zone_said_to_stand_open_is_open_with_all_around_it():
    stands = as_it_stands(example(), open_zones=["hub_a"])

    opened = {zone["id"] for zone in stands["zones"] if zone.get("already_open")}
    assert opened == {"hub_a", "floor_panel", "socket"}


def test_a_zone_that_is_not_of_the_problem_is_passed_over():
    assert as_it_stands(example(), open_zones=["attic"])["zones"] == example()["zones"]


def test_a_test_that_cannot_be_done_is_left_out_with_those_that_follow_it():
    document = example()
    document["tests"][1]["after"] = ["hub_a_level"]

    kept = {test["id"] for test in as_it_stands(document, left_out=["hub_a_level"])["tests"]}
    assert kept.isdisjoint({"hub_a_level", "bar_a_out"})
    assert len(kept) == len(document["tests"]) - 2


def test_a_test_that_was_read_stays_though_it_cannot_be_done_again():
    kept = as_it_stands(example(), left_out=["bar_b_out"], done=["bar_b_out"])["tests"]

    assert "bar_b_out" in {test["id"] for test in kept}


def test_the_document_as_posed_is_not_touched():
    document = example()
    as_it_stands(document, open_zones=["bench"], left_out=["bar_b_out"])

    assert document == example()


def test_what_takes_something_apart_is_not_taken_again_after_the_repair():
    again = {test["id"] for test in example()["tests"] if can_be_repeated(test)}

    assert {"hub_a_level", "look_hub_a"} <= again
    assert again.isdisjoint({"bar_b_out", "half_b", "unplug_U4", "wiggle_rear"})
