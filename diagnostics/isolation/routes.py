"""Routes named by the technician, side by side: expected minutes, the spread, and where it would turn.

A route is a set of tests to start with; its expected minutes are those of the best of them with the plan
after it. The same tests as a fixed order, then the rest by ease, say what it costs to follow a list whatever
it reads. A route with a slightly worse mean and a much shorter tail may be the right one when a lift is
booked: that is left to whoever works on it.

References
----------
.. [1] fault-isolation.md section 11. Read.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from diagnostics.isolation import Advice, Done, Problem, Route, advise, believe, fixed_order
from diagnostics.isolation.usual_routes import easiest_first
from diagnostics.isolation.wording.chances import cost_in_words, found_by
from diagnostics.isolation.wording.figures import is_tie, minutes, quoted
from diagnostics.isolation.wording.readings import readings
from diagnostics.isolation.wording.terms import Terms, terms_of

SHORTER_TAIL = 0.85  # Nine in ten found in less than this share of the time is worth a word. Our choice.
NOT_MUCH_WORSE = 1.1


@dataclass(frozen=True)
class Started:
    """What follows when a search starts with one test and goes on by the plan.

    `price` of the test; for each of its outcomes the chance and the advice after it.
    """

    price: float
    after: tuple[tuple[float, Advice], ...]

    def within(self, minutes: float) -> float:
        """Return the probability that it has ended at the right group by then. [min]"""
        left = minutes - self.price
        return sum(chance * advice.within(left) for chance, advice in self.after) if left >= 0 else 0.0

    def minutes_by(self, share: float) -> float:
        """Return the minutes by which this share of cases is found; infinite when never."""
        least, most = 0.0, self.price + 1.0
        while self.within(most) < share - 1e-9:
            most *= 2
            if most > 1e6:
                return math.inf
        while most - least > 0.01:
            middle = (least + most) / 2
            least, most = (least, middle) if self.within(middle) >= share - 1e-9 else (middle, most)
        return most


@dataclass(frozen=True)
class RouteView:
    """One named route. Minutes are from here on.

    `starts_with` is the best test of the route to start with and `starts_minutes` what is expected then; both
    None where none of its tests can be done or tell anything now. `half_by` and `nine_in_ten_by` belong to
    that. `order_minutes` is expected for the tests in this order, then the rest by ease, whatever they read;
    `order_nine_in_ten_by` is its spread.
    `gap` is the difference to the quickest route beside it.
    """

    name: str
    tests: tuple[str, ...]
    starts_with: str | None
    starts_minutes: float | None
    half_by: float
    nine_in_ten_by: float
    order_minutes: float
    order_nine_in_ten_by: float
    gap: float
    words: str


def compare(
    problem: Problem, routes: Mapping[str, Sequence[str]], history: Sequence[Done] = ()
) -> tuple[RouteView, ...]:
    """Return the routes in the order named.

    Parameters
    ----------
    problem : Problem
    routes : mapping
        What each route is called, to the ids of its tests in the order in which they would be done.
    history : Done
        What was done so far.

    Raises
    ------
    ValueError
        If a route is empty or names a test that the problem has not.
    """
    terms = terms_of(problem.document)
    _check(terms, routes)
    advice = advise(problem, history)
    starts = {name: _start(advice, tests) for name, tests in routes.items()}
    known = [minutes for _, minutes in starts.values() if minutes is not None]
    quickest = min(known, default=0.0)
    after = {test: started(problem, terms, history, test) for test, _ in starts.values() if test}
    open_zones = believe(problem, history).open_zones
    views = []
    for name, tests in routes.items():
        test, expected = starts[name]
        plan = after[test] if test else None
        order = fixed_order(problem, _whole(terms, tests, open_zones), history)
        gap = (expected if expected is not None else order.expected_minutes) - quickest
        views.append(_view(terms, name, tests, test, expected, plan, order, gap))
    return tuple(_with_tails(views))


def started(problem: Problem, terms: Terms, history: Sequence[Done], test: str) -> Started:
    """Return what follows when the next test is this one and the plan goes on after it."""
    belief = believe(problem, history)
    after = [
        (each.chance, advise(problem, [*history, Done(test, each.outcome.id)]))
        for each in readings(terms, belief.posterior, test)
    ]
    return Started(terms.price(test, belief.open_zones), tuple(after))


def _start(advice: Advice, tests: Sequence[str]) -> tuple[str | None, float | None]:
    """The best of these to start with: the least of their expected minutes. [1]"""
    ranked = next((each for each in advice.ranking if each.test in tests), None)
    return (ranked.test, ranked.expected_minutes) if ranked else (None, None)


def _whole(terms: Terms, tests: Sequence[str], open_zones: frozenset[str]) -> list[str]:
    """The tests of a route in its order, then the rest by ease: nobody stops where a list ends."""
    rest = [name for name in terms.tests if name not in tests]
    return [*tests, *easiest_first(terms, rest, open_zones)]


def _view(
    terms: Terms,
    name: str,
    tests: Sequence[str],
    test: str | None,
    expected: float | None,
    plan: Started | None,
    order: Route,
    gap: float,
) -> RouteView:
    timed = plan if plan is not None else order
    if test is None or expected is None:
        told = "None of these can tell anything now."
    else:
        against = (
            "the quickest of these"
            if gap == 0
            else cost_in_words(expected, expected - gap).removesuffix(" on average")
        )
        told = (
            f"Starting with {quoted(terms.test(test))}: {minutes(expected)} on average, {against}. "
            f"{found_by(timed)} {_order_words(order, expected)}"
        )
    return RouteView(
        name=name,
        tests=tuple(tests),
        starts_with=test,
        starts_minutes=expected,
        half_by=timed.minutes_by(0.5),
        nine_in_ten_by=timed.minutes_by(0.9),
        order_minutes=order.expected_minutes,
        order_nine_in_ten_by=order.minutes_by(0.9),
        gap=gap,
        words=told,
    )


def _order_words(order: Route, expected: float) -> str:
    if is_tie(order.expected_minutes, expected):
        return "Keeping to this order whatever it reads costs no more."
    return f"Keeping to this order whatever it reads: {minutes(order.expected_minutes)}."


def _with_tails(views: Sequence[RouteView]) -> list[RouteView]:
    """The views, with a word where a slower one has the much shorter tail."""
    timed = [view for view in views if view.starts_minutes is not None]
    quickest = min(timed, key=lambda view: view.starts_minutes or 0.0, default=None)
    return [_with_tail(view, quickest) for view in views]


def _with_tail(view: RouteView, quickest: RouteView | None) -> RouteView:
    if quickest is None or view is quickest or not view.starts_minutes or not quickest.starts_minutes:
        return view
    near = view.starts_minutes <= NOT_MUCH_WORSE * quickest.starts_minutes
    if not (near and view.nine_in_ten_by < SHORTER_TAIL * quickest.nine_in_ten_by):
        return view
    told = (
        f"Its long cases are shorter: nine in ten by {minutes(view.nine_in_ten_by)} instead of "
        f"{minutes(quickest.nine_in_ten_by)}. That may count where a lift is booked."
    )
    return replace(view, words=f"{view.words} {told}")


def _check(terms: Terms, routes: Mapping[str, Sequence[str]]) -> None:
    for name, tests in routes.items():
        if not tests:
            raise ValueError(f"The route {quoted(name)} names no test. Name at least one.")
        for test in tests:
            if test not in terms.tests:
                raise ValueError(f"The route {quoted(name)} names {test}, which is no test of this problem.")
