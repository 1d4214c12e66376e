"""Was the diagnosis handed from one person to the next? R25."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from itertools import pairwise

from diagnostics.evidence import wording
from diagnostics.evidence.finding import Raised
from diagnostics.evidence.terms import Terms, in_time_order
from diagnostics.judging import is_blank
from diagnostics.snapshot import HandOff, TimeEntry


def hand_off_missing(terms: Terms) -> Iterator[Raised]:
    """R25: two people followed one another on a complaint without a complete hand-off between them."""
    entries: dict[str, list[TimeEntry]] = defaultdict(list)
    for entry in terms.order.time:
        entries[entry.complaint].append(entry)
    for complaint in terms.complaints:
        changes = [
            (giver, receiver)
            for giver, receiver in pairwise(in_time_order(entries.get(complaint, ())))
            if _are_different_people(giver.by, receiver.by)
            and not any(_bridges(h, complaint, giver, receiver) for h in terms.order.handoffs)
        ]
        if changes:
            giver, receiver = changes[0]
            text = (
                f"{wording.person(giver.by)} ({wording.day(giver.on.on)}) was followed by "
                f"{wording.person(receiver.by)} ({wording.day(receiver.on.on)}) without a complete hand-off; "
                "write down what is known, ruled out, suspected and next, and have it acknowledged."
            )
            yield Raised("R25", complaint, text, (complaint,))


def _are_different_people(giver: str, receiver: str) -> bool:
    """Whether two names are two people; an entry without a name is nobody's."""
    return not is_blank(giver) and not is_blank(receiver) and giver.strip() != receiver.strip()


def _bridges(hand_off: HandOff, complaint: str, giver: TimeEntry, receiver: TimeEntry) -> bool:
    return (
        hand_off.complaint == complaint
        and hand_off.giver.strip() == giver.by.strip()
        and hand_off.receiver.strip() == receiver.by.strip()
        and giver.on.on <= hand_off.on.on <= receiver.on.on
        and is_complete(hand_off)
    )


def is_complete(hand_off: HandOff) -> bool:
    """Return whether a hand-off says what it must and its receiver acknowledged it.

    The lists of what is ruled out and suspected must be there and may be empty.
    """
    return (
        not is_blank(hand_off.known)
        and hand_off.ruled_out is not None
        and hand_off.suspected is not None
        and not is_blank(hand_off.next)
        and not is_blank(hand_off.acknowledged_by)
        and hand_off.acknowledged_by.strip() == hand_off.receiver.strip()
    )
