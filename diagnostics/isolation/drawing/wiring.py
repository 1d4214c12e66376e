"""One wire of a drawing: its line between two points, what is known of it, and its words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from diagnostics.isolation.circuit import Wire
from diagnostics.isolation.drawing import sizes
from diagnostics.isolation.drawing.boxes import line_weight
from diagnostics.isolation.drawing.lettering import LINE, shorten, width_of
from diagnostics.isolation.drawing.marks import Mark, Marks, chance_words, state_words
from diagnostics.isolation.drawing.picture import DrawnWire, Rect, Text
from diagnostics.isolation.drawing.strokes import Point, arrow, cut_wire, diamond, slashes

ABOVE = 11.0  # px from a wire up to the base line of its words
BELOW = 22.0  # px from a wire down to the first base line
TOUCH = 44.0
HEAD_TO_WORDS = 23.0  # px from the tip of the arrow under a wire down to the base line of its words


@dataclass(frozen=True, slots=True)
class Said:
    """The words of a wire: above its line and below it."""

    above: tuple[tuple[str, str], ...]
    below: tuple[tuple[str, str], ...]

    @property
    def every(self) -> tuple[tuple[str, str], ...]:
        return self.above + self.below


def words_of(mark: Mark) -> Said:
    """Return what stands at a wire, in the fewest words that can be misread by nobody."""
    above: list[tuple[str, str]] = []
    if mark.state == "suspect":
        above.append((chance_words(mark.chance) or "suspect", "state"))
    elif mark.state == "cleared":
        above.append((" ".join(["cleared", ", ".join(map(str, mark.readings))]).strip(), "state"))
    elif mark.state == "isolated":
        above.append(("fault here", "fault"))
    elif mark.state == "untouched":
        above.append(("untouched", "state"))
    below = [("parted", "parted")] if mark.is_parted else []
    if mark.is_next:
        below.append(("next test", "next"))
    return Said(tuple(above), tuple(below))


def line_of_words(mark: Mark, what: str) -> str:
    """Return the words of a wire as one line above a box: "wire: next test, 8 in 100"; "" for none."""
    known = [chance_words(mark.chance)] if mark.state == "suspect" and mark.chance else state_words(mark)
    words = ["next test" if mark.is_next else "", "parted" if mark.is_parted else "", *known]
    told = ", ".join(filter(None, words))
    return f"{what}: {told}" if told else ""


@dataclass(frozen=True, slots=True)
class Run:
    """Where a wire runs: its corners from the place above to the place below, and where its words stand."""

    points: tuple[Point, ...]
    texts: tuple[Text, ...] = ()
    is_loop: bool = False


def draw_wire(
    wire: Wire, marks: Marks, run: Run, title: str, *, upper: str, parted_places: frozenset[str]
) -> DrawnWire:
    """Return one wire. `upper` is the place at its first point; `parted_places` are unplugged now."""
    mark = marks.of_wire(wire.id)
    opened = {wire.start} if mark.is_parted else set()
    opened |= {wire.end} & parted_places
    lower = wire.end if wire.start == upper else wire.start
    path, cut = cut_wire(list(run.points), at_start=upper in opened, at_end=lower in opened)
    (x0, y0), (x1, y1) = _longest(run.points)
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    share = marks.share(mark)
    return DrawnWire(
        wire.id,
        path,
        mark.state,
        line_weight(mark.state, share, sizes.WIRE),
        title,
        _touch(x0, y0, x1, y1),
        run.texts,
        mark.href,
        mark.is_next,
        run.is_loop,
        _hatch(mark, share, ((x0, y0), (x1, y1))),
        slashes(x, y) if mark.state == "cleared" else diamond(x, y) if mark.state == "isolated" else "",
        cut,
        _pointer(run),
    )


def _longest(points: Sequence[Point]) -> tuple[Point, Point]:
    pairs = list(pairwise(points))
    return max(pairs, key=lambda pair: abs(pair[1][0] - pair[0][0]) + abs(pair[1][1] - pair[0][1]))


def _touch(x0: float, y0: float, x1: float, y1: float) -> Rect:
    if y0 == y1:
        return Rect(min(x0, x1), y0 - TOUCH / 2, abs(x1 - x0), TOUCH)
    return Rect(x0 - TOUCH / 2, min(y0, y1), TOUCH, abs(y1 - y0))


def _hatch(mark: Mark, share: float, span: tuple[Point, Point]) -> Rect | None:
    """A hatched stretch along the wire, the thicker the stronger the suspicion."""
    if mark.state not in ("suspect", "isolated"):
        return None
    (x0, y0), (x1, y1) = span
    thick = 12.0 if mark.state == "isolated" else 5.0 + 8.0 * share
    if y0 == y1:
        clear = min(8.0, abs(x1 - x0) / 6)
        return Rect(min(x0, x1) + clear, y0 - thick / 2, abs(x1 - x0) - 2 * clear, thick)
    clear = min(4.0, abs(y1 - y0) / 6)
    return Rect(x0 - thick / 2, min(y0, y1) + clear, thick, abs(y1 - y0) - 2 * clear)


def _pointer(run: Run) -> str:
    """The head of the arrow beside the words of the next test."""
    upcoming = [text for text in run.texts if text.kind == "next" and text.words == "next test"]
    if not upcoming:
        return ""
    text = upcoming[0]
    if text.anchor == "middle":
        return arrow(text.x, text.y - HEAD_TO_WORDS, "up")
    if text.anchor == "end":
        return arrow(text.x + 16, text.y - 5, "right")
    return arrow(text.x - 16, text.y - 5, "left")


def beside_leg(said: Said, x0: float, x1: float, y: float) -> tuple[Text, ...]:
    """Return the words of a level wire from x0 to x1 at height y, shortened to its length."""
    middle, room = (x0 + x1) / 2, abs(x1 - x0) - 4
    texts = [Text(middle, y - ABOVE, shorten(words, room), voice, "middle") for words, voice in said.above]
    base = y + BELOW
    for words, voice in said.below:
        base += 9.0 if voice == "next" else 0.0
        texts.append(Text(middle, base, shorten(words, room), voice, "middle"))
        base += LINE
    return tuple(texts)


def room_below(said: Said) -> float:
    """How far the words of a level wire reach below it, px."""
    if not said.below:
        return 0.0
    return BELOW + LINE * len(said.below) - 10 + (9 if any(voice == "next" for _, voice in said.below) else 0)


def beside_drop(
    words: Sequence[tuple[str, str]], x: float, y: float, room: float, sign: int
) -> tuple[Text, ...]:
    """Return words beside a falling wire at x, the first line from y on; to its left where sign is -1."""
    texts = []
    for place, (line, voice) in enumerate(words):
        spare = 18.0 if voice == "next" else 0.0
        at = x + sign * (14 + spare)
        kept = shorten(line, room - 14 - spare)
        texts.append(Text(at, y + LINE * place + 14, kept, voice, "start" if sign > 0 else "end"))
    return tuple(texts)


def fits(said: Said, leg: float) -> bool:
    """Whether the words of a wire can stand along it; a long list of readings may be shortened."""
    if leg < sizes.WORDS_FROM:
        return False
    return all(voice == "state" or width_of(words) <= leg - 4 for words, voice in said.every)
