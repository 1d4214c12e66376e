"""Was the repair checked, and what was left undone or done again? R22 to R24 and R26."""

from __future__ import annotations

from collections.abc import Iterator

from diagnostics.evidence import wording
from diagnostics.evidence.finding import Raised
from diagnostics.evidence.terms import Terms, WorkDone, is_later
from diagnostics.judging import done_by_hand_over, is_blank, same_text
from diagnostics.snapshot import Check, Order, Work


def check_missing(terms: Terms) -> Iterator[Raised]:
    """R22: safety work that nobody but its doer checked on or after its date.

    A check without a name is a check by nobody.
    """
    for done in terms.work:
        if not done.work.safety:
            continue
        doer = done.work.by.strip() or terms.order.technician.strip()
        if not any(_is_independent(check, done.work, doer, terms.order) for check in terms.order.checks):
            text = (
                f"The safety work on the {wording.words(done.work.component)} of "
                f"{wording.day(done.work.on.on)} by {wording.person(doer)} has no check by a second person; "
                "have it checked by somebody else."
            )
            yield Raised("R22", done.work.id, text, terms.complaints_of(done.complaint))


def _is_independent(check: Check, work: Work, doer: str, order: Order) -> bool:
    return (
        check.work == work.id
        and not is_blank(check.by)
        and check.by.strip() != doer
        and check.on.on >= work.on.on
        and done_by_hand_over(check.on, order)
    )


def declined_without_follow_up(terms: Terms) -> Iterator[Raised]:
    """R23: the customer was not told of a declined item, or a risk has no date to look again."""
    for item in terms.order.declined:
        missing = []
        if item.informed_on is None:
            missing.append("the date the customer was told")
        if item.risk in ("safety", "progressive") and item.follow_up_on is None:
            missing.append("a date to look at it again")
        if missing:
            text = (
                f"Work on the {wording.words(item.component)} was declined ({item.risk} risk) without "
                f"{wording.listed(missing)}; tell the customer and write it down."
            )
            yield Raised("R23", item.id, text)


def over_authorised_time(terms: Terms) -> Iterator[Raised]:
    """R24: more minutes of diagnosis than the customer agreed to; no authorisation is none."""
    order = terms.order
    spent = sum(entry.minutes for entry in order.time if entry.kind == "diagnosis")
    agreed = sum(a.minutes for a in order.authorisations)
    if spent > agreed:
        text = (
            f"Diagnosis took {spent} min and {agreed} min were authorised; ask the customer for the other "
            f"{spent - agreed} min and record the answer."
        )
        yield Raised("R24", order.id, text)


def repeated_replacement(terms: Terms) -> Iterator[Raised]:
    """R26: the same component was replaced on this vehicle not long ago, and nobody asked why it failed."""
    for done in terms.work:
        if not _is_replacement(done.work) or not is_blank(done.work.failure_analysis):
            continue
        before = _earlier_replacement(done, terms)
        if before is not None:
            order, work = before
            text = (
                f"The {wording.words(done.work.component)} was replaced on {wording.day(done.work.on.on)}, "
                f"{(done.work.on.on - work.on.on).days} days after order {order.id} replaced it; examine the "
                "part that failed and write down what was found."
            )
            yield Raised("R26", done.work.id, text, terms.complaints_of(done.complaint))


def _is_replacement(work: Work) -> bool:
    return work.kind == "replace" and work.reason != "maintenance"


def _earlier_replacement(done: WorkDone, terms: Terms) -> tuple[Order, Work] | None:
    for order in terms.earlier:
        if not _is_earlier(order, terms.order) or not _is_near(order, terms):
            continue
        for work in order.work:
            days = (done.work.on.on - work.on.on).days
            if (
                _is_replacement(work)
                and same_text(work.component, done.work.component)
                and (0 <= days <= terms.policy.repeat_days)
            ):
                return order, work
    return None


def _is_earlier(other: Order, order: Order) -> bool:
    """Not this order, and not opened later; the caller hands over orders of the same vehicle only."""
    return other.id != order.id and not is_later(other.opened, order.opened)


def _is_near(other: Order, terms: Terms) -> bool:
    """Whether the distance from that hand-over to this arrival is within policy; unknown counts as near."""
    out, now = other.odo_out_km, terms.order.odo_in_km
    return out is None or now is None or now - out <= terms.policy.repeat_km
