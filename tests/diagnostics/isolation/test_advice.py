import pickle

import pytest

from diagnostics.isolation import Done, advise, load
from tests.isolation_proof import answers, examples
from tests.isolation_proof.families import FAMILIES, document


@pytest.mark.parametrize("family", FAMILIES)
def test_generated_problems_are_solved_exactly_first_tests_too(family):
    advice = advise(load(document(family, 1)))
    best = answers.kept()[family, 1]

    assert advice.method == "exact"
    assert advice.expected_minutes == pytest.approx(best["value"], abs=1e-6)
    for ranked in advice.ranking:
        assert ranked.expected_minutes == pytest.approx(best["q"][ranked.test], abs=1e-6)


def test_an_impossible_history_gets_no_advice_and_raises_nothing():
    problem = load(examples.line(8, "BCDEFGH"))

    advice = advise(problem, [Done("C", "bad"), Done("E", "good"), Done("E", "bad")])

    assert advice.test is None
    assert advice.candidate is None
    assert advice.within(1000) == 0


def test_an_answer_can_be_kept_and_read_back():
    advice = advise(load(document("star", 1)))

    again = pickle.loads(pickle.dumps(advice))

    assert (again.test, again.ranking, again.within(30)) == (advice.test, advice.ranking, advice.within(30))
    assert again.splits(advice.test) == advice.splits(advice.test)
