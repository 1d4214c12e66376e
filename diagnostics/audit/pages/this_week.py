"""At most three things an owner should do this week, by one stated rule. No Django."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

Kind = Literal["signal", "review", "instrument", "calls", "change"]

MOST = 3
ORDER: tuple[Kind, ...] = ("signal", "review", "instrument", "calls", "change")
RULE = (
    "One of a kind, at most three, in this order: a call of the running sum, the return that waits longest "
    "for review, an instrument that runs out while open jobs rest on it, calls to customers that are due, "
    "a changed protocol to look at."
)


@dataclass(frozen=True, slots=True)
class Thing:
    """One thing to do: what, why, and where it is done. `waits`: days it has waited or is late."""

    kind: Kind
    what: str
    why: str
    url: str
    act: str
    waits: int = 0


def this_week(things: Iterable[Thing]) -> tuple[Thing, ...]:
    """Return what to do this week: of each kind the one that waits longest, in the order of `RULE`."""
    first: dict[Kind, Thing] = {}
    for thing in things:
        held = first.get(thing.kind)
        if held is None or thing.waits > held.waits:
            first[thing.kind] = thing
    return tuple(first[kind] for kind in ORDER if kind in first)[:MOST]
