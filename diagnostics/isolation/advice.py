"""Which test next: exact where the problem allows, else by looking ahead, with what no plan can undercut."""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from weakref import WeakKeyDictionary

import numpy as np

from diagnostics.isolation.belief import Belief, Done, believe
from diagnostics.isolation.look_ahead import Sketch, exact, looks, sketch_of
from diagnostics.isolation.plan import Plan, explore
from diagnostics.isolation.problem import ALMOST_NEVER, TIE, Floats, Problem
from diagnostics.isolation.spread import Spread, spread
from diagnostics.isolation.states import States, at_start, keys, settled

SMALL = 14  # Up to so many suspects the whole problem is solved exactly, if the effort allows.
FEW_LEFT = 10  # Suspects still standing with which the rest of a larger search is solved exactly.
# Work by effort, in states times chances of one state: for a page that waits, by default, with patience.
EXACT_WORK = (3_000_000, 25_000_000, 150_000_000)
REST_WORK = (1_000_000, 3_000_000, 50_000_000)
AHEAD_WORK = (300_000, 500_000, 60_000_000)
SUSPICION = 0.02  # A suspect that keeps less, and less than a tenth of the leader, is not counted any more.
_KEPT = 64  # Answers kept a problem.
_GROWS = 2.5  # A step takes about so much longer than all before it.


@dataclass(frozen=True)
class Ranked:
    """One first test: expected minutes from here when starting with it, and its own minutes now."""

    test: str
    expected_minutes: float
    minutes: float


@dataclass(frozen=True)
class Split:
    """One outcome of a test: how likely it is, and the suspects that would still be worth a suspicion."""

    outcome: str
    probability: float
    keeps: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Advice:
    """What to do next, and what it is expected to cost.

    test            the proposed test, None where naming the likeliest group now is best
    candidate       the likeliest candidate of that group where stopping is best, else None
    expected_minutes  from here with the plan shown, a wrong call at the end included (section 3)
    lower_bound     minutes that no plan can undercut
    ranking         every test worth doing now, the best first
    method          "exact", "look-ahead" where the problem is too large, "contradiction" where the
                    history cannot be
    """

    problem: Problem
    belief: Belief
    test: str | None
    candidate: str | None
    expected_minutes: float
    lower_bound: float
    ranking: tuple[Ranked, ...]
    method: str
    sketch: Sketch | None = field(repr=False)

    @property
    def posterior(self) -> dict[str, float]:
        """Chance of each candidate now."""
        return self.belief.posterior

    @cached_property
    def spread(self) -> Spread:
        """When the plan shown ends."""
        if self.sketch is None:
            return Spread(np.empty(0), np.empty(0))
        first = None if self.test is None else self.problem.test_at[self.test]
        return spread(self.sketch.plan, self.sketch.place, first)

    def within(self, minutes: float) -> float:
        """Chance that the plan shown has ended with the right group within that many minutes from here."""
        return self.spread.within(minutes)

    def minutes_by(self, share: float) -> float:
        """Minutes by which that share of such faults is found; inf where it never is."""
        return self.spread.minutes_by(share)

    def splits(self, test: str) -> tuple[Split, ...]:
        """Return what each outcome of a test would leave; outcomes that cannot come are left out."""
        at = self.problem.test_at[test]
        joint = self.problem.likelihood[at] * self.belief.chances
        found = []
        for outcome, row in zip(self.problem.tests[at].outcomes, joint, strict=False):
            chance = float(row.sum())
            if chance > ALMOST_NEVER:
                found.append(Split(outcome, chance, worth_suspicion(self.problem, row / chance)))
        return tuple(found)


def worth_suspicion(problem: Problem, chances: Floats) -> tuple[str, ...]:
    """Return the candidates that keep at least 2 in 100, or a tenth of the leader, the likeliest first."""
    least = min(SUSPICION, float(chances.max()) / 10.0)
    order = np.argsort(-chances, kind="stable")
    return tuple(problem.candidates[at] for at in order if chances[at] >= least - ALMOST_NEVER)


@dataclass
class _Memo:
    """What is known of one problem: its whole exact plan, and the answers given."""

    tried: int = 0  # States to which the whole was tried without an end.
    whole: Plan | None = None
    answers: OrderedDict[tuple[int, int], Sketch] = field(default_factory=OrderedDict)


_MEMOS: WeakKeyDictionary[Problem, _Memo] = WeakKeyDictionary()


def advise(problem: Problem, history: Sequence[Done] = (), *, effort: int = 1) -> Advice:
    """Return the next test and what stands against it; the same for the same problem, history and effort.

    effort: 0 for a page that waits, 1 by default, 2 with patience; more looks farther where the problem is
    too large to be solved exactly.

    Where no suspect agrees with the history there is nothing to propose: neither a test nor a candidate, the
    price of a wrong call as minutes, and `belief.conflict` names the readings.
    """
    belief = believe(problem, history)
    if belief.is_impossible:
        return _nothing(problem, belief)
    answers = _memo(problem).answers
    key = (int(keys(belief.state)[0]), effort)
    if key not in answers:
        answers[key] = _exact(problem, belief.state, effort) or _looked_ahead(problem, belief.state, effort)
        if len(answers) > _KEPT:
            answers.popitem(last=False)
    answers.move_to_end(key)
    return _advice(problem, belief, answers[key])


def improve(problem: Problem, history: Sequence[Done] = (), *, seconds: float) -> Iterator[Advice]:
    """Give a first answer quickly, then better ones until the time is up; none is worse than the last."""
    began = time.monotonic()
    belief = believe(problem, history)
    if belief.is_impossible:
        yield _nothing(problem, belief)
        return
    if (found := _exact(problem, belief.state, 0)) is not None:
        yield _advice(problem, belief, found)
        return
    for sketch, _ in looks(problem, belief.state):
        spent = time.monotonic() - began
        yield _advice(problem, belief, sketch)
        if spent * _GROWS > seconds:
            return


def _memo(problem: Problem) -> _Memo:
    return _MEMOS.setdefault(problem, _Memo())


def _nothing(problem: Problem, belief: Belief) -> Advice:
    minutes = problem.wrong_minutes
    return Advice(problem, belief, None, None, minutes, 0.0, (), "contradiction", None)


def _exact(problem: Problem, state: States, effort: int) -> Sketch | None:
    """Return the exact answer where the problem, or what is left of it, is small enough for the effort."""
    memo, is_small = _memo(problem), len(problem.candidates) <= SMALL
    most = (EXACT_WORK if is_small else REST_WORK)[effort] // problem.likelihood.size
    if is_small:
        if memo.whole is None and memo.tried < most:
            memo.whole, memo.tried = explore(problem, at_start(problem), most=most), most
        if memo.whole is not None and (known := sketch_of(memo.whole, state, is_exact=True)) is not None:
            # Where stopping is plainly best the plan looked no farther; each test is valued from here then.
            return known if np.isfinite(known.q).any() else exact(problem, state, most=most) or known
    elif int((state.belief > 0.0).sum()) > FEW_LEFT:
        return None
    return exact(problem, state, most=most)


def _looked_ahead(problem: Problem, state: States, effort: int) -> Sketch:
    for found, work in looks(problem, state):
        best = found
        if work > AHEAD_WORK[effort]:
            break
    return best


def _advice(problem: Problem, belief: Belief, sketch: Sketch) -> Advice:
    _, can = settled(problem, belief.state)
    price, value = can.price[0], sketch.value
    # A test not looked at is worth at most itself and then the best plan, its outcome unheeded.
    q = np.where(can.legal[0], np.minimum(sketch.q, price + value), np.inf)
    order = sorted(
        np.nonzero(can.legal[0])[0].tolist(), key=lambda at: (round(float(q[at]) / TIE), float(price[at]), at)
    )
    ranking = tuple(Ranked(problem.tests[at].id, float(q[at]), float(price[at])) for at in order)
    goes_on = bool(ranking) and q[order[0]] < sketch.plan_stop - TIE
    return Advice(
        problem=problem,
        belief=belief,
        test=ranking[0].test if goes_on else None,
        candidate=None if goes_on else _likeliest(problem, belief.chances),
        expected_minutes=float(q[order[0]]) if goes_on else sketch.plan_stop,
        lower_bound=sketch.bound,
        ranking=ranking,
        method="exact" if sketch.is_exact else "look-ahead",
        sketch=sketch,
    )


def _likeliest(problem: Problem, chances: Floats) -> str:
    """The likeliest candidate of the likeliest group; ties go to the id."""
    groups = np.round(problem.group_chances(chances), 12)
    among = np.where(problem.group_of == int(np.argmax(groups)), np.round(chances, 12), -1.0)
    return problem.candidates[int(np.argmax(among))]
