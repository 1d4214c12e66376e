"""What a drawing is made of, and the frame that turns values into places."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from shared.scales import Tick, ticks

Anchor = Literal["start", "middle", "end"]
Pen = Literal["axis", "grid", "curve", "limit", "far", "center", "leader"]
Shape = Literal["dot", "hollow", "diamond", "out"]
Voice = Literal["plain", "soft", "strong"]

BROAD, NARROW = 760, 360  # px of room: a tablet held upright, a phone
LETTER = 7.4  # px: a letter of the text of a drawing, on the average, at 15 px
HALO = 4.0  # px that stay free around a text
EDGE = 6  # px at the right edge: half a mark of the last value


@dataclass(frozen=True, slots=True)
class Stroke:
    """One line, as an SVG path."""

    path: str
    pen: Pen


@dataclass(frozen=True, slots=True)
class Band:
    """A hatched stretch, as a closed SVG path."""

    path: str


@dataclass(frozen=True, slots=True)
class Mark:
    """One value."""

    x: float
    y: float
    shape: Shape = "dot"


@dataclass(frozen=True, slots=True)
class Words:
    """A text; y is its foot."""

    x: float
    y: float
    text: str
    anchor: Anchor = "start"
    voice: Voice = "plain"

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, top, right, bottom, by the average width of a letter. [px]"""
        width = LETTER * len(self.text)
        left = {"start": self.x, "middle": self.x - width / 2, "end": self.x - width}[self.anchor]
        return left, self.y - 13, left + width, self.y + 4

    def meets(self, other: Words) -> bool:
        """Whether two texts would touch."""
        left, top, right, bottom = self.box
        from_, above, to, below = other.box
        return (
            left < to + HALO and from_ < right + HALO and top < below + HALO / 2 and above < bottom + HALO / 2
        )


def clear(
    texts: Sequence[Words], taken: Sequence[Words], trail: Sequence[tuple[float, float]]
) -> Words | None:
    """Return the first of some texts that touches no other text and no point of a trail."""
    for text in texts:
        left, top, right, bottom = text.box
        crossed = any(
            left - HALO < x < right + HALO and top - HALO / 2 < y < bottom + HALO / 2 for x, y in trail
        )
        if not crossed and not any(text.meets(one) for one in taken):
            return text
    return None


def trail_of(line: Sequence[tuple[float, float]], every: float = 5.0) -> list[tuple[float, float]]:
    """Return points along a line of straight parts, close together. [px]"""
    trail = list(line[:1])
    for (x0, y0), (x1, y1) in pairwise(line):
        count = max(1, int(max(abs(x1 - x0), abs(y1 - y0)) / every))
        trail += [(x0 + (x1 - x0) * i / count, y0 + (y1 - y0) * i / count) for i in range(1, count + 1)]
    return trail


Part = Stroke | Band | Mark | Words


@dataclass(frozen=True, slots=True)
class Picture:
    """One drawing for one width of room, its parts from the back to the front. [px]"""

    width: float
    height: float
    parts: tuple[Part, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """The figures of a drawing. `numbers` are the places of the columns that hold numbers."""

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numbers: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Chart:
    """One chart: what it says, drawn for wide and for narrow room, and its figures."""

    text: str
    broad: Picture
    narrow: Picture
    table: Table


@dataclass(frozen=True, slots=True)
class Frame:
    """Where values stand: x from 0 to `x_end` across, y from 0 at the foot to `y_end`."""

    width: float
    height: float
    left: float
    right: float
    top: float
    foot: float
    x_end: float
    y_end: float

    def x(self, value: float) -> float:
        """Return the place of a value across. [px]"""
        return self.left + (self.right - self.left) * value / self.x_end

    def y(self, value: float) -> float:
        """Return the place of a value up, held inside the frame. [px]"""
        share = min(1.0, max(0.0, value / self.y_end))
        return self.foot - (self.foot - self.top) * share


def frame(
    width: float,
    height: float,
    *,
    x_end: float,
    most: float,
    head: float,
    left: float = 0,
    right: float = EDGE,
) -> Frame:
    """Return a frame whose axis up ends at the round number that holds `most`.

    Parameters
    ----------
    width, height : float
        Of the drawing. [px]
    x_end, most : float
        The greatest values across and up, in their own units; above 0.
    head : float
        Room for labels above the highest value. [px]
    left, right : float
        Room at the two edges. [px]
    """
    return Frame(
        width,
        height,
        left,
        width - right,
        head,
        height - 40,
        max(x_end, 1e-9),
        ticks(max(most, 1e-9))[-1].value,
    )


def levels(place: Frame, words: Callable[[float], str]) -> list[Part]:
    """Return the lines across and the axis at the foot, each line with its value above it."""
    parts: list[Part] = []
    for tick in _ticks_up(place):
        if tick.value:
            y = place.y(tick.value)
            parts.append(Stroke(f"M0 {y:.1f}H{place.right + EDGE:.0f}", "grid"))
            parts.append(Words(0, y - 5, words(tick.value), voice="soft"))
    parts.append(Stroke(f"M{place.left:.1f} {place.foot:.1f}H{place.right + EDGE:.1f}", "axis"))
    return parts


def tick_across(place: Frame, value: float, text: str, anchor: Anchor = "middle") -> list[Part]:
    """Return one mark of the axis at the foot with its text."""
    x = place.x(value)
    return [
        Stroke(f"M{x:.1f} {place.foot:.1f}v7", "axis"),
        Words(x, place.foot + 24, text, anchor),
    ]


def steps_path(points: list[tuple[float, float]], *, start: str = "M") -> str:
    """Return a path that goes across to each point and then up or down to it: steps stay steps."""
    (x, y), *rest = points
    return f"{start}{x:.1f} {y:.1f}" + "".join(f"H{x:.1f}V{y:.1f}" for x, y in rest)


def _ticks_up(place: Frame) -> tuple[Tick, ...]:
    return ticks(place.y_end)
