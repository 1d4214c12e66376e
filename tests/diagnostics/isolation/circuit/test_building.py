"""A map with a symptom becomes a whole, valid isolation problem."""

import time
from dataclasses import replace
from itertools import pairwise

import jsonschema
import pytest
from hypothesis import HealthCheck, assume, given, settings

from diagnostics.catalogue import load
from diagnostics.isolation import believe
from diagnostics.isolation import load as load_problem
from diagnostics.isolation.circuit import (
    Circuit,
    Options,
    Place,
    Symptom,
    Wire,
    build,
    template,
)
from tests.diagnostics.isolation.circuit.circuits import problems
from tests.diagnostics.isolation.circuit.stars import DEAD, STARS, ids, row


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
    for part in ("candidates", "tests", "zones"):
        assert len(ids(document, part)) == len(document[part])
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
        _check_limits(test["outcomes"], heard)
    assert set(built.components) == ids(built.document)
    assert all(len(part.component) <= 64 for part in built.components.values())


def _check_limits(outcomes, heard):
    """The verdict on a number by its limits is that of the outcome whose range holds it."""
    for outcome in outcomes if heard.unit else ():
        low, high = outcome.get("from", 0.0), outcome.get("to", 1e9)
        inside = (heard.lo or 0.0) <= (low + high) / 2 <= (1e9 if heard.hi is None else heard.hi)
        assert heard.says[outcome["id"]] == ("pass" if inside else "fail"), (heard.code, outcome)


def _columns(document):
    for one in document["candidates"]:
        rows = tuple(tuple(row(document, test["id"], one["id"])) for test in document["tests"])
        yield one.get("group", one["id"]), one["kind"], (one.get("activity"), rows)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(problem=problems())
def test_any_map_and_symptom_make_a_valid_problem(refuse_invalid, problem):
    built = build(*problem)

    refuse_invalid(built.document)
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


def test_the_longest_ids_make_suspects_and_tests_of_their_own(schema):
    ids_ = {name: f"{name}{'x' * 39}" for name in "BFXYLG"}
    kinds = dict(zip("BFXYLG", ("source", "fuse", "connector", "connector", "load", "ground"), strict=True))
    circuit = Circuit(
        "feed",
        tuple(Place(ids_[name], kinds[name], "n" * 60) for name in "BFXYLG"),
        tuple(Wire(f"w{a}", ids_[a], ids_[b]) for a, b in pairwise("BFXYLG")),
    )
    built = build(circuit, Options(pairs="all"))

    jsonschema.Draft202012Validator(schema).validate(built.document)
    for part in ("candidates", "tests"):
        assert len(ids(built.document, part)) == len(built.document[part])
    _check_listens(built)


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
def test_a_problem_of_each_shape_has_no_fault_that_the_form_names(schema, shape, names, options):
    document = build(template(shape, names), options).document

    assert [fault.message for fault in jsonschema.Draft202012Validator(schema).iter_errors(document)] == []


@pytest.mark.parametrize(("shape", "names", "options"), SHOWN)
def test_the_planner_takes_a_problem_of_each_shape(shape, names, options):
    document = build(template(shape, names), options).document

    assert believe(load_problem(document), ()).posterior.keys() == ids(document)


def _believed(document, truth):
    """Groups by plain Bayes after every test has read what is likeliest if `truth` is the cause."""
    weights = {one["id"]: one["prior"] for one in document["candidates"]}
    for test in document["tests"]:
        rows = {id: row(document, test["id"], id) for id in weights}
        seen = max(range(len(rows[truth])), key=lambda place: rows[truth][place])
        weights = {id: weight * rows[id][seen] for id, weight in weights.items()}
    groups = {}
    for one in document["candidates"]:
        group = one.get("group", one["id"])
        groups[group] = groups.get(group, 0.0) + weights[one["id"]]
    return {group: weight / sum(groups.values()) for group, weight in groups.items()}


@pytest.mark.parametrize(("shape", "names", "options"), SHOWN)
def test_all_tests_together_lead_to_the_repair_of_whatever_is_wrong(shape, names, options):
    document = build(template(shape, names), options).document

    for one in document["candidates"]:
        if one["kind"] != "catch_all":
            assert _believed(document, one["id"])[one["group"]] > 0.5, one["id"]


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
