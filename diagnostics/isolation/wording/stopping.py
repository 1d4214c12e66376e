"""Why it is time to stop testing and to act on a suspect."""

from __future__ import annotations

from collections.abc import Iterator

from diagnostics.isolation import Advice, Belief, Problem
from diagnostics.isolation.wording.figures import in_100, minutes, opening, quoted
from diagnostics.isolation.wording.terms import CATCH_ALL, Terms, terms_of

SURE = 0.999
MOSTLY_ITSELF = 0.9  # Below this share of its group the others of the same repair are worth a word.


def why_stop(problem: Problem, belief: Belief, advice: Advice) -> tuple[str, ...]:
    """Return the sentences about stopping at the suspect that is advised; empty when a test is advised.

    Never taken for proof: a suspect that is only left over is confirmed by one reading of its own before
    anything is fitted (fault-isolation.md section 12, item 5).
    """
    if advice.candidate is None:
        return ()
    return tuple(_sentences(terms_of(problem.document), belief, advice, advice.candidate))


def _sentences(terms: Terms, belief: Belief, advice: Advice, name: str) -> Iterator[str]:
    found = terms.candidates[name]
    share = sum(belief.posterior[member] for member in terms.members(found.group))
    if found.kind == CATCH_ALL:
        yield (
            f"Nothing on the map explains it ({in_100(share)}). Stop for today: leave a recorder on it, or "
            "put on the map what is missing there."
        )
        return
    same = " or another fault with the same repair" if belief.posterior[name] < MOSTLY_ITSELF * share else ""
    yield f"{opening(found.label)}{same}: {in_100(share)}."
    if share < SURE:
        wrong = (1 - share) * terms.wrong_minutes
        yield (
            f"Naming it and being wrong would cost {minutes(terms.wrong_minutes)}, {minutes(wrong)} on "
            "average; no test left is worth more than it costs."
        )
        if advice.ranking:
            best = advice.ranking[0]
            yield (
                f"To go on all the same: {quoted(terms.test(best.test))}, "
                f"{minutes(best.expected_minutes)} from here."
            )
    yield "Confirm it by one reading of its own before anything is fitted."
