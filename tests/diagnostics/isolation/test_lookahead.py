import copy
import random

import pytest

from diagnostics.isolation import Done, advise, improve, load
from tests.isolation_proof import answers, examples, walk
from tests.isolation_proof.families import FAMILIES, document
from tests.isolation_proof.large import tree_of_hubs
from tests.isolation_proof.model import read

# Plain rollout on the example document as it stands: fault-isolation.md 13.7, own.
PLAIN_ROLLOUT = 70.62


@pytest.mark.parametrize("family", FAMILIES)
def test_a_quick_look_ahead_is_between_the_bound_and_a_plan_that_exists(family):
    quick, best = advise(load(document(family, 4)), effort="quick"), answers.kept()[family, 4]

    assert quick.lower_bound <= best["value"] + 1e-9 <= quick.expected_minutes + 2e-9
    for ranked in quick.ranking:
        assert ranked.expected_minutes >= best["q"][ranked.test] - 1e-8


def test_asking_again_after_each_reading_beats_plain_rollout_on_two_hubs():
    found = examples.two_hubs()
    problem = load(found)

    ends = walk.leaves(read(found), lambda history: advise(problem, [Done(*step) for step in history]))

    assert walk.minutes_of(read(found), list(ends)) < PLAIN_ROLLOUT


def test_the_same_question_has_the_same_answer():
    one, two = advise(load(examples.two_hubs())), advise(load(examples.two_hubs()))

    assert one.ranking == two.ranking
    assert one.lower_bound == two.lower_bound


def test_the_order_in_the_document_does_not_matter():
    found = examples.two_hubs()
    shuffled = copy.deepcopy(found)
    for key in ("zones", "candidates", "tests"):
        random.Random(1).shuffle(shuffled[key])

    assert advise(load(shuffled)).ranking == advise(load(found)).ranking


def test_a_large_problem_is_answered_within_its_budget_of_states():
    advice = advise(load(tree_of_hubs(60, 80)))

    assert advice.method == "look-ahead"
    assert advice.plan.graph.size <= 12_000
    assert 0 < advice.lower_bound <= advice.expected_minutes


def test_answers_only_improve():
    found = list(improve(load(tree_of_hubs(60, 80)), seconds=1.0))

    minutes = [advice.expected_minutes for advice in found]
    bounds = [advice.lower_bound for advice in found]
    assert len(found) >= 2
    assert minutes == sorted(minutes, reverse=True)
    assert bounds == sorted(bounds)


def test_a_small_problem_is_improved_to_the_optimum():
    last = list(improve(load(document("noisy", 1)), seconds=10))[-1]

    assert last.method == "exact"
    assert last.expected_minutes == pytest.approx(answers.kept()["noisy", 1]["value"], abs=1e-6)


def test_an_unknown_effort_is_refused():
    with pytest.raises(ValueError, match="one of glance, quick, normal, thorough"):
        advise(load(document("star", 1)), effort="utmost")


def test_every_test_worth_doing_is_ranked_also_those_that_were_not_tried():
    document = tree_of_hubs(60, 80)

    advice = advise(load(document))

    assert advice.method == "look-ahead"
    assert {each.test for each in advice.ranking} == {test["id"] for test in document["tests"]}
    after_it = max(each.expected_minutes - each.minutes for each in advice.ranking)
    assert after_it <= advice.expected_minutes + 1e-9
