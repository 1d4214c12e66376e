"""Why this test: the split, the price, the reason against the tempting one, what would change the advice.

In that order (fault-isolation.md section 10), and never with an order in it: the plan proposes, the
technician decides. A caution stands before everything else (section 12, item 12).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from diagnostics.isolation import Advice, Belief, Problem, Ranked
from diagnostics.isolation.wording.chances import cost_in_words
from diagnostics.isolation.wording.figures import SAME, is_tie, minutes, opening, quoted
from diagnostics.isolation.wording.limits import limit_sentences
from diagnostics.isolation.wording.split import leaves, split_sentences
from diagnostics.isolation.wording.terms import Terms, terms_of

EASIER = 0.7  # A test of less than this share of the price is the tempting one.


@dataclass(frozen=True)
class Why:
    """The pieces of the reason for one test, each a sentence or more; empty where there is nothing to say.

    `title` names the test, `price` its parts, `split` what it tells, `expect` the minutes from here, `others`
    the second best and the tempting one, `changes` what would change the advice, `limits` what a reading
    leaves open.
    """

    test: str
    title: str
    price: str
    caution: str = ""
    split: tuple[str, ...] = ()
    expect: str = ""
    others: tuple[str, ...] = ()
    changes: tuple[str, ...] = ()
    limits: tuple[str, ...] = ()

    @property
    def sentences(self) -> tuple[str, ...]:
        """Every sentence in the order in which it is read."""
        heading = f"{self.title} ({self.price})."
        caution = (f"Caution: {self.caution}",) if self.caution else ()
        expect = (self.expect,) if self.expect else ()
        return (*caution, heading, *self.split, *expect, *self.others, *self.changes, *self.limits)

    @property
    def text(self) -> str:
        """All of it as one paragraph."""
        return " ".join(self.sentences)


def why(
    problem: Problem, belief: Belief, advice: Advice, test: str | None = None, *, changes: Sequence[str] = ()
) -> Why:
    """Return the reason for a test; without one, for the test that is advised.

    Parameters
    ----------
    problem, belief, advice
        Of one moment: the advice was given on this belief.
    test : str
        Any test of the ranking.
    changes : sentences
        What would change the advice (`what_would_change`), which takes planning of its own.

    Raises
    ------
    ValueError
        If no test is named and none is advised, or the test is not of this problem.
    """
    name = test or advice.test
    terms = terms_of(problem.document)
    if name is None or name not in terms.tests:
        raise ValueError(f"There is no test {name} to give a reason for. Name one of the ranking.")
    price = terms.price(name, belief.open_zones)
    return Why(
        test=name,
        title=opening(terms.test(name)),
        price=terms.price_words(name, belief.open_zones),
        caution=terms.tests[name].caution,
        split=split_sentences(
            terms, belief.posterior, name, price, open_to={each.test for each in advice.ranking}
        ),
        expect=_expect(advice, name),
        others=tuple(_others(terms, belief, advice, name, price)),
        changes=tuple(changes),
        limits=limit_sentences(terms, belief.posterior, name),
    )


def cost_of(advice: Advice, test: str) -> str:
    """Return what another choice costs, without a word about choosing it: "about 4 min more on average"."""
    ranked = _ranked(advice, test)
    if ranked is None:
        return "not compared: it cannot be done yet, or can tell nothing more"
    return cost_in_words(ranked.expected_minutes, advice.expected_minutes)


def bound_words(advice: Advice) -> str:
    """Return how far from the best possible the plan may be."""
    if advice.method == "exact" or is_tie(advice.expected_minutes, advice.lower_bound):
        return "no plan is quicker"
    return f"no plan can need fewer than {minutes(advice.lower_bound)}"


def _expect(advice: Advice, test: str) -> str:
    ranked = _ranked(advice, test)
    if test == advice.test:
        return (
            f"Expect about {minutes(advice.expected_minutes)} to the fault from here; {bound_words(advice)}."
        )
    return f"Expect about {minutes(ranked.expected_minutes)} to the fault from here." if ranked else ""


def _others(terms: Terms, belief: Belief, advice: Advice, test: str, price: float) -> Iterator[str]:
    """The second best and its gap, the best from another side, and the tempting easy one."""
    mine = _ranked(advice, test)
    rest = [each for each in advice.ranking if each.test != test]
    if not rest or mine is None:
        return
    second = rest[0]
    lead = "The plan would start with" if second.test == advice.test else "Next best"
    yield f"{lead}: {_from_here(terms, second, mine)}."
    elsewhere = _elsewhere(terms, rest, (test, second.test))
    if elsewhere:
        yield f"From another side: {_from_here(terms, elsewhere, mine)}."
    easy = min(rest, key=lambda each: (each.minutes, each.expected_minutes, each.test))
    if easy.minutes < EASIER * price:
        left = leaves(terms, belief.posterior, easy.test)
        told = f"The easy one, {quoted(terms.test(easy.test))} ({minutes(easy.minutes)}), leaves {left}"
        if easy in (second, elsewhere):
            yield f"{told}."
        else:
            yield f"{told}: {_minutes_and_gap(easy, mine)}."


def _elsewhere(terms: Terms, rest: Sequence[Ranked], told: tuple[str, str]) -> Ranked | None:
    """The best test behind other zones than those told, where those were both behind the same."""
    zones = {frozenset(terms.tests[name].zones) for name in told}
    if len(zones) > 1:
        return None
    return next((each for each in rest if frozenset(terms.tests[each.test].zones) not in zones), None)


def _from_here(terms: Terms, other: Ranked, mine: Ranked) -> str:
    return f"{quoted(terms.test(other.test))}, {_minutes_and_gap(other, mine)}"


def _minutes_and_gap(other: Ranked, mine: Ranked) -> str:
    gap = cost_in_words(other.expected_minutes, mine.expected_minutes)
    told = gap if gap == SAME else gap.removesuffix(" on average")
    return f"{minutes(other.expected_minutes)} from here, {told}"


def _ranked(advice: Advice, test: str) -> Ranked | None:
    return next((each for each in advice.ranking if each.test == test), None)
