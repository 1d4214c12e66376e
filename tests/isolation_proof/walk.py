"""What the advice of a planner costs: ask it after each outcome, down to every leaf, and weigh what was paid.

The planner may be asked about another document than the one that is true: its priors or minutes may be off.
"""

import math
import random
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

from tests.isolation_proof.model import Document, Model, by_group, price, read, split
from tests.isolation_proof.policies import Policy, State, after, start

Step = tuple[str, str]
Advise = Callable[[Sequence[Step]], Any]


@dataclass(frozen=True)
class Leaf:
    """One way in which a search can end: its chance, the minutes of its tests, whether the call is right."""

    chance: float
    minutes: float
    right: float


def leaves(model: Model, advise: Advise) -> Iterator[Leaf]:
    """Every way in which a search by this advice can end."""
    numbers = {test.id: place for place, test in enumerate(model.tests)}
    groups = dict(zip(model.candidates, model.group, strict=True))
    todo: list[tuple[State, tuple[Step, ...], float, float]] = [(start(model), (), 1.0, 0.0)]
    while todo:
        state, history, chance, minutes = todo.pop()
        advice = advise(history)
        if advice.test is None:
            right = by_group(model, state.weights).get(groups[advice.candidate], 0.0)
            yield Leaf(chance, minutes, right)
            continue
        place = numbers[advice.test]
        test = model.tests[place]
        paid = minutes + price(model, test, state.opened)
        names = [test.outcomes[outcome] for outcome, _, _ in split(test, state.weights)]
        for name, (share, behind) in zip(names, after(model, state, place), strict=True):
            todo.append((behind, (*history, (test.id, name)), chance * share, paid))


def minutes_of(model: Model, found: Sequence[Leaf]) -> float:
    """Expected minutes of these ends, the price of a wrong call included."""
    return math.fsum(leaf.chance * (leaf.minutes + model.wrong * (1 - leaf.right)) for leaf in found)


def share_by(found: Sequence[Leaf], minutes: float) -> float:
    """The chance that the search has ended with the right group by then."""
    return math.fsum(leaf.chance * leaf.right for leaf in found if leaf.minutes <= minutes + 1e-9)


@dataclass(frozen=True)
class Vehicle:
    """One simulated search: how long its tests took, and whether the right group was named."""

    minutes: float
    is_right: bool


def drive(model: Model, advise: Advise, rng: random.Random) -> Vehicle:
    """Put a fault into a vehicle by the priors, and follow the advice while the tests read by their rows."""
    numbers = {test.id: place for place, test in enumerate(model.tests)}
    groups = dict(zip(model.candidates, model.group, strict=True))
    fault = rng.choices(range(len(model.candidates)), model.prior)[0]
    opened, minutes, history = model.open_zones, 0.0, ()
    while (advice := advise(history)).test is not None:
        test = model.tests[numbers[advice.test]]
        minutes += price(model, test, opened)
        opened |= test.zones
        outcome = rng.choices(test.outcomes, test.rows[fault])[0]
        history = (*history, (test.id, outcome))
    return Vehicle(minutes, groups[advice.candidate] == model.group[fault])


def adviser(document: Document, policy: Policy) -> Advise:
    """A plain policy in the shape of a planner: a history in, a test or a candidate out."""
    model = read(document)
    tests = {test.id: place for place, test in enumerate(model.tests)}

    def advise(history: Sequence[Step]) -> Any:
        state = start(model)
        for name, outcome in history:
            place = tests[name]
            chosen = model.tests[place].outcomes.index(outcome)
            seen = [number for number, _, _ in split(model.tests[place], state.weights)]
            state = [behind for _, behind in after(model, state, place)][seen.index(chosen)]
        place = policy(model, state)
        if place is not None:
            return SimpleNamespace(test=model.tests[place].id, candidate=None)
        shares = by_group(model, state.weights)
        group = max(shares, key=lambda number: shares[number])
        return SimpleNamespace(test=None, candidate=model.candidates[model.group.index(group)])

    return advise


def with_wrong_priors(document: Document, seed: int) -> Document:
    """The document as someone would write it who is up to a factor of two off on each prior."""
    rng = random.Random(f"priors:{seed}")
    return _with_priors(document, [2 ** rng.uniform(-1, 1) for _ in document["candidates"]])


def with_very_wrong_priors(document: Document, seed: int) -> Document:
    """The same, typically a factor of two off, and now and then a factor of five (lognormal, 0.7)."""
    rng = random.Random(f"priors:{seed}")
    return _with_priors(document, [rng.lognormvariate(0, 0.7) for _ in document["candidates"]])


def _with_priors(document: Document, factors: Sequence[float]) -> Document:
    candidates = [
        {**one, "prior": one["prior"] * factor}
        for one, factor in zip(document["candidates"], factors, strict=True)
    ]
    total = sum(one["prior"] for one in candidates)
    return {**document, "candidates": [{**one, "prior": one["prior"] / total} for one in candidates]}


def with_wrong_minutes(document: Document, seed: int, off: float = 0.3) -> Document:
    """The document with each time off by up to so much."""
    rng = random.Random(f"minutes:{seed}")

    def wrong(minutes: float) -> float:
        return minutes * rng.uniform(1 - off, 1 + off)

    zones = [
        {
            **zone,
            "open_minutes": wrong(zone["open_minutes"]),
            "close_minutes": wrong(zone.get("close_minutes", 0)),
        }
        for zone in document["zones"]
    ]
    tests = [{**test, "minutes": wrong(test["minutes"])} for test in document["tests"]]
    return {**document, "zones": zones, "tests": tests}


def history_of(document: Document, rng: random.Random, length: int) -> list[Step]:
    """A history that can happen: a fault by the priors, legal tests in any order, readings by the rows."""
    model = read(document)
    fault = rng.choices(range(len(model.candidates)), model.prior)[0]
    uses = [0] * len(model.tests)
    history: list[Step] = []
    for _ in range(length):
        legal = [
            place
            for place, test in enumerate(model.tests)
            if uses[place] < test.max_uses and all(uses[needed] for needed in test.after)
        ]
        if not legal:
            break
        place = rng.choice(legal)
        uses[place] += 1
        test = model.tests[place]
        history.append((test.id, rng.choices(test.outcomes, test.rows[fault])[0]))
    return history


def posterior(document: Document, history: Sequence[Step]) -> dict[str, float]:
    """Bayes' rule as it stands in a textbook: multiply all, divide once."""
    model = read(document)
    tests = {test.id: test for test in model.tests}
    joint = [
        prior
        * math.prod(tests[name].rows[place][tests[name].outcomes.index(outcome)] for name, outcome in history)
        for place, prior in enumerate(model.prior)
    ]
    total = math.fsum(joint)
    return {name: weight / total for name, weight in zip(model.candidates, joint, strict=True)}
