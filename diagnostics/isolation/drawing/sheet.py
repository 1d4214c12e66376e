"""The sheet a map is drawn on: what has been put where so far."""

from __future__ import annotations

from dataclasses import dataclass, field

from diagnostics.isolation.circuit import Circuit, Place, Wire
from diagnostics.isolation.drawing import sizes
from diagnostics.isolation.drawing.boxes import Lettered, draw_box, letter
from diagnostics.isolation.drawing.lettering import LINE, shorten, width_of
from diagnostics.isolation.drawing.marks import Marks
from diagnostics.isolation.drawing.picture import DrawnPlace, DrawnWire, DrawnZone, Rect, Text
from diagnostics.isolation.drawing.strokes import Point, panel_line, panel_sign, rect_path
from diagnostics.isolation.drawing.telling import access_words, is_open, minutes_words
from diagnostics.isolation.drawing.wiring import Run, draw_wire


@dataclass(frozen=True, slots=True)
class Side:
    """Which way is outward from an axis: sign 1 to the right, -1 to the left. u counts px outward."""

    axis: float
    sign: int
    limit: float  # u of the outer edge

    def x(self, u: float) -> float:
        return self.axis + self.sign * u

    def rect(self, u: float, y: float, width: float, height: float) -> Rect:
        return Rect(self.x(u) if self.sign > 0 else self.x(u + width), y, width, height)

    def u(self, box: Rect) -> float:
        """The inner edge of a box."""
        return (box.x - self.axis) if self.sign > 0 else (self.axis - box.right)


@dataclass
class Sheet:
    """Collects the parts of a drawing in any order; the layout puts them in order at the end."""

    circuit: Circuit
    marks: Marks
    titles: dict[str, str]
    places: dict[str, DrawnPlace] = field(default_factory=dict)
    wires: dict[str, DrawnWire] = field(default_factory=dict)
    zones: list[DrawnZone] = field(default_factory=list)
    bars: list[str] = field(default_factory=list)
    notes: dict[str, list[Text]] = field(default_factory=dict)
    parted: frozenset[str] = frozenset()

    def scratch(self) -> Sheet:
        """An empty sheet for the same map, to try how much room something takes."""
        return Sheet(self.circuit, self.marks, self.titles, parted=self.parted)

    def letter(self, place: Place, width: float) -> Lettered:
        return letter(place, self.marks.of_place(place.id), width)

    def has_zone(self, place: Place) -> bool:
        return place.zone in self.circuit.zone_by_id

    def put(self, place: Place, side: Side, u: float, y: float, width: float) -> Rect:
        """Draw a place with its upper edge at y and return its box."""
        lettered = self.letter(place, width)
        box = side.rect(u, y, width, lettered.height)
        self.places[place.id] = draw_box(
            place, self.marks, box, lettered, self.titles.get(place.id, place.name), mirrored=side.sign < 0
        )
        return box

    def connect(
        self, wire: Wire, points: tuple[Point, ...], upper: str, *texts: Text, is_loop: bool = False
    ) -> None:
        """Draw a wire from the place `upper` on; words put above its box before are added."""
        run = Run(points, (*texts, *self.notes.pop(wire.id, [])), is_loop)
        title = self.titles.get(wire.id, self.circuit.name_of(wire.id))
        self.wires[wire.id] = draw_wire(wire, self.marks, run, title, upper=upper, parted_places=self.parted)

    def note(self, wire_id: str, words: str, x: float, y: float, room: float) -> None:
        """Keep words of a wire for above a box, with their upper edge at y."""
        voice = "next" if "next test" in words else "state"
        self.notes.setdefault(wire_id, []).append(Text(x, y + 14, shorten(words, room), voice))

    def bar(self, box: Rect) -> None:
        """Draw the spine that legs leave from."""
        self.bars.append(rect_path(box))

    def panel(self, zone_id: str, inside: Rect, *, inset: float = 0.0) -> None:
        """Draw the panel line around the boxes within `inside`; its words begin `inset` px from the left."""
        zone = self.circuit.zone_by_id[zone_id]
        opened = is_open(zone, self.marks)
        top = inside.y - (sizes.HEAD - sizes.PANEL_LINE)
        box = Rect(
            inside.x - sizes.MARGIN, top, inside.width + 2 * sizes.MARGIN, inside.bottom + sizes.MARGIN - top
        )
        x = box.x + 4 + inset
        words = _zone_words(
            zone.label or zone.id, "open" if opened else minutes_words(zone) or "closed", box.right - x - 26
        )
        text = Text(x + 22, top + 5, words, "zone")
        end = x + 22 + width_of(words)
        path = panel_line(box, x - 4, end, opened)
        self._add_zone(zone_id, box, path, panel_sign(x, top - 6, opened), (text,))

    def panel_beside(self, zone_id: str, inside: Rect) -> None:
        """Draw the panel line around a hub in the middle, with its words to the left of the hub."""
        zone = self.circuit.zone_by_id[zone_id]
        opened = is_open(zone, self.marks)
        box = Rect(
            inside.x - sizes.PANEL_WORDS,
            inside.y - sizes.MARGIN,
            inside.width + sizes.PANEL_WORDS + sizes.MARGIN,
            inside.height + 2 * sizes.MARGIN,
        )
        room = sizes.PANEL_WORDS - 44
        lines = [
            shorten(zone.label or zone.id, room),
            shorten("open" if opened else minutes_words(zone) or "closed", room),
        ]
        first = box.middle - LINE + 14
        texts = tuple(
            Text(box.x + 32, first + LINE * place, line, "zone") for place, line in enumerate(lines)
        )
        path = panel_line(box, box.right, box.right, opened)
        self._add_zone(zone_id, box, path, panel_sign(box.x + 9, box.middle - 6, opened), texts)

    def _add_zone(self, zone_id: str, box: Rect, path: str, symbol: str, texts: tuple[Text, ...]) -> None:
        zone = self.circuit.zone_by_id[zone_id]
        title = access_words(zone, self.marks)
        self.zones.append(DrawnZone(zone_id, box, path, symbol, texts, title, is_open(zone, self.marks)))


def _zone_words(name: str, state: str, room: float) -> str:
    return f"{shorten(name, max(room - width_of(f', {state}'), 20.0))}, {state}"
