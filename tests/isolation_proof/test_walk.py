"""The walk itself, with an adviser whose expected minutes are known by another way."""

import random
from types import SimpleNamespace

import pytest

from tests.isolation_proof import walk
from tests.isolation_proof.families import document
from tests.isolation_proof.model import by_group, read, split
from tests.isolation_proof.policies import State, expected_minutes, information_per_minute, start

KEYS = [("star", 2), ("fitted", 2), ("noisy", 2)]


def adviser(model):
    """A policy in the shape of a planner: a history in, a test or a candidate out."""
    tests = {test.id: place for place, test in enumerate(model.tests)}

    def advise(history):
        state = start(model)
        for name, outcome in history:
            place = tests[name]
            test = model.tests[place]
            chosen = test.outcomes.index(outcome)
            belief = next(belief for number, _, belief in split(test, state.weights) if number == chosen)
            uses = (*state.uses[:place], state.uses[place] + 1, *state.uses[place + 1 :])
            state = State(belief, state.opened | test.zones, uses)
        place = information_per_minute(model, state)
        if place is not None:
            return SimpleNamespace(test=model.tests[place].id, candidate=None)
        shares = by_group(model, state.weights)
        group = max(shares, key=shares.get)
        return SimpleNamespace(test=None, candidate=model.candidates[model.group.index(group)])

    return advise


@pytest.mark.parametrize("key", KEYS)
def test_the_walk_weighs_what_the_policy_costs(key):
    model = read(document(*key))
    found = list(walk.leaves(model, adviser(model)))

    assert walk.minutes_of(model, found) == pytest.approx(expected_minutes(model, information_per_minute))
    assert sum(leaf.chance for leaf in found) == pytest.approx(1)


def test_simulated_vehicles_take_as_long_as_the_walk_says():
    model = read(document("noisy", 2))
    advise, rng = adviser(model), random.Random(1)
    said = walk.share_by(list(walk.leaves(model, advise)), 30)

    seen = [walk.drive(model, advise, rng) for _ in range(2000)]

    share = sum(one.is_right and one.minutes <= 30 for one in seen) / 2000
    # Four standard errors of a share of 2000.
    assert share == pytest.approx(said, abs=4 * (0.25 / 2000) ** 0.5)


def test_wrong_documents_are_still_documents():
    right = document("intermittent", 1)
    off = walk.with_wrong_minutes(walk.with_wrong_priors(right, 1), 1)

    assert sum(one["prior"] for one in off["candidates"]) == pytest.approx(1)
    ratios = [two["minutes"] / one["minutes"] for one, two in zip(right["tests"], off["tests"], strict=True)]
    assert 0.7 <= min(ratios) < max(ratios) <= 1.3
