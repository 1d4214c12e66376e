"""Where the choice between two routes turns: how long each easy test may take, how many suspects may be left.

Found by planning again, so that shared places and unequal chances count; the closed form for equal units is
the sum `isolation.hub_or_easy` (fault-isolation.md section 11).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from diagnostics.isolation import Advice, Done, Problem, advise, believe, load
from diagnostics.isolation.usual_routes import easiest_first
from diagnostics.isolation.wording.changes import with_minutes_added
from diagnostics.isolation.wording.figures import half_up, still_suspected
from diagnostics.isolation.wording.readings import readings
from diagnostics.isolation.wording.terms import terms_of

MOST_ADDED = 30.0  # Minutes more for each easy test: beyond this nobody calls it easy.
HALVINGS = 5


@dataclass(frozen=True)
class Turning:
    """Where the first route begins to pay against the second.

    `pays_now` whether it does as things are. `each_minutes` is what an easy test takes on average if all are
    done, access shared. `added_minutes`: each test of the second route may take so much longer (or, below 0,
    must take so much less) until the choice turns; None where no minutes turn it. `suspects_left`: with so
    many suspects left after fruitless easy tests it turns; None where it does not.
    """

    pays_now: bool
    each_minutes: float
    added_minutes: float | None
    suspects_left: int | None
    words: str


def turning(
    problem: Problem, hub: Sequence[str], easy: Sequence[str], history: Sequence[Done] = ()
) -> Turning | None:
    """Return where "hub first" turns against "easy ones first"; None where one of them cannot be started.

    Parameters
    ----------
    problem : Problem
    hub, easy : test ids
        Tests that start either route. A test of both counts for the hub.
    history : Done
        What was done so far.

    Notes
    -----
    Plans about a dozen times. Exact to the minute where expected minutes are.
    """
    hub_tests, easy_tests = set(hub), set(easy) - set(hub)
    lead_now = _lead(advise(problem, history), hub_tests, easy_tests)
    if lead_now is None:
        return None
    pays_now = lead_now > 0
    added = _added_minutes(problem, hub_tests, easy_tests, history, pays_now)
    left = _suspects_left(problem, hub_tests, easy_tests, history) if pays_now else None
    each = _each_minutes(problem, easy_tests, history)
    return Turning(pays_now, each, added, left, _words(pays_now, each, added, left))


def _each_minutes(problem: Problem, easy: set[str], history: Sequence[Done]) -> float:
    """Minutes of an easy test on average, when all of them are done and a place is opened once."""
    terms = terms_of(problem.document)
    opened, total = set(believe(problem, history).open_zones), 0.0
    for test in easiest_first(terms, easy, opened):
        total += terms.price(test, opened)
        opened |= {zone.id for zone in terms.to_open(test, opened)}
    return total / len(easy)


def _lead(advice: Advice, hub: set[str], easy: set[str]) -> float | None:
    """By how many minutes starting with the hub is quicker; None where one cannot be started."""
    by_hub = [each.expected_minutes for each in advice.ranking if each.test in hub]
    by_easy = [each.expected_minutes for each in advice.ranking if each.test in easy]
    return min(by_easy) - min(by_hub) if by_hub and by_easy else None


def _added_minutes(
    problem: Problem, hub: set[str], easy: set[str], history: Sequence[Done], pays_now: bool
) -> float | None:
    terms = terms_of(problem.document)
    dearest = max(terms.tests[name].minutes for name in easy)
    far = -dearest if pays_now else MOST_ADDED

    def pays(added: float) -> bool:
        changed = load(with_minutes_added(problem.document, easy, added))
        lead = _lead(advise(changed, history), hub, easy)
        return lead is not None and lead > 0

    if pays(far) == pays_now:
        return None
    return _turning_point(pays, 0.0, far, pays_now)


def _turning_point(pays: Callable[[float], bool], near: float, far: float, pays_now: bool) -> float:
    for _ in range(HALVINGS):
        middle = (near + far) / 2
        if pays(middle) == pays_now:
            near = middle
        else:
            far = middle
    return (near + far) / 2


def _suspects_left(problem: Problem, hub: set[str], easy: set[str], history: Sequence[Done]) -> int | None:
    """Suspects left when the easy ones become the better start, those done having read nothing new."""
    terms = terms_of(problem.document)
    order = easiest_first(terms, easy, believe(problem, history).open_zones)
    done = list(history)
    for test in order:
        belief = believe(problem, done)
        found = readings(terms, belief.posterior, test)
        fruitless = max(found, key=lambda each: (each.chance, each.outcome.id))
        done.append(Done(test, fruitless.outcome.id))
        lead = _lead(advise(problem, done), hub, easy - {entry.test for entry in done})
        if lead is None:
            return None
        if lead <= 0:
            return len(still_suspected(believe(problem, done).posterior))
    return None


def _words(pays_now: bool, each: float, added: float | None, left: int | None) -> str:
    if pays_now:
        told = [f"if more than {left} suspects are left"] if left else []
        if added is not None:
            lead = "" if told else "if "
            told.append(f"{lead}the easy ones take longer than {_each(each, added)}")
        return f"The hub first pays {' and '.join(told) or 'however quick the easy ones are'}."
    if added is None:
        return "The easy ones first pay, however long each takes."
    return f"The hub first would pay if the easy ones took longer than {_each(each, added)}."


def _each(each: float, added: float) -> str:
    turns, planned = (f"{half_up(2 * value) / 2:g}" for value in (each + added, each))
    if turns == planned:
        return f"about {planned} min each, which is as planned: it hardly matters"
    return f"about {turns} min each ({planned} as planned)"
