"""The walk itself, with an adviser whose expected minutes are known by another way."""

import random

import pytest

from tests.isolation_proof import walk
from tests.isolation_proof.families import document
from tests.isolation_proof.model import read
from tests.isolation_proof.policies import expected_minutes, information_per_minute

KEYS = [("star", 2), ("fitted", 2), ("noisy", 2)]


@pytest.mark.parametrize("key", KEYS)
def test_the_walk_weighs_what_the_policy_costs(key):
    model, advise = read(document(*key)), walk.adviser(document(*key), information_per_minute)
    found = list(walk.leaves(model, advise))

    assert walk.minutes_of(model, found) == pytest.approx(expected_minutes(model, information_per_minute))
    assert sum(leaf.chance for leaf in found) == pytest.approx(1)


def test_simulated_vehicles_take_as_long_as_the_walk_says():
    problem, rng = document("noisy", 2), random.Random(1)
    model, advise = read(problem), walk.adviser(problem, information_per_minute)
    said = walk.share_by(list(walk.leaves(model, advise)), 30)

    seen = [walk.drive(model, advise, rng) for _ in range(600)]

    share = sum(one.is_right and one.minutes <= 30 for one in seen) / 600
    # Four standard errors of a share of 600.
    assert share == pytest.approx(said, abs=4 * (0.25 / 600) ** 0.5)


def test_wrong_documents_are_still_documents():
    right = document("intermittent", 1)
    off = walk.with_wrong_minutes(walk.with_wrong_priors(right, 1), 1)

    assert sum(one["prior"] for one in off["candidates"]) == pytest.approx(1)
    ratios = [two["minutes"] / one["minutes"] for one, two in zip(right["tests"], off["tests"], strict=True)]
    assert 0.7 <= min(ratios) < max(ratios) <= 1.3
