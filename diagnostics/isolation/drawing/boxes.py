"""The box of one place: how high it must be for its words, and everything that is drawn in it."""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics.isolation.circuit import Place
from diagnostics.isolation.drawing import sizes
from diagnostics.isolation.drawing.glyphs import GLYPHS, glyph_at
from diagnostics.isolation.drawing.lettering import LINE, wrap
from diagnostics.isolation.drawing.marks import Mark, Marks, State, state_words
from diagnostics.isolation.drawing.picture import DrawnPlace, Rect, Text
from diagnostics.isolation.drawing.strokes import arrow, rect_path
from diagnostics.isolation.drawing.telling import FITTED_WORDS

ARROW_ROOM = 18.0
WITH_WINDOW = ("suspect", "cleared", "isolated")


@dataclass(frozen=True, slots=True)
class Lettered:
    """The words of a place, line by line with their voice, and the height of its box."""

    lines: tuple[tuple[str, str], ...]
    height: float


def letter(place: Place, mark: Mark, width: float) -> Lettered:
    """Return the words of a place as they fit into a box of `width` px."""
    room = width - 2 * sizes.PAD - _window(mark) - _glyph(place, width)
    lines = [(line, _name_voice(mark)) for line in wrap(place.name, room, 3)]
    for words, voice in _states(place, mark):
        spare = ARROW_ROOM if voice == "next" else 0.0
        lines += [(line, voice) for line in wrap(words, room - spare, 2)]
    height = 2 * sizes.PAD + LINE * len(lines)
    return Lettered(tuple(lines), max(sizes.LEAST_HEIGHT, height))


def _name_voice(mark: Mark) -> str:
    return "name struck" if mark.state == "cleared" else "name"


def _states(place: Place, mark: Mark) -> list[tuple[str, str]]:
    told = ", ".join(state_words(mark)).replace(" in 100", "\u00a0in\u00a0100")
    found = [(told, "fault" if mark.state == "isolated" else "state")]
    found.append((FITTED_WORDS.get(place.fitted, ""), "ask"))
    found.append(("unplugged now" if mark.is_parted else "", "parted"))
    found.append(("next test" if mark.is_next else "", "next"))
    return [(words, voice) for words, voice in found if words]


def _window(mark: Mark) -> float:
    return sizes.WINDOW if mark.state in WITH_WINDOW else 0.0


def _glyph(place: Place, width: float) -> float:
    return sizes.GLYPH_ROOM if place.kind in GLYPHS and width >= sizes.GLYPH_FROM else 0.0


def line_weight(state: State, share: float, thin: float) -> float:
    """Return the line weight in px: a suspicion makes it heavier, what was found is the heaviest."""
    if state == "isolated":
        return sizes.THICK
    return round(thin + (3.5 - thin) * share, 2) if state == "suspect" else thin


def draw_box(
    place: Place, marks: Marks, box: Rect, lettered: Lettered, title: str, *, mirrored: bool
) -> DrawnPlace:
    """Return a place drawn into `box`, its window on the side of its wire: left, or right when mirrored."""
    mark = marks.of_place(place.id)
    window = _window(mark)
    glyph = _glyph(place, box.width)
    left = box.x + (glyph if mirrored else window)
    texts = _texts(lettered, box, left + sizes.PAD)
    pane = Rect(box.right - window if mirrored else box.x, box.y, window, box.height)
    glyph_x = box.x + sizes.PAD if mirrored else box.right - sizes.GLYPH_ROOM
    upcoming = [text for text in texts if text.kind == "next"]
    return DrawnPlace(
        place.id,
        place.kind,
        box,
        mark.state,
        line_weight(mark.state, marks.share(mark), sizes.THIN),
        title,
        texts,
        mark.href,
        mark.is_next,
        place.fitted != "verified",
        mark.is_parted,
        rect_path(pane) if window else "",
        _hatch(mark, marks, pane),
        f"M{pane.x:g} {pane.bottom:g}L{pane.right:g} {pane.y:g}" if mark.state == "cleared" else "",
        glyph_at(place.kind, glyph_x, box.y + 10) if glyph else "",
        arrow(upcoming[0].x - 5, upcoming[0].y - 5, "right") if upcoming else "",
    )


def _texts(lettered: Lettered, box: Rect, x: float) -> tuple[Text, ...]:
    top = box.middle - LINE * len(lettered.lines) / 2
    return tuple(
        Text(x + (ARROW_ROOM if voice == "next" else 0.0), top + LINE * place + 14, words, voice)
        for place, (words, voice) in enumerate(lettered.lines)
    )


def _hatch(mark: Mark, marks: Marks, pane: Rect) -> Rect | None:
    if mark.state == "isolated":
        return pane
    if mark.state != "suspect":
        return None
    height = max(3.0, pane.height * marks.share(mark))
    return Rect(pane.x, pane.bottom - height, pane.width, height)
