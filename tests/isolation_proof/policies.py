"""Plain policies of section 4, each a choice in one state, and their exact expected minutes.

A policy names the number of the next test, or None to stop and name the likeliest group. Ties go to the
cheaper test, then to the earlier one. Section 4 leaves room in when the plain rules stop and in what "one at
a time" checks; the readings here are those that give every figure printed in examples 13.6 and 13.7.
"""

import math
import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from tests.isolation_proof.model import (
    Model,
    Weights,
    by_group,
    price,
    split,
    stop_price,
    tells_something,
)

CLOSE = 1e-9
NAMED = 0.9


@dataclass(frozen=True)
class State:
    """Where a search stands."""

    weights: Weights
    opened: int
    uses: tuple[int, ...]

    @property
    def key(self) -> tuple:
        return tuple(round(weight, 10) for weight in self.weights), self.opened, self.uses


Policy = Callable[[Model, State], int | None]


def start(model: Model) -> State:
    return State(model.prior, model.open_zones, (0,) * len(model.tests))


def after(model: Model, state: State, place: int) -> Iterator[tuple[float, State]]:
    """Each outcome's probability with the state behind it."""
    test = model.tests[place]
    uses = (*state.uses[:place], state.uses[place] + 1, *state.uses[place + 1 :])
    for _, chance, belief in split(test, state.weights):
        yield chance, State(belief, state.opened | test.zones, uses)


def legal(model: Model, state: State) -> list[int]:
    return [
        place
        for place, test in enumerate(model.tests)
        if state.uses[place] < test.max_uses and all(state.uses[needed] for needed in test.after)
    ]


def worth_asking(model: Model, state: State) -> list[int]:
    """Legal tests that can tell something, or that open the door to one that can."""
    open_doors = legal(model, state)
    telling = {
        place
        for place, test in enumerate(model.tests)
        if state.uses[place] < test.max_uses and tells_something(test, state.weights)
    }
    todo = list(telling)
    while todo:
        for needed in model.tests[todo.pop()].after:
            if not state.uses[needed] and needed not in telling:
                telling.add(needed)
                todo.append(needed)
    return [place for place in open_doors if place in telling]


def expected_minutes(model: Model, policy: Policy, state: State | None = None, memo=None) -> float:
    """The exact expected minutes of a policy from a state, the price of a wrong call included."""
    state, memo = state or start(model), {} if memo is None else memo
    if state.key not in memo:
        place = policy(model, state)
        if place is None:
            memo[state.key] = stop_price(model, state.weights)
        else:
            memo[state.key] = price(model, model.tests[place], state.opened) + sum(
                chance * expected_minutes(model, policy, behind, memo)
                for chance, behind in after(model, state, place)
            )
    return memo[state.key]


def _best(model: Model, state: State, score: Callable[[int, float], float | None]) -> int | None:
    """The test of the highest score, or None where stopping is due or no test has a score.

    Stopping is due when the price of a wrong call is no more than the cheapest test that can tell something.
    """
    places = worth_asking(model, state)
    minutes = {place: price(model, model.tests[place], state.opened) for place in places}
    if not places or stop_price(model, state.weights) <= min(minutes.values()):
        return None
    found, best = None, (-math.inf, -math.inf)
    for place in places:
        worth = score(place, minutes[place])
        if worth is not None and (rank := (round(worth, 12), -minutes[place])) > best:
            found, best = place, rank
    return found


def easy_first(model: Model, state: State) -> int | None:
    """Whatever takes the fewest minutes now, access included."""
    return _best(model, state, lambda place, minutes: -minutes)


def one_at_a_time(model: Model, state: State) -> int | None:
    """Suspects in descending probability over cost; where no test names one, information per minute.

    A test names a suspect when one of its readings leaves a group with more than nine in ten.
    """

    def score(place: int, minutes: float) -> float | None:
        chances = [
            chance
            for _, chance, belief in split(model.tests[place], state.weights)
            if max(by_group(model, belief).values()) > NAMED
        ]
        return max(chances) / minutes if chances else None

    found = _best(model, state, score)
    return information_per_minute(model, state) if found is None else found


def half_split(model: Model, state: State) -> int | None:
    """Halve the probability, whatever it costs."""

    def score(place: int, minutes: float) -> float:
        return -max(chance for _, chance, _ in split(model.tests[place], state.weights))

    return _best(model, state, score)


def most_information(model: Model, state: State) -> int | None:
    """Most bits, whatever they cost."""
    return _best(model, state, lambda place, minutes: gain(model, state, place))


def information_per_minute(model: Model, state: State) -> int | None:
    """Most bits a minute, access included."""
    return _best(model, state, lambda place, minutes: gain(model, state, place) / minutes)


def information_access_ignored(model: Model, state: State) -> int | None:
    """Most bits a hands-on minute."""
    return _best(model, state, lambda place, minutes: gain(model, state, place) / model.tests[place].minutes)


def stops_when_no_test_pays(model: Model, state: State) -> int | None:
    """Information per minute, but it stops where no single test lowers the price of stopping by its cost."""
    stop = stop_price(model, state.weights)
    for place in legal(model, state):
        ahead = price(model, model.tests[place], state.opened) + sum(
            chance * stop_price(model, behind.weights) for chance, behind in after(model, state, place)
        )
        if ahead < stop - CLOSE:
            return information_per_minute(model, state)
    return None


def at_random(model: Model, state: State) -> int | None:
    """Any test that can tell something; the same one whenever the state is the same."""
    dice = random.Random(repr(state.key))
    return _best(model, state, lambda place, minutes: dice.random())


class Rollout:
    """The test that is best when information per minute follows it, or stopping.

    Wherever stopping is cheaper than what the base policy would go on to spend, stopping counts.
    """

    def __init__(self, base: Policy = information_per_minute) -> None:
        self.base = base
        self.memo: dict[tuple, float] = {}

    def __call__(self, model: Model, state: State) -> int | None:
        found, best = None, stop_price(model, state.weights)
        for place in worth_asking(model, state):
            minutes = self.start_with(model, state, place)
            if minutes < best - CLOSE:
                found, best = place, minutes
        return found

    def start_with(self, model: Model, state: State, place: int) -> float:
        """Expected minutes of one test and the base policy after it."""
        return price(model, model.tests[place], state.opened) + sum(
            chance * self.base_minutes(model, behind) for chance, behind in after(model, state, place)
        )

    def base_minutes(self, model: Model, state: State) -> float:
        if state.key not in self.memo:
            stop = stop_price(model, state.weights)
            place = self.base(model, state)
            if place is not None:
                stop = min(stop, self.start_with(model, state, place))
            self.memo[state.key] = stop
        return self.memo[state.key]


def gain(model: Model, state: State, place: int) -> float:
    """Bits about the groups that one test is expected to bring."""
    return _bits(model, state.weights) - sum(
        chance * _bits(model, belief) for _, chance, belief in split(model.tests[place], state.weights)
    )


def _bits(model: Model, weights: Weights) -> float:
    return -sum(weight * math.log2(weight) for weight in by_group(model, weights).values() if weight > 0)


# In the order of the table of section 4, each made anew for a problem.
PLAIN: dict[str, Callable[[], Policy]] = {
    "easy first": lambda: easy_first,
    "one at a time by p/c": lambda: one_at_a_time,
    "half split, ignoring cost": lambda: half_split,
    "most information, ignoring cost": lambda: most_information,
    "information per minute, access ignored": lambda: information_access_ignored,
    "information per minute with access": lambda: information_per_minute,
    "same, but stops when no single test pays": lambda: stops_when_no_test_pays,
    "plain rollout": Rollout,
    "random": lambda: at_random,
}
