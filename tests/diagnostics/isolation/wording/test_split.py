import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.isolation.wording.limits import limit_sentences
from diagnostics.isolation.wording.readings import readings
from diagnostics.isolation.wording.split import leaves, split_sentences
from diagnostics.isolation.wording.terms import terms_of
from tests.diagnostics.isolation.small_star import cut, document, look

EVERYBODY = ("pump", "lamp", "fan", "horn", "wire_fan", "added", "other")


def told(test, *, price=10.0, **options):
    found = document(**options)
    posterior = {each["id"]: each["prior"] for each in found["candidates"]}
    return split_sentences(terms_of(found), posterior, test, price)


def limits(test, **options):
    found = document(**options)
    posterior = {each["id"]: each["prior"] for each in found["candidates"]}
    return limit_sentences(terms_of(found), posterior, test)


# --- the split ----------------------------------------------------------------------------------------


def test_a_split_says_what_either_reading_leaves_and_how_likely_it_is():
    assert told("bar_out") == (
        "Cuts 7 suspects to 3 if the line comes up (38 in 100) and to 4 if it stays down.",
        "Whichever way it reads, at least 3 of 7 go off the list.",
    )


def test_a_test_of_one_unlikely_suspect_says_that_it_makes_nobody_wiser():
    assert told("unplug_horn", price=2) == (
        "Nine times in ten you will be no wiser (it stays down, 6 suspects left), but it takes 2 min.",
        "If the line comes up (13 in 100), “horn unit” is left.",
    )


def test_a_long_test_is_not_excused_by_its_minutes():
    assert "but it takes" not in told("unplug_horn", price=30)[0]


def test_a_reading_that_leaves_one_suspect_names_it():
    assert told("unplug_pump", price=7)[0] == (
        "Cuts 7 suspects to one, “pump unit”, if the line comes up (26 in 100) and to 6 if it stays down."
    )


def test_a_test_between_two_suspects_settles_it():
    assert told("unplug_pump", priors={"pump": 0.7, "lamp": 0.3}) == (
        "Settles it: “pump unit” if the line comes up (70 in 100), “lamp unit” if it stays down (30 in 100).",
    )


def test_a_weak_test_says_whose_chance_it_moves():
    weak = cut("feel", ["lamp"], 1, error=0.3, label="feel the lamp unit")

    assert told("feel", tests=[weak]) == (
        "Takes nobody off the list but moves the chances: “lamp unit” goes from 20 to 37 in 100 if the line "
        "comes up (38 in 100).",
    )


def test_a_reading_that_comes_whatever_is_wrong_is_said_to_tell_nothing():
    assert told("look_hub", tests=[look(false_alarm=0.0)], priors={"pump": 0.99, "added": 0.01})[0] == (
        "Whatever is wrong, nearly every time it looks fine: by itself this tells next to nothing."
    )


def test_three_readings_are_told_one_by_one():
    level = {
        **cut("level", [], 2, label="level"),
        "kind": "measure",
        "outcomes": [{"id": "low", "to": 1, "unit": "V"}, {"id": "half", "from": 1, "to": 7, "unit": "V"},
                     {"id": "high", "from": 7, "unit": "V"}],
        "likelihood": {"default": [1, 0, 0], "by_candidate": {"pump": [0, 1, 0], "lamp": [0, 1, 0],
                                                              "fan": [0, 0, 1], "horn": [0, 0, 1]}},
    }  # fmt: skip

    assert told("level", tests=[level])[0] == (
        "Cuts 7 suspects to 2 if it reads 1 to 7 V (46 in 100), to 2 if it reads 7 V or more (30 in 100) and "
        "to 3 if it reads 1 V or less (24 in 100)."
    )


def test_what_the_easy_one_leaves():
    found = document()
    posterior = {each["id"]: each["prior"] for each in found["candidates"]}

    assert leaves(terms_of(found), posterior, "unplug_horn") == "6 of 7 suspects 87 times in 100"


beliefs = st.lists(st.floats(0, 1), min_size=7, max_size=7).filter(lambda shares: sum(shares) > 0.1)


@given(beliefs, st.sampled_from(["bar_out", "unplug_horn", "look_hub"]), st.floats(0, 0.3))
def test_whatever_is_believed_no_sentence_has_more_digits_than_a_person_reads(shares, test, error):
    found = document(tests=[look()], error=error, activity={"wire_fan": 0.5})
    posterior = {name: share / sum(shares) for name, share in zip(EVERYBODY, shares, strict=True)}

    sentences = split_sentences(terms_of(found), posterior, test, 12)

    assert sentences
    for sentence in sentences:
        assert sentence.endswith(".")
        assert not re.search(r"\d{4}|\d\.\d|\bbits?\b|%", sentence)


@given(beliefs, st.sampled_from(["bar_out", "unplug_horn", "look_hub"]))
def test_the_readings_of_a_test_share_out_the_whole_belief(shares, test):
    found = document(tests=[look()], activity={"wire_fan": 0.5})
    posterior = {name: share / sum(shares) for name, share in zip(EVERYBODY, shares, strict=True)}

    told = readings(terms_of(found), posterior, test)

    assert sum(each.chance for each in told) == pytest.approx(1)
    for name, share in posterior.items():
        assert sum(each.chance * each.posterior[name] for each in told) == pytest.approx(share)


# --- what stays open ----------------------------------------------------------------------------------


def test_a_unit_that_is_cleared_does_not_clear_its_wire():
    assert limits("unplug_fan") == (
        "If it stays down, that clears “fan unit”, but not what is beside it: “wire to the fan unit” stays "
        "on the list.",
    )


def test_a_unit_without_a_suspected_wire_has_no_such_limit():
    assert limits("unplug_pump") == ()


def test_a_good_reading_is_weak_against_a_fault_that_rests():
    assert limits("unplug_pump", activity={"wire_fan": 0.6}) == (
        "If the line comes up, that is weak against “wire to the fan unit”: it acts only six times in ten, "
        "and a fault at rest reads like a sound circuit.",
    )


def test_a_provoked_fault_acts_more_often():
    wiggle = cut("wiggle", ["fan"], 4, provocation=0.5, label="work the loom")

    assert "only six times in ten" in limits("wiggle", tests=[wiggle], activity={"wire_fan": 0.2})[0]


def test_a_test_that_is_only_the_way_to_others_says_to_which():
    ask = {**cut("ask", [], 1, label="is it acting up now"), "kind": "read_out"}
    ask["likelihood"] = {"default": [0.5, 0.5]}
    waits = [
        cut(f"then_{name}", [name], 1, label=f"measure the {name}", after=["ask"])
        for name in ("pump", "lamp")
    ]

    assert told("ask", tests=[ask, *waits]) == (
        "By itself it moves no chance by more than 1 in 100.",
        "It is the way to what tells more: “measure the pump” and “measure the lamp” wait for it.",
    )


def test_what_can_be_done_already_waits_for_nothing():
    found = document(tests=[cut("ask", [], 1, error=0.5), cut("then", [], 1, after=["ask"])])
    posterior = {each["id"]: each["prior"] for each in found["candidates"]}

    assert len(split_sentences(terms_of(found), posterior, "ask", 1, open_to=["then"])) == 1


def test_a_look_that_clears_one_of_many_is_not_said_to_cut():
    fitted = cut("fitted", [], 1, error=0.5, label="see whether the horn unit is fitted")
    fitted["likelihood"]["by_candidate"]["horn"] = [0.0, 1.0]

    assert told("fitted", tests=[fitted]) == (
        "Of 7 suspects it leaves 6 if the line comes up (44 in 100), all of them if it stays "
        "down (57 in 100).",
    )
