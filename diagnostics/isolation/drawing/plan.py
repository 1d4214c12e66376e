"""How a part of a map is to be drawn, and where something came to stand."""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics.isolation.circuit import Wire
from diagnostics.isolation.drawing import sizes
from diagnostics.isolation.drawing.branches import Branch

SPREAD_LEG = 76.0
SPREAD_STUB = 14.0
SPREAD_STEP = sizes.MARGIN + SPREAD_STUB + sizes.BAR + SPREAD_LEG + sizes.MARGIN
SPREAD_LEAST = 130.0

Group = tuple[list[Branch], int]  # branches behind one panel, and their level


@dataclass(frozen=True, slots=True)
class Plan:
    """How one part of a map is drawn: length of legs by level, what extra links touch, whether it may spread.

    `notes` has, by place, the extra links that are named above its box and the name of their other end.
    """

    legs: tuple[float, ...]
    looped: frozenset[str]
    spreads: bool
    notes: dict[str, list[tuple[Wire, str]]]

    def leg(self, level: int) -> float:
        return self.legs[min(level, len(self.legs) - 1)]


@dataclass(frozen=True, slots=True)
class Placed:
    """Where something came to stand: the height its wire meets, the last such height, and its lower edge."""

    middle: float
    last: float
    bottom: float
