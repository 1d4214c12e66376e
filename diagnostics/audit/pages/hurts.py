"""What hurts most: the few things that stand out, by their comebacks beyond what was expected. No Django."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

Kind = Literal["step", "gap", "system", "shop", "batch", "vehicle"]

MOST = 3
RULE = (
    "Shown is only what passed its own test: a step or a gap that stands out after allowing for the number "
    "compared, a system, a shop or a batch of parts beyond the limits of chance, a vehicle that keeps coming "
    "back. Of each kind the one with most comebacks beyond what was expected, and of these the first three."
)


@dataclass(frozen=True, slots=True)
class Hurt:
    """One thing that stands out.

    count, of : comebacks, of the jobs with it; `of` is 0 where jobs are not what is counted.
    beyond : comebacks more than expected.
    say : one sentence with the figures.
    url : the page with the jobs behind it.
    """

    kind: Kind
    name: str
    count: int
    of: int
    beyond: float
    say: str
    url: str

    @property
    def beyond_words(self) -> str:
        """How far beyond what was expected, in words; empty where that is less than one comeback."""
        more = round(self.beyond)
        return f"about {more} more than expected" if self.of and more >= 1 else ""


def worst(hurts: Iterable[Hurt], most: int = MOST) -> tuple[Hurt, ...]:
    """Return what stands out most of each kind, by comebacks beyond what was expected; of equal, by name."""
    first: dict[Kind, Hurt] = {}
    for hurt in sorted(hurts, key=lambda hurt: (-hurt.beyond, hurt.name)):
        first.setdefault(hurt.kind, hurt)
    return tuple(first.values())[:most]
