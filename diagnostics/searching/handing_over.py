"""The hand-off of a job on which a search is under way, drawn from the search."""

from __future__ import annotations

from diagnostics.isolation.handing_over import hand_over
from diagnostics.searching.reading import running_search, thought_of
from shop.models import RepairOrder


def handed_over(order: RepairOrder) -> dict[str, str]:
    """Return what stands in the hand-off form when it is opened: empty where no search is under way.

    Whoever hands over reads it and changes what is not so.
    """
    search = running_search(order)
    if search is None:
        return {}
    thought = thought_of(search)
    told = hand_over(thought.problem, thought.belief, thought.history, thought.advice)
    return {
        "complaint": search.complaint_ref,
        "known": "\n".join(told.known),
        "ruled_out": "\n".join(told.ruled_out),
        "suspected": "\n".join(told.suspected),
        "next_step": "\n".join(told.next),
    }
