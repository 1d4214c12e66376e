"""What the planner believes, against Bayes' rule as it stands in a textbook."""

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.isolation import Done, believe, load
from tests.isolation_proof import walk
from tests.isolation_proof.families import FAMILIES, document
from tests.isolation_proof.tiny import tiny

TO = 1e-12


def believed(problem, history):
    return believe(problem, tuple(Done(*step) for step in history))


@given(st.sampled_from(list(FAMILIES)), st.integers(1, 10_000), st.integers(0, 10_000))
def test_each_prefix_of_a_history_is_believed_as_bayes_says(family, seed, dice):
    one = document(family, seed)
    problem, history = load(one), walk.history_of(one, random.Random(dice), 8)

    for length in range(len(history) + 1):
        belief = believed(problem, history[:length])
        expected = walk.posterior(one, history[:length])
        assert belief.posterior.keys() == expected.keys()
        assert all(abs(belief.posterior[name] - share) <= TO for name, share in expected.items())


@given(st.sampled_from(list(FAMILIES)), st.integers(1, 10_000), st.integers(0, 10_000))
def test_the_order_of_a_history_does_not_matter_to_belief(family, seed, dice):
    one, rng = document(family, seed), random.Random(dice)
    problem, history = load(one), walk.history_of(one, rng, 6)
    shuffled = rng.sample(history, len(history))

    first, second = believed(problem, history), believed(problem, shuffled)

    assert first.posterior == pytest.approx(second.posterior, abs=TO)
    assert first.open_zones == second.open_zones
    assert first.minutes_spent == pytest.approx(second.minutes_spent)


@pytest.mark.parametrize("family", FAMILIES)
def test_groups_have_the_sum_of_their_candidates(family):
    one = document(family, 4)
    belief = believed(load(one), walk.history_of(one, random.Random(4), 3))
    sums = {}
    for candidate in one["candidates"]:
        name = candidate.get("group", candidate["id"])
        sums[name] = sums.get(name, 0) + belief.posterior[candidate["id"]]

    assert belief.groups == pytest.approx(sums, abs=TO)


@pytest.mark.parametrize("seed", range(6))
def test_tiny_problems_are_believed_as_bayes_says(seed):
    one = tiny(seed)
    history = walk.history_of(one, random.Random(seed), 4)

    assert believed(load(one), history).posterior == pytest.approx(walk.posterior(one, history), abs=TO)
