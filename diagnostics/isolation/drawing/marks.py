"""What a search has found out about the places and wires of a map, as the drawing is told it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

State = Literal["", "untouched", "suspect", "cleared", "isolated"]

STATE_WORDS: dict[State, str] = {
    "": "",
    "untouched": "not touched",
    "suspect": "suspect",
    "cleared": "cleared",
    "isolated": "fault found here",
}


@dataclass(frozen=True, slots=True)
class Mark:
    """What is known of one place or one wire.

    `chance` is the probability of the suspicion, 0 to 1. `readings` are the numbers, in the list of the
    route, of the readings that cleared it. `is_parted`: a place is unplugged, or a wire taken out, now.
    `href` makes it a link.
    """

    state: State = ""
    chance: float | None = None
    readings: tuple[int, ...] = ()
    is_next: bool = False
    is_parted: bool = False
    href: str = ""


NO_MARK = Mark()


@dataclass(frozen=True, slots=True)
class Marks:
    """All marks of a picture, by id, and the zones that stand open now."""

    places: Mapping[str, Mark] = field(default_factory=dict)
    wires: Mapping[str, Mark] = field(default_factory=dict)
    open_zones: frozenset[str] = frozenset()

    def of_place(self, id: str) -> Mark:
        return self.places.get(id, NO_MARK)

    def of_wire(self, id: str) -> Mark:
        return self.wires.get(id, NO_MARK)

    @property
    def leader(self) -> float:
        """The largest chance of any suspect, 0 where there is none."""
        every = (*self.places.values(), *self.wires.values())
        return max((mark.chance or 0.0 for mark in every if mark.state == "suspect"), default=0.0)

    def share(self, mark: Mark) -> float:
        """How strong a suspicion is beside the strongest, 0 to 1: what hatch and line weight show."""
        if mark.state != "suspect" or not mark.chance:
            return 0.0
        return min(1.0, mark.chance / self.leader)


def chance_words(chance: float | None) -> str:
    """Return a probability from 0 to 1 as a shop says it: "27 in 100", "under 1 in 100", "" for None."""
    if chance is None:
        return ""
    if 0 < chance < 0.005:
        return "under 1 in 100"
    if 0.995 <= chance < 1:
        return "over 99 in 100"
    return f"{int(chance * 100 + 0.5)} in 100"


def state_words(mark: Mark) -> tuple[str, ...]:
    """Return the state of a place or wire in words, the shortest that stand alone."""
    if mark.state == "suspect":
        return ("suspect", *filter(None, [chance_words(mark.chance)]))
    if mark.state == "cleared" and mark.readings:
        return (f"cleared by {', '.join(str(number) for number in mark.readings)}",)
    return tuple(filter(None, [STATE_WORDS[mark.state]]))
