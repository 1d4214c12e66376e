import math

import pytest

from diagnostics.isolation import Done, advise, fixed_order, load
from tests.isolation_proof import examples, walk
from tests.isolation_proof.families import FAMILIES, document
from tests.isolation_proof.model import price, read, stop_price, tells_something
from tests.isolation_proof.policies import after, legal, start


def by_hand(model, order, state):
    """The minutes of an order by plain recursion; the tests stand open to one another here."""
    stop = stop_price(model, state.weights)
    for at, place in enumerate(order):
        if place in legal(model, state) and tells_something(model.tests[place], state.weights):
            minutes = price(model, model.tests[place], state.opened)
            for chance, behind in after(model, state, place):
                minutes += chance * by_hand(model, order[at + 1 :], behind)
            return min(stop, minutes)
    return stop


@pytest.mark.parametrize("family", sorted(set(FAMILIES) - {"fitted"}))
def test_an_order_costs_what_plain_recursion_says(family):
    found = document(family, 5)
    model = read(found)
    order = list(range(len(model.tests)))[:7]

    route = fixed_order(load(found), [model.tests[place].id for place in order])

    assert route.expected_minutes == pytest.approx(by_hand(model, order, start(model)), abs=1e-6)


def test_one_easy_unit_after_the_other():
    # fault-isolation.md 13.5, own.
    found = examples.hub_or_easy_ones(routes=["easy"])

    route = fixed_order(load(found), [test["id"] for test in found["tests"]])

    assert route.expected_minutes == pytest.approx(47.27, abs=0.005)


def test_an_order_never_beats_the_plan():
    found = document("supply_tree", 1)
    problem = load(found)

    assert fixed_order(problem, problem.tests).expected_minutes >= advise(problem).expected_minutes - 1e-9


def test_a_test_whose_door_is_shut_is_passed_over():
    problem = load(document("fitted", 1))

    assert fixed_order(problem, ["line_u1"]).minutes_by(1.0) == math.inf
    assert fixed_order(problem, ["line_u1"]).expected_minutes == fixed_order(problem, []).expected_minutes


def test_a_look_that_tells_nothing_is_done_for_the_test_behind_it():
    found = document("fitted", 1)
    found["stop"]["wrong_minutes"] = 2000
    for test in found["tests"]:
        if test["id"] == "look_u1":
            test["likelihood"]["by_candidate"] = {}
    problem = load(found)

    assert (
        fixed_order(problem, ["look_u1", "line_u1"]).expected_minutes
        < fixed_order(problem, []).expected_minutes
    )


@pytest.mark.parametrize("family", ["noisy", "mixed_cost", "groups"])
def test_the_share_found_by_then_is_that_of_the_leaves(family):
    found = document(family, 6)
    model, problem = read(found), load(found)
    leaves = list(walk.leaves(model, lambda history: advise(problem, [Done(*step) for step in history])))

    advice = advise(problem)

    for minutes in (0, 5, 15, 30, 60, 120):
        assert advice.within(minutes) == pytest.approx(walk.share_by(leaves, minutes), abs=1e-6)
    half = advice.minutes_by(0.5)
    assert advice.within(half) >= 0.5 > advice.within(half - 0.01)


def test_splits_say_what_each_outcome_leaves():
    problem = load(examples.line(8, "BCDEFGH"))

    good, bad = advise(problem).splits("E")

    assert (good.probability, bad.probability) == pytest.approx((0.5, 0.5))
    assert len(good.keeps) == len(bad.keeps) == 4
    assert not set(good.keeps) & set(bad.keeps)
