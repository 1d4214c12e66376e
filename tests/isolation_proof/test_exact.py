"""The exact solver against brute force, the kept answers, and what must follow from the definition."""

import pytest

from tests.isolation_proof import answers, brute, compare, exact, model
from tests.isolation_proof.families import FAMILIES, document
from tests.isolation_proof.policies import PLAIN, expected_minutes, start
from tests.isolation_proof.tiny import tiny

# Problems of each family whose kept answer is computed again in the quick suite.
AGAIN = (3,)


@pytest.mark.parametrize("seed", range(40))
def test_brute_force_agrees_on_tiny_problems(seed):
    problem = model.read(tiny(seed))
    by_brute_force = brute.q_values(problem, *_begin(problem))

    answer = exact.solve(problem)

    assert answer.value == pytest.approx(brute.value(problem), abs=1e-9)
    assert answer.q == pytest.approx(by_brute_force, abs=1e-9)


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("seed", AGAIN)
def test_kept_answers_are_those_of_the_solver(family, seed):
    kept = answers.kept()[family, seed]

    again = answers.solved((family, seed))

    assert again["value"] == pytest.approx(kept["value"], abs=1e-8)
    assert again["q"] == pytest.approx(kept["q"], abs=1e-8)


@pytest.mark.slow
@pytest.mark.parametrize("family", FAMILIES)
def test_all_kept_answers_are_those_of_the_solver(family):
    for key, kept in answers.kept().items():
        if key[0] == family:
            again = answers.solved(key)
            assert again["value"] == pytest.approx(kept["value"], abs=1e-8), key
            assert again["q"] == pytest.approx(kept["q"], abs=1e-8), key


def test_nearly_every_problem_was_solved():
    assert len(answers.kept()) >= 325
    assert {family for family, _ in answers.kept()} == set(FAMILIES)


def test_a_budget_that_ends_gives_no_answer():
    assert exact.solve(model.read(document("star", 1)), states=20) is None


@pytest.mark.parametrize("name", PLAIN)
def test_no_plain_policy_beats_the_optimum(name):
    for key in [(family, 1) for family in FAMILIES]:
        problem = model.read(document(*key))
        minutes = expected_minutes(problem, PLAIN[name]())
        assert minutes >= answers.kept()[key]["value"] - 1e-7, key


def test_rollout_is_no_worse_than_the_rule_it_follows():
    names = ("information per minute with access", "plain rollout")
    keys = [(family, 1) for family in FAMILIES]

    base, better = compare.ratios({name: compare.plain(name) for name in names}, keys).values()

    assert all(two.ratio <= one.ratio + 1e-9 for one, two in zip(base, better, strict=True))


def _begin(problem):
    state = start(problem)
    return state.weights, state.opened, state.uses
