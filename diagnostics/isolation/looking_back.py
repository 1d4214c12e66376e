"""After the job: which test should have come first by what was known then, and what the route taken cost.

Never hindsight: every step is measured against what was known before it, in expectation. A test that was the
best choice and read unluckily cost nothing; the cause found in the end is used only to say which readings
came nearer to it. The words blame nobody: they are for the map and for the next time.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from diagnostics.isolation import Belief, Done, Problem, advise, believe
from diagnostics.isolation.wording.figures import in_100, is_tie, listed, minutes, quoted
from diagnostics.isolation.wording.terms import Terms, terms_of

MOVED_LITTLE = 0.03  # A reading that moved less than this of all suspicion did not help. Our choice.


@dataclass(frozen=True, slots=True)
class Step:
    """One test of the route. Minutes.

    `planned` is the test that was best by what was known then, None where stopping was; `cost` is what the
    test taken costs in expectation above it (0 for the same), None where it was not compared.
    `expected_minutes` is its price then, `taken_minutes` what was timed, None where it was not. `moved` is
    the share of all suspicion that the reading moved from one suspect to another, 0 to 1.
    """

    test: str
    outcome: str
    planned: str | None
    cost: float | None
    expected_minutes: float
    taken_minutes: float | None
    moved: float

    @property
    def is_departure(self) -> bool:
        """Whether another test was clearly better by what was known then."""
        return bool(self.cost) and self.test != self.planned


@dataclass(frozen=True)
class LookBack:
    """What a finished search teaches. Minutes, in expectation where not `taken`.

    `first` is the test that should have come first, `first_taken` the one that did. `expected` from the
    start by the plan, `route_cost` what the choices on the way added to it. `taken` and `thought` are the
    minutes timed and those planned for the same steps. `costliest` is the position of the dearest departure.
    `no_help` the positions of readings that moved nothing.
    """

    steps: tuple[Step, ...]
    first: str | None
    first_taken: str | None
    expected: float
    route_cost: float
    taken: float
    thought: float
    costliest: int | None
    no_help: tuple[int, ...]
    sentences: tuple[str, ...]

    @property
    def text(self) -> str:
        """All of it as one paragraph."""
        return " ".join(self.sentences)


def look_back(
    problem: Problem,
    history: Sequence[Done],
    taken: Sequence[float | None] = (),
    *,
    cause: str | None = None,
) -> LookBack:
    """Return what a finished search teaches.

    Parameters
    ----------
    problem : Problem
        As it stood when the search began.
    history : Done
        In the order done.
    taken : minutes or None
        What each step really took, access included; shorter than the history where the rest was not timed.
    cause : str
        The candidate named in the end; None where it is none of them.

    Notes
    -----
    Plans once for each step.
    """
    terms = terms_of(problem.document)
    timed = [*taken, *([None] * (len(history) - len(taken)))]
    start = advise(problem, ())
    steps = tuple(_steps(problem, terms, history, timed))
    known = [(step.expected_minutes, step.taken_minutes) for step in steps if step.taken_minutes is not None]
    departures = [place for place, step in enumerate(steps) if step.is_departure]
    found = LookBack(
        steps=steps,
        first=start.test,
        first_taken=history[0].test if history else None,
        expected=start.expected_minutes,
        route_cost=sum(step.cost or 0.0 for step in steps),
        taken=sum(minutes for _, minutes in known),
        thought=sum(minutes for minutes, _ in known),
        costliest=max(departures, key=lambda place: (steps[place].cost or 0.0, -place), default=None),
        no_help=tuple(place for place, step in enumerate(steps) if step.moved < MOVED_LITTLE),
        sentences=(),
    )
    return _with_words(terms, found, _end(problem, history, cause))


def _steps(
    problem: Problem, terms: Terms, history: Sequence[Done], timed: Sequence[float | None]
) -> Iterator[Step]:
    before = believe(problem, ())
    for place, (entry, taken) in enumerate(zip(history, timed, strict=True)):
        after = believe(problem, history[: place + 1])
        if before.is_impossible or after.is_impossible:
            # Nothing was known any more that a plan could have gone by.
            planned, cost, moved = None, None, 1.0
        else:
            planned, cost = _against_the_plan(problem, history[:place], entry.test)
            moved = _moved(before, after)
        price = terms.price(entry.test, before.open_zones)
        yield Step(entry.test, entry.outcome, planned, cost, price, taken, moved)
        before = after


def _against_the_plan(problem: Problem, before: Sequence[Done], test: str) -> tuple[str | None, float | None]:
    """The test that was best then, and what the one taken costs above it; 0 within a tie."""
    advice = advise(problem, before)
    ranked = next((each for each in advice.ranking if each.test == test), None)
    if ranked is None:
        return advice.test, None
    cost = ranked.expected_minutes - advice.expected_minutes
    return advice.test, 0.0 if is_tie(ranked.expected_minutes, advice.expected_minutes) else cost


def _moved(before: Belief, after: Belief) -> float:
    """Total variation between two beliefs, 0 to 1."""
    return 0.5 * sum(abs(after.posterior[name] - share) for name, share in before.posterior.items())


def _end(problem: Problem, history: Sequence[Done], cause: str | None) -> tuple[str, float | None]:
    """The cause named, and the chance it had by the readings."""
    belief = believe(problem, history)
    if cause is None or belief.is_impossible or cause not in belief.posterior:
        return cause or "", None
    return cause, belief.posterior[cause]


def _with_words(terms: Terms, found: LookBack, end: tuple[str, float | None]) -> LookBack:
    return replace(found, sentences=tuple(_sentences(terms, found, *end)))


def _sentences(terms: Terms, found: LookBack, cause: str, chance: float | None) -> Iterator[str]:
    if not found.steps:
        yield "Nothing was read in this search, so there is nothing to compare."
        return
    yield _first(terms, found)
    if found.route_cost and found.costliest is not None:
        step = found.steps[found.costliest]
        better = quoted(terms.test(step.planned)) if step.planned else "stopping"
        yield (
            f"By what was known at each step, the route cost about {minutes(found.route_cost)} more than the "
            f"plan on average; most of it, {minutes(step.cost or 0)}, at step {found.costliest + 1}, "
            f"{quoted(terms.test(step.test))}, where the plan had {better}."
        )
    else:
        yield "By what was known at each step, the route cost no more than the plan."
    yield from _clock(found)
    if found.no_help:
        names = listed([terms.test(found.steps[place].test) for place in found.no_help])
        yield f"Without bearing on the suspects: {names}."
    if chance is not None:
        yield f"The readings gave the cause found, {quoted(terms.candidate(cause))}, {in_100(chance)}."
    elif not cause:
        yield "The cause was none of the suspects: add it to the map for the next time."


def _first(terms: Terms, found: LookBack) -> str:
    taken, cost = quoted(terms.test(found.steps[0].test)), found.steps[0].cost
    if found.first is None:
        return f"By what was known at the start no test was worth its minutes. First was {taken}."
    planned = quoted(terms.test(found.first))
    if found.first == found.first_taken:
        return f"First was {taken}, as the plan would have it: about {minutes(found.expected)} expected."
    if cost == 0:
        return f"First was {taken}: for practical purposes the same as the plan's {planned}."
    gap = f", about {minutes(cost)} less on average" if cost else ""
    return f"By what was known at the start, {planned} comes first{gap}; first was {taken}."


def _clock(found: LookBack) -> Iterator[str]:
    timed = sum(step.taken_minutes is not None for step in found.steps)
    if not timed:
        return
    steps = (
        "The steps" if timed == len(found.steps) else f"The {timed} timed {'step' if timed == 1 else 'steps'}"
    )
    if is_tie(found.taken, found.thought):
        yield f"{steps} took {minutes(found.taken)}, as thought."
        return
    thought = minutes(found.thought)
    yield f"{steps} took {minutes(found.taken)}; {thought} were thought. The map learns from it."
