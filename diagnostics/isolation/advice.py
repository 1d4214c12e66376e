"""The answer: which test next, what it and the others come to, and how far that is from the best possible."""

from __future__ import annotations

import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np

from diagnostics.isolation.belief import Belief, Done, believe, standing
from diagnostics.isolation.bounds import lower_bound
from diagnostics.isolation.document import load
from diagnostics.isolation.planning import (
    EFFORTS,
    LARGE,
    Effort,
    Method,
    Plan,
    ahead_plan,
    exact_plan,
    plan_from,
    states_ahead,
)
from diagnostics.isolation.problem import Problem
from diagnostics.isolation.states import CLOSE, NOTHING, States, keys, state_of, stop_minutes
from diagnostics.isolation.timed import Leaves, leaves_of

# A suspect is worth one while it keeps this share, or a tenth of the leader's (section 10).
WORTH, OF_LEADER = 0.02, 0.1
# Of the states of a look ahead, so many are used on a bound.
BOUND_SHARE = 0.2
MOST_KEPT = 256  # bounds of states of a problem
MOST_IMPROVED = 1024  # times the usual look ahead


class Ranked(NamedTuple):
    """A first test: expected minutes from now if it comes first, and its own price now, access included."""

    test: str
    expected_minutes: float
    minutes: float


class Split(NamedTuple):
    """One outcome of a test: how likely, and the suspects that it leaves worth a suspicion."""

    outcome: str
    probability: float
    keeps: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Advice:
    """`test` is None where stopping is best, `candidate` None where it is not.

    Both are None where the history is impossible: nothing can be advised before it is put right.
    """

    test: str | None
    candidate: str | None
    expected_minutes: float
    lower_bound: float
    posterior: Mapping[str, float]
    ranking: tuple[Ranked, ...]
    method: Method
    problem: Problem = field(repr=False)
    plan: Plan | None = field(default=None, repr=False)

    def within(self, minutes: float) -> float:
        """Probability that the plan has ended with the right group so many minutes from now."""
        return self._leaves.within(minutes)

    def minutes_by(self, share: float) -> float:
        """Minutes from now by which that share of cases is found; inf when never."""
        return self._leaves.minutes_by(share)

    def splits(self, test: str) -> tuple[Split, ...]:
        """Return what each outcome of a test would leave."""
        problem, place = self.problem, self.problem.number_of_test[test]
        weights = np.array([self.posterior[name] for name in problem.candidates])
        found = []
        for number, outcome in enumerate(problem.outcomes[place]):
            joint = weights * problem.likelihood[number, place]
            chance = float(joint.sum())
            if chance > NOTHING:
                share = joint / chance
                worth = np.flatnonzero(share >= min(WORTH, OF_LEADER * share.max()))
                keeps = tuple(problem.candidates[each] for each in worth)
                found.append(Split(outcome, chance, keeps))
        return tuple(found)

    def __getstate__(self) -> dict[str, Any]:
        """What is kept of an answer: everything but the plan, of which only its ends are asked for."""
        told = {name: value for name, value in vars(self).items() if name not in ("problem", "plan")}
        return told | {
            "posterior": dict(self.posterior),
            "_leaves": self._leaves,
            "document": self.problem.document,
        }

    def __setstate__(self, told: dict[str, Any]) -> None:
        document = told.pop("document")
        vars(self).update(told, problem=load(document), plan=None)

    @cached_property
    def _leaves(self) -> Leaves:
        if self.plan is None:
            return Leaves(np.zeros(0), np.zeros(0))
        return leaves_of(self.plan.graph, self.plan.root)


def advise(problem: Problem, history: Sequence[Done] = (), *, effort: str = "normal") -> Advice:
    """Return the next test, or the candidate to name; the same for the same document, history and effort.

    `effort` is "glance", "quick", "normal" or "thorough": how many states a solution may visit.
    """
    if effort not in EFFORTS:
        raise ValueError(f"There is no effort '{effort}'; it is one of {', '.join(EFFORTS)}.")
    belief = believe(problem, history)
    if belief.is_impossible:
        return _impossible(problem, belief)
    root = state_of(problem, standing(problem, history))
    with problem.lock:
        return _advice(problem, belief, root, plan_from(problem, root, EFFORTS[effort]), EFFORTS[effort])


def improve(problem: Problem, history: Sequence[Done] = (), *, seconds: float) -> Iterator[Advice]:
    """Yield a first answer at once and then better ones until the time is up; none is worse than before."""
    until = time.monotonic() + seconds
    # Of a very large problem a glance comes first, so that there is something to go by.
    is_large = len(problem.candidates) * len(problem.tests) > LARGE
    best = advise(problem, history, effort="glance" if is_large else "quick")
    yield best
    if best.plan is None or best.method == "exact":
        return
    belief, root = believe(problem, history), state_of(problem, standing(problem, history))
    solved = _solved(problem, belief, root, until)
    if solved is not None:
        yield _not_worse(solved, best)
        return
    ahead = EFFORTS["normal"].ahead
    while time.monotonic() < until and ahead <= MOST_IMPROVED:
        plan = ahead_plan(problem, root, ahead, until)
        found_advice = _advice(problem, belief, root, plan, Effort(exact=0, ahead=ahead), until)
        best = _not_worse(found_advice, best)
        yield best
        ahead *= 2


def _solved(problem: Problem, belief: Belief, root: States, until: float) -> Advice | None:
    with problem.lock:
        plan = exact_plan(problem, root, EFFORTS["thorough"].exact, until)
        return None if plan is None else _advice(problem, belief, root, plan, EFFORTS["thorough"])


def _not_worse(new: Advice, old: Advice) -> Advice:
    bound = max(new.lower_bound, old.lower_bound)
    better = new if new.expected_minutes <= old.expected_minutes + CLOSE else old
    return replace(better, lower_bound=min(bound, better.expected_minutes))


def _advice(
    problem: Problem, belief: Belief, root: States, plan: Plan, effort: Effort, until: float = np.inf
) -> Advice:
    ranking = _ranking(problem, plan)
    stop = float(stop_minutes(problem, root.weights)[0])
    goes_on = bool(ranking) and ranking[0].expected_minutes < stop - CLOSE
    minutes = min(stop, plan.expected_minutes)
    if plan.method == "exact":
        low = minutes
    else:
        low = min(minutes, _bound(problem, root, states_ahead(problem, effort.ahead * BOUND_SHARE), until))
    return Advice(
        test=ranking[0].test if goes_on else None,
        candidate=None if goes_on else _likeliest(problem, belief),
        expected_minutes=minutes,
        lower_bound=low,
        posterior=belief.posterior,
        ranking=ranking,
        method=plan.method,
        problem=problem,
        plan=plan,
    )


def _bound(problem: Problem, root: States, most: int, until: float) -> float:
    known: dict[tuple[int, int], float] = problem.plans.setdefault("bounds", {})
    key = int(keys(problem, root)[0]), most
    if key not in known:
        if len(known) >= MOST_KEPT:
            known.pop(next(iter(known)))
        known[key] = lower_bound(problem, root, most, until)
    return known[key]


def _ranking(problem: Problem, plan: Plan) -> tuple[Ranked, ...]:
    ranked = [
        Ranked(problem.tests[test], float(minutes), float(price))
        for test, minutes, price in zip(*plan.first_tests(), strict=True)
    ]
    # Figures closer than a billionth of a minute are a tie: the cheaper test first, then by id.
    return tuple(sorted(ranked, key=lambda each: (round(each.expected_minutes, 8), each.minutes, each.test)))


def _likeliest(problem: Problem, belief: Belief) -> str:
    """The likeliest candidate of the likeliest group; ties by id."""
    by_group = np.array([belief.groups[name] for name in problem.groups])
    of_best = np.flatnonzero(by_group >= by_group.max() - CLOSE)[0]
    inside = [name for name, group in zip(problem.candidates, problem.group, strict=True) if group == of_best]
    return max(inside, key=lambda name: (round(belief.posterior[name], 9), [-ord(each) for each in name]))


def _impossible(problem: Problem, belief: Belief) -> Advice:
    return Advice(None, None, problem.wrong_minutes, 0.0, belief.posterior, (), "exact", problem)
