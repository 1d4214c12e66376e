"""A map with a symptom becomes a whole, valid isolation problem."""

import time
from dataclasses import replace

import jsonschema
import pytest
from hypothesis import HealthCheck, assume, given, settings

from diagnostics.catalogue import load
from diagnostics.isolation.circuit import CircuitError, Options, Override, Symptom, build, template
from diagnostics.isolation.circuit.building import priors_of
from tests.diagnostics.isolation.circuit.circuits import problems

DEAD = Options(symptom=Symptom(bus="dead"))
STARS = (
    "hub A:\npump unit @ locker 10+8\nstep unit\nlamp unit\nhub B:\nrear door unit\nramp unit ?\nheater unit"
)


def stars(options=DEAD):
    return build(template("joined_stars", STARS), options)


def row(document, test, candidate):
    likelihood = next(one for one in document["tests"] if one["id"] == test)["likelihood"]
    return likelihood["by_candidate"].get(candidate, likelihood["default"])


def prior(document, id):
    return next(one["prior"] for one in document["candidates"] if one["id"] == id)


def ids(document, part="candidates"):
    return {one["id"] for one in document[part]}


# --- what holds for every map ---


def _check_numbers(document):
    assert sum(one["prior"] for one in document["candidates"]) == pytest.approx(1, abs=1e-9)
    for test in document["tests"]:
        likelihood = test["likelihood"]
        rows = [likelihood["default"], *likelihood["by_candidate"].values()]
        rows += [likelihood["quiet"]] if "quiet" in likelihood else []
        for one in rows:
            assert len(one) == len(test["outcomes"]), test["id"]
            assert sum(one) == pytest.approx(1, abs=1e-9), test["id"]


def _check_references(document):
    zones, tests = ids(document, "zones"), ids(document, "tests")
    for test in document["tests"]:
        assert set(test["zones"]) <= zones
        assert set(test.get("after", ())) <= tests - {test["id"]}
        assert set(test["likelihood"]["by_candidate"]) <= ids(document)
        needs = set(test.get("after", ()))
        assert all("after" not in one for one in document["tests"] if one["id"] in needs), "no ring"
    for one in document["candidates"]:
        assert set(one.get("members", ())) <= ids(document)


def _check_listens(built):
    points = [(heard.code, heard.point) for heard in built.listens.values()]
    assert len(set(points)) == len(points)
    for test in built.document["tests"]:
        heard = built.listens[test["id"]]
        outcomes = [outcome["id"] for outcome in test["outcomes"]]
        assert list(heard.says) == list(heard.observation) == outcomes
        assert 0 < len(heard.point) <= 64
    assert set(built.components) == ids(built.document)
    assert all(len(part.component) <= 64 for part in built.components.values())


def _columns(document):
    for one in document["candidates"]:
        rows = tuple(tuple(row(document, test["id"], one["id"])) for test in document["tests"])
        yield one.get("group", one["id"]), one["kind"], (one.get("activity"), rows)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(problem=problems())
def test_any_map_and_symptom_make_a_valid_problem(schema, problem):
    built = build(*problem)

    jsonschema.Draft202012Validator(schema).validate(built.document)
    _check_numbers(built.document)
    _check_references(built.document)
    _check_listens(built)


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(problem=problems())
def test_every_test_can_tell_something_and_what_none_separates_is_one_group(problem):
    document = build(*problem).document

    for test in document["tests"]:
        rows = {tuple(row(document, test["id"], id)) for id in ids(document) - {"other"}}
        assert len(rows) > 1 or test["id"] == "acting_now", test["id"]
    groups = {}
    for group, kind, column in _columns(document):
        if kind != "catch_all":
            assert groups.setdefault(column, group) == group


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(problem=problems())
def test_the_direction_in_which_wires_are_drawn_changes_nothing(problem):
    circuit, options = problem
    assume(len(circuit.wires) < len(circuit.places))  # In a ring a wire between equals keeps its direction.
    turned = replace(circuit, wires=tuple(replace(w, start=w.end, end=w.start) for w in circuit.wires))

    assert build(turned, options).document == build(circuit, options).document


# --- which suspects, and why not ---


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


def test_a_dead_load_of_two_on_one_fuse_clears_what_both_share():
    circuit = template("feed_chain", "F1\nwiper motor\nG1")
    built = build(circuit, Options(symptom=Symptom(loads_dead=("wiper_motor",))))

    assert {"blown_f1", "contact_f1", "dead_wiper_motor", "lost_g1", "nofeed_battery"} <= ids(built.document)


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


# --- tests ---


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
    ohm = next(test for test in pair.document["tests"] if test["id"] == "pair_ohm")
    assert [one["id"] for one in ohm["outcomes"]] == ["touching", "about_40", "about_60", "about_120", "open"]
    assert [one["from"] for one in ohm["outcomes"]] == [0, 20, 50, 70, 200]


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


# --- agreement with the catalogue, and speed ---

SHOWN = [
    ("joined_stars", STARS, DEAD),
    ("joined_stars", STARS, Options(symptom=Symptom(bus="noisy"), intermittent=True)),
    ("joined_stars", STARS, Options(symptom=Symptom(bus="alive", silent=("ramp_unit",)))),
    ("two_wire", "a unit\nb unit\nc unit", Options(symptom=Symptom(bus="noisy"))),
    ("feed_chain", "F1\nplug X2\nwiper switch\nwiper motor\nG1", Options(intermittent=True)),
    ("supply_tree", "F14: trailer unit, rear wash\nF2: radio ?", Options()),
]


@pytest.mark.parametrize(("shape", "names", "options"), SHOWN)
def test_every_test_is_a_kind_of_the_catalogue_and_a_number_has_its_unit(shape, names, options):
    kinds = load().tests

    for heard in build(template(shape, names), options).listens.values():
        kind = kinds[heard.code]
        assert (kind.kind == "numeric") == bool(heard.unit), heard.code
        assert kind.unit == heard.unit, heard.code


@pytest.mark.parametrize(("shape", "names", "options"), SHOWN)
def test_limits_are_those_of_the_catalogue_where_it_has_some(shape, names, options):
    kinds = load().tests

    for id, heard in build(template(shape, names), options).listens.items():
        kind = kinds[heard.code]
        if kind.hi is not None and not id.startswith("pair_w"):
            assert float(kind.hi) == heard.hi, heard.code


def test_a_map_of_sixty_places_is_built_at_once():
    """Measured 0.12 s on a quiet machine; the bound leaves room for a busy one."""
    circuit = template("single_star", "\n".join(f"unit {n}" for n in range(57)))
    start = time.process_time()

    build(circuit, DEAD)

    assert time.process_time() - start < 1.0
