import random

import pytest

from diagnostics.isolation import Done, believe, load
from tests.isolation_proof import examples, walk
from tests.isolation_proof.families import FAMILIES, document


@pytest.mark.parametrize("family", FAMILIES)
def test_the_posterior_is_that_of_bayes_rule(family):
    problem = document(family, 2)
    history = walk.history_of(problem, random.Random(family), 6)

    belief = believe(load(problem), [Done(*step) for step in history])

    assert belief.posterior == pytest.approx(walk.posterior(problem, history), abs=1e-12)


def test_the_smallest_contradiction_is_named():
    problem = load(examples.line(8, "BCDEFGH"))
    bad_early, good_late = Done("C", "bad"), Done("G", "good")

    belief = believe(problem, [Done("B", "good"), bad_early, Done("H", "bad"), good_late])

    assert belief.is_impossible
    assert belief.conflict == (1, 3)
    assert set(belief.posterior.values()) == {0.0}


def test_zones_are_opened_and_paid_once_with_those_around_them():
    problem = load(document("star", 1))
    first = Done("level_at_hub", "bad")

    one, two = believe(problem, [first]), believe(problem, [first, Done("half_back", "bad")])

    assert {"at_hub_h", "floor_h"} <= one.open_zones
    hands_on = next(t["minutes"] for t in problem.document["tests"] if t["id"] == "half_back")
    assert two.minutes_spent - one.minutes_spent == pytest.approx(hands_on)


def test_a_long_history_of_small_chances_stays_a_belief():
    problem = load(document("intermittent", 1))
    reading = Done("shake", problem.outcomes[problem.number_of_test["shake"]][1])

    belief = believe(problem, [reading] * 2000)

    assert not belief.is_impossible
    assert sum(belief.posterior.values()) == pytest.approx(1)


def test_an_unknown_reading_is_refused():
    with pytest.raises(ValueError, match="no outcome 'purple'"):
        believe(load(examples.line(8, "BCDEFGH")), [Done("C", "purple")])
