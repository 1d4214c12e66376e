"""What must hold for every problem, whatever the figures: for the planner, and for the optimum itself."""

import copy
import math
import random

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from diagnostics.isolation import Done, advise, believe, load
from tests.isolation_proof import answers, exact, planner, walk
from tests.isolation_proof.families import FAMILIES, document
from tests.isolation_proof.model import read
from tests.isolation_proof.policies import State, start, worth_asking
from tests.isolation_proof.tiny import tiny

SAME = 1e-9
SEEDS = st.integers(1, 100_000)
DICE = st.integers(0, 1000)
KEYS = st.tuples(st.sampled_from(list(FAMILIES)), SEEDS)


def optimum(problem):
    return exact.solve(read(problem)).value


def stated(problem):
    return advise(load(problem)).expected_minutes


def state_after(problem, history):
    """Where a search stands, by the second opinion."""
    model = read(problem)
    tests = {test.id: place for place, test in enumerate(model.tests)}
    uses, opened = [0] * len(model.tests), model.open_zones
    for name, _ in history:
        uses[tests[name]] += 1
        opened |= model.tests[tests[name]].zones
    weights = tuple(walk.posterior(problem, history).values()) if history else start(model).weights
    return model, State(weights, opened, tuple(uses))


@settings(max_examples=30)
@given(KEYS, DICE)
def test_it_never_proposes_a_test_that_can_tell_nothing(key, dice):
    problem, rng = document(*key), random.Random(dice)
    history = walk.history_of(problem, rng, rng.randint(0, 5))

    said = planner.adviser(problem)(history)

    model, state = state_after(problem, history)
    useful = {model.tests[place].id for place in worth_asking(model, state)}
    assert said.test is None or said.test in useful
    assert {ranked.test for ranked in said.ranking} <= useful


@settings(max_examples=50)
@given(SEEDS, DICE)
def test_minutes_do_not_rise_when_a_test_becomes_cheaper(seed, dice):
    problem, rng = tiny(seed), random.Random(dice)
    cheaper = copy.deepcopy(problem)
    rng.choice(cheaper["tests"])["minutes"] *= rng.uniform(0.1, 0.95)

    assert stated(cheaper) <= stated(problem) + SAME


@settings(max_examples=12)
@given(KEYS, DICE)
def test_minutes_do_not_rise_when_a_test_of_a_job_becomes_cheaper(key, dice):
    problem, rng = document(*key), random.Random(dice)
    cheaper = copy.deepcopy(problem)
    rng.choice(cheaper["tests"])["minutes"] *= rng.uniform(0.1, 0.95)

    assert stated(cheaper) <= stated(problem) + 1e-6


def shuffled(problem, rng):
    """The same problem, written in another order."""
    other = copy.deepcopy(problem)
    for part in ("zones", "candidates", "tests"):
        rng.shuffle(other[part])
    return other


def renamed(problem):
    """The same problem under other names, in an order of their own."""
    names = {}
    for part in ("zones", "candidates", "tests"):
        for place, one in enumerate(problem[part]):
            names[one["id"]] = f"n{997 * (place + 1) % 101}_{part}"
    return _with_names(copy.deepcopy(problem), names)


def _with_names(part, names):
    if isinstance(part, dict):
        return {names.get(key, key): _with_names(value, names) for key, value in part.items()}
    if isinstance(part, list):
        return [_with_names(one, names) for one in part]
    return names.get(part, part) if isinstance(part, str) else part


@settings(max_examples=20)
@given(KEYS, DICE)
def test_the_order_in_the_document_changes_nothing(key, dice):
    problem = document(*key)
    first, second = advise(load(problem)), advise(load(shuffled(problem, random.Random(dice))))

    assert (first.test, first.candidate) == (second.test, second.candidate)
    assert first.expected_minutes == pytest.approx(second.expected_minutes, abs=1e-7)
    assert [one.test for one in first.ranking] == [one.test for one in second.ranking]
    assert first.posterior == pytest.approx(second.posterior, abs=1e-12)


@settings(max_examples=40)
@given(SEEDS)
def test_names_change_nothing(seed):
    problem = tiny(seed)
    first, second = advise(load(problem)), advise(load(renamed(problem)))

    assert first.expected_minutes == pytest.approx(second.expected_minutes, abs=1e-9)
    minutes = sorted(one.expected_minutes for one in first.ranking)
    assert minutes == pytest.approx(sorted(one.expected_minutes for one in second.ranking), abs=1e-9)


@settings(max_examples=40)
@given(SEEDS)
def test_tiny_problems_are_answered_exactly(seed):
    problem = tiny(seed)
    answer, said = exact.solve(read(problem)), advise(load(problem))

    assert said.expected_minutes == pytest.approx(answer.value, abs=1e-7)
    assert said.lower_bound <= answer.value + 1e-7
    for ranked in said.ranking:
        assert ranked.expected_minutes == pytest.approx(answer.q[ranked.test], abs=1e-7)


@settings(max_examples=40)
@given(SEEDS, DICE)
def test_a_zone_opened_for_nothing_never_raises_the_optimum(seed, dice):
    problem = tiny(seed)
    easier = copy.deepcopy(problem)
    zone = random.Random(dice).choice(easier["zones"])
    zone["open_minutes"] = zone["close_minutes"] = 0

    assert optimum(easier) <= optimum(problem) + SAME
    assert stated(easier) <= stated(problem) + SAME


@settings(max_examples=40)
@given(SEEDS)
def test_one_more_test_never_raises_the_optimum(seed):
    problem = tiny(seed)
    fewer = copy.deepcopy(problem)
    fewer["tests"] = fewer["tests"][:-1]

    assert optimum(problem) <= optimum(fewer) + SAME
    assert stated(problem) <= stated(fewer) + SAME


@settings(max_examples=40)
@given(SEEDS, DICE)
def test_noise_never_lowers_the_optimum(seed, dice):
    problem, rng = tiny(seed), random.Random(dice)
    worse = copy.deepcopy(problem)
    test = rng.choice(worse["tests"])
    share, count = rng.uniform(0.05, 0.6), len(test["outcomes"])
    rows = test["likelihood"]

    def blurred(row):
        return [(1 - share) * chance + share / count for chance in row]

    for name in ("default", "quiet"):
        rows[name] = blurred(rows[name])
    rows["by_candidate"] = {name: blurred(row) for name, row in rows["by_candidate"].items()}

    assert optimum(worse) >= optimum(problem) - SAME
    assert stated(worse) >= stated(problem) - SAME


def impossible(key):
    """A document, a history that cannot be, and one that can: a sure test read both ways."""
    problem = copy.deepcopy(document(*key))
    sure = next(test for test in problem["tests"] if _is_sure(test) and not test.get("after"))
    sure["max_uses"] = 2
    names = [outcome["id"] for outcome in sure["outcomes"]]
    return problem, (Done(sure["id"], names[0]), Done(sure["id"], names[1]))


def _is_sure(test):
    rows = [test["likelihood"]["default"], *test["likelihood"]["by_candidate"].values()]
    return all(chance in (0, 1) for row in rows for chance in row) and len({tuple(row) for row in rows}) > 1


@pytest.mark.parametrize("family", [family for family in FAMILIES if family not in ("noisy", "intermittent")])
def test_an_impossible_history_is_said_to_be_so(family):
    problem, history = impossible((family, 3))
    loaded = load(problem)

    belief, said = believe(loaded, history), advise(loaded, history)

    assert belief.is_impossible
    assert belief.conflict == (0, 1)
    shares = [*belief.posterior.values(), *belief.groups.values(), *said.posterior.values()]
    assert not any(math.isnan(share) for share in shares)
    assert said.test is None
    assert not math.isnan(said.expected_minutes)


@given(KEYS, DICE)
@settings(max_examples=20)
def test_a_conflict_is_a_smallest_set_that_cannot_be(key, dice):
    problem, rng = document(*key), random.Random(dice)
    history = walk.history_of(problem, rng, 6)
    other = walk.history_of(problem, rng, 6)
    # Readings of two vehicles in one history often contradict each other.
    seen = {test for test, _ in history}
    mixed = tuple(Done(*step) for step in [*history, *[step for step in other if step[0] not in seen]])
    loaded = load(problem)
    belief = believe(loaded, mixed)
    assume(belief.is_impossible)

    assert belief.conflict
    kept = [mixed[place] for place in belief.conflict]
    assert _chance(problem, kept) == 0
    for left_out in range(len(kept)):
        assert _chance(problem, kept[:left_out] + kept[left_out + 1 :]) > 0


def _chance(problem, steps):
    model = read(problem)
    tests = {test.id: test for test in model.tests}
    rows = [(tests[step.test], tests[step.test].outcomes.index(step.outcome)) for step in steps]
    return sum(
        prior * math.prod(test.rows[place][outcome] for test, outcome in rows)
        for place, prior in enumerate(model.prior)
    )


@pytest.mark.parametrize("family", FAMILIES)
def test_a_history_that_can_be_has_no_conflict(family):
    problem = document(family, 6)
    history = tuple(Done(*step) for step in walk.history_of(problem, random.Random(6), 5))
    belief = believe(load(problem), history)

    assert not belief.is_impossible
    assert belief.conflict == ()


@pytest.mark.parametrize("key", [(family, 7) for family in FAMILIES])
def test_followed_advice_lies_between_the_bound_and_what_stopping_costs(key):
    problem = document(*key)
    ask = planner.adviser(problem)
    minutes = planner.minutes_when_asked(problem, ask)

    assert ask(()).lower_bound <= answers.kept()[key]["value"] + 1e-6
    assert answers.kept()[key]["value"] <= minutes + 1e-6
