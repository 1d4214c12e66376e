"""Where the search stands, in words: who is suspected, whether anything separates them, what does not fit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from diagnostics.isolation import Belief, Done, Problem
from diagnostics.isolation.wording.figures import (
    in_100,
    minutes,
    quoted,
    still_suspected,
    suspects,
    times_in_100,
)
from diagnostics.isolation.wording.terms import Terms, terms_of
from diagnostics.isolation.wording.together import oddest_pair

OFF_THE_LIST = 0.15  # The catch-all from here on is said aloud. Section 10: 15 to 20 %.
FLAT_TIMES = 2.0  # A leader with less than this many times its even share does not stand out. Our choice.
FEW = 3  # With fewer suspects even shares are not called flat.
STANDS_OUT = 1 / 3  # A leader with this much is never one of a flat list.
NAMED = 3  # Suspects named in the sentence; the table has all of them.

Kind = Literal["open", "flat", "off the list", "impossible"]


@dataclass(frozen=True, slots=True)
class Way:
    """A way on from readings that contradict the list: a code for a button, and its words."""

    code: Literal["measure_again", "two_faults", "not_on_the_map", "assumption"]
    text: str


@dataclass(frozen=True)
class State:
    """Where the search stands.

    `kind` is the weightiest thing to say, `sentences` all of it, `repeat` the positions in the history of
    readings worth taking again (the cheaper first), `ways` what can be done about a contradiction.
    """

    kind: Kind
    sentences: tuple[str, ...]
    repeat: tuple[int, ...] = ()
    ways: tuple[Way, ...] = ()

    @property
    def text(self) -> str:
        """All of it as one paragraph."""
        return " ".join((*self.sentences, *(way.text for way in self.ways)))


def state(problem: Problem, belief: Belief, history: Sequence[Done] = ()) -> State:
    """Return where the search stands.

    Parameters
    ----------
    problem, belief
        The belief after the history.
    history : Done
        In the order done; the positions in the answer count from 0.
    """
    terms = terms_of(problem.document)
    if belief.is_impossible:
        return _contradiction(terms, belief, history)
    kept = still_suspected(belief.posterior)
    leader = belief.posterior[kept[0]]
    catch_all = sum(belief.posterior[name] for name in terms.catch_alls())
    is_flat = len(kept) >= FEW and leader < min(STANDS_OUT, FLAT_TIMES / len(kept))
    sentences = [_flat(kept, leader) if is_flat else _leaders(terms, belief, kept)]
    if catch_all >= OFF_THE_LIST:
        sentences.append(_off_the_list(catch_all))
    odd, repeat = _odd(terms, problem, belief, history)
    kind: Kind = "off the list" if catch_all >= OFF_THE_LIST else "flat" if is_flat else "open"
    return State(kind, (*sentences, *odd), repeat)


def _flat(kept: Sequence[str], leader: float) -> str:
    return f"Nothing separates them yet: {suspects(len(kept))}, none above {in_100(leader)}."


def _leaders(terms: Terms, belief: Belief, kept: Sequence[str]) -> str:
    shown = kept[: NAMED if len(kept) != NAMED + 1 else NAMED + 1]
    told = [f"{quoted(terms.candidate(name))} ({times_in_100(belief.posterior[name])})" for name in shown]
    told[0] = f"{quoted(terms.candidate(kept[0]))} ({in_100(belief.posterior[kept[0]])})"
    if len(kept) == 1:
        sure = belief.posterior[kept[0]] >= 0.995
        return f"One suspect is left: {quoted(terms.candidate(kept[0])) if sure else told[0]}."
    rest = f", and {len(kept) - len(shown)} more" if len(kept) > len(shown) else ""
    return f"{suspects(len(kept))} left, the likeliest first: {', '.join(told)}{rest}."


def _off_the_list(share: float) -> str:
    return (
        f"This is going off the list: {in_100(share)} that it is none of these. Before the next unplugging, "
        "ask what the map leaves out."
    )


def _odd(
    terms: Terms, problem: Problem, belief: Belief, history: Sequence[Done]
) -> tuple[tuple[str, ...], tuple[int, ...]]:
    priors = {each["id"]: float(each["prior"]) for each in problem.document["candidates"]}
    odd = oddest_pair(terms, priors, history)
    if odd is None:
        return (), ()
    cheaper, other = _cheaper_first(terms, belief, history, (odd.first, odd.second))
    both = " and ".join(quoted(_reading(terms, history[place])) for place in (odd.first, odd.second))
    test = history[cheaper].test
    told = (
        f"These two readings do not go together well: {both}. By the list both are seen in "
        f"{in_100(odd.chance)}. Repeat the cheaper, {quoted(terms.test(test))} "
        f"({minutes(terms.price(test, belief.open_zones))}).",
    )
    return told, (cheaper, other)


def _contradiction(terms: Terms, belief: Belief, history: Sequence[Done]) -> State:
    places = [place for place in belief.conflict if place < len(history)]
    readings = "; ".join(f"{place + 1}. {quoted(_reading(terms, history[place]))}" for place in places)
    repeat = _cheaper_first(terms, belief, history, places)
    sentences = ["The readings contradict the list: no suspect fits all of them."]
    if len(places) == 1:
        sentences.append(f"This reading cannot be, as the list stands: {readings}.")
    elif places:
        sentences.append(f"These {len(places)} cannot all be true: {readings}.")
    return State("impossible", tuple(sentences), repeat, tuple(_ways(terms, belief, history, repeat)))


def _ways(terms: Terms, belief: Belief, history: Sequence[Done], repeat: Sequence[int]) -> Iterator[Way]:
    tests = list(dict.fromkeys(history[place].test for place in repeat))
    again = ", then ".join(
        f"{quoted(terms.test(test))} ({minutes(terms.price(test, belief.open_zones))})" for test in tests
    )
    yield Way("measure_again", f"Measure again{', the cheaper first: ' + again if again else ''}.")
    yield Way("two_faults", "Or two faults at once: put the two likeliest together on the list.")
    yield Way("not_on_the_map", "Or a fault that is not on the map: add it and go on, every reading is kept.")
    claims = [each.claim for each in terms.candidates.values() if each.claim]
    doubt = f" Nobody has checked: {quoted(claims[0])}." if claims else ""
    yield Way("assumption", f"Or something taken for granted is false.{doubt}")


def _cheaper_first(
    terms: Terms, belief: Belief, history: Sequence[Done], places: Sequence[int]
) -> tuple[int, ...]:
    return tuple(
        sorted(places, key=lambda place: (terms.price(history[place].test, belief.open_zones), place))
    )


def _reading(terms: Terms, done: Done) -> str:
    return terms.reading(done.test, done.outcome)
