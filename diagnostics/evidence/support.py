"""Does each failing reading lead somewhere, and each part come from one? R9 and R11."""

from __future__ import annotations

from collections.abc import Iterator

from diagnostics.evidence import wording
from diagnostics.evidence.finding import Raised, Signature
from diagnostics.evidence.terms import Counted, Terms, WorkDone, is_signed
from diagnostics.judging import is_blank


def not_followed_up(terms: Terms) -> Iterator[Raised]:
    """R9: a failing phase-before reading that no cause or work cites and no later same reading answers.

    A suspect's citation does not help. A signed disposition explains it.
    """
    cited = {i for cause in terms.order.causes for i in cause.evidence}
    cited.update(i for work in terms.order.work for i in work.evidence)
    cited.update(item.test for item in terms.order.declined)
    for counted in terms.tests:
        if counted.is_failing_before and counted.test.id not in cited and not _passes_later(counted, terms):
            test, disposition = counted.test, counted.test.disposition
            own = (
                (Signature(disposition.reason, disposition.by),)
                if disposition and is_signed(disposition.reason, disposition.by)
                else ()
            )
            text = (
                f"The reading {wording.reading(test)}, is out of limits and nothing follows from it; cite it "
                "for a cause, work or declined item, read it again, or write down with a name why it may "
                "stand."
            )
            yield Raised("R9", test.id, text, terms.complaints_of(test.complaint), own=own)


def _passes_later(counted: Counted, terms: Terms) -> bool:
    return any(
        other.outcome == "pass" and other.place.is_later_than(counted.place)
        for other in terms.same_readings(counted.test)
    )


def unsupported_part(terms: Terms) -> Iterator[Raised]:
    """R11: a replacement that no failing evidence, linked cause or note stands behind."""
    for done in terms.work:
        missing = _missing_support(done) if done.work.kind == "replace" else ""
        if missing:
            text = f"The {wording.words(done.work.component)} was replaced {missing}."
            yield Raised("R11", done.work.id, text, terms.complaints_of(done.complaint))


def _missing_support(done: WorkDone) -> str:
    if done.is_for_cause and not done.failing:
        return "as the cause, and no failing reading before the work condemns it; cite the one that does"
    if done.work.reason == "consequential" and done.cause is None:
        return "as a consequence, and no cause of this order is linked; link the cause behind it"
    if done.work.reason == "customer_request" and is_blank(done.work.note):
        return "at the customer's request, and no note says what was asked; write it down"
    return ""
