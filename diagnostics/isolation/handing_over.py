"""The hand-off drawn from a search: known, ruled out and by which reading, suspected, next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagnostics.isolation import Advice, Belief, Done, Problem, believe
from diagnostics.isolation.wording.figures import in_100, minutes, still_suspected
from diagnostics.isolation.wording.state import state
from diagnostics.isolation.wording.terms import Terms, terms_of

MOST_SUSPECTS = 8  # Lines of suspects; the rest is counted.


@dataclass(frozen=True)
class HandOver:
    """The four parts of a hand-off, each a line or more."""

    known: tuple[str, ...]
    ruled_out: tuple[str, ...]
    suspected: tuple[str, ...]
    next: tuple[str, ...]

    @property
    def text(self) -> str:
        """All of it as plain text, a heading before each part."""
        parts = (
            ("Known", self.known or ("nothing read yet",)),
            ("Ruled out", self.ruled_out or ("nobody yet",)),
            ("Suspected", self.suspected),
            ("Next", self.next),
        )
        return "\n\n".join("\n".join([heading, *(f"- {line}" for line in lines)]) for heading, lines in parts)


def hand_over(
    problem: Problem, belief: Belief, history: Sequence[Done], advice: Advice | None = None
) -> HandOver:
    """Return the hand-off of a search.

    Parameters
    ----------
    problem, belief, history
        The belief after the history.
    advice : Advice
        What would come next; without it the next step is left to whoever takes over.
    """
    terms = terms_of(problem.document)
    complaint = problem.document.get("complaint", "")
    known = (*((complaint,) if complaint else ()), *_readings(terms, history))
    if belief.is_impossible:
        told = state(problem, belief, history)
        return HandOver(known, (), told.sentences, tuple(way.text for way in told.ways))
    return HandOver(
        known=known,
        ruled_out=_ruled_out(problem, terms, belief, history),
        suspected=_suspected(terms, belief),
        next=_next(terms, belief, advice),
    )


def _readings(terms: Terms, history: Sequence[Done]) -> list[str]:
    return [terms.reading(entry.test, entry.outcome) for entry in history]


def _ruled_out(problem: Problem, terms: Terms, belief: Belief, history: Sequence[Done]) -> tuple[str, ...]:
    """What each reading cleared: the suspects that never came back after it."""
    still = set(still_suspected(belief.posterior))
    last: dict[str, int] = {}
    for place in range(len(history) + 1):
        step = believe(problem, history[:place])
        if not step.is_impossible:
            for name in still_suspected(step.posterior):
                last[name] = place
    cleared: dict[int, list[str]] = {}
    for each in terms.candidates.values():
        # `last` counts the readings that were in when it was last suspected: the next one cleared it.
        if each.id not in still and each.id in last:
            cleared.setdefault(last[each.id], []).append(each.label)
    return tuple(
        f"by {terms.reading(history[place].test, history[place].outcome)}: {', '.join(names)}"
        for place, names in sorted(cleared.items())
    )


def _suspected(terms: Terms, belief: Belief) -> tuple[str, ...]:
    kept = still_suspected(belief.posterior)
    lines = [f"{terms.candidate(name)}: {in_100(belief.posterior[name])}" for name in kept[:MOST_SUSPECTS]]
    more = len(kept) - len(lines)
    return (*lines, *((f"and {more} more with less",) if more else ()))


def _next(terms: Terms, belief: Belief, advice: Advice | None) -> tuple[str, ...]:
    if advice is None:
        return ("not planned yet",)
    if advice.test is None:
        name = str(advice.candidate)
        return (f"{terms.candidate(name)}: confirm it by one reading of its own, then put it right",)
    caution = terms.tests[advice.test].caution
    price = terms.price_words(advice.test, belief.open_zones)
    lines = [f"{terms.test(advice.test)} ({price}); about {minutes(advice.expected_minutes)} to the fault"]
    still_open = [zone.label for name, zone in terms.zones.items() if _is_to_refit(terms, belief, name)]
    if still_open:
        lines.append(f"open, to be refitted: {', '.join(still_open)}")
    return (*((f"Caution: {caution}",) if caution else ()), *lines)


def _is_to_refit(terms: Terms, belief: Belief, zone: str) -> bool:
    found = terms.zones[zone]
    return zone in belief.open_zones and not found.already_open and found.close_minutes > 0
