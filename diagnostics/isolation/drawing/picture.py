"""A finished drawing: everything with its coordinates in px, ready to be written down. y grows downwards."""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics.isolation.drawing.lettering import ASCENT, LINE, width_of
from diagnostics.isolation.drawing.marks import State


@dataclass(frozen=True, slots=True)
class Rect:
    """A box by its upper left corner and its size."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        return self.x + self.width

    @property
    def bottom(self) -> float:
        return self.y + self.height

    @property
    def middle(self) -> float:
        return self.y + self.height / 2

    def grown(self, by: float) -> Rect:
        return Rect(self.x - by, self.y - by, self.width + 2 * by, self.height + 2 * by)

    def meets(self, other: Rect) -> bool:
        """Whether the two share more than an edge."""
        return (
            self.x < other.right - 0.01
            and other.x < self.right - 0.01
            and self.y < other.bottom - 0.01
            and other.y < self.bottom - 0.01
        )


@dataclass(frozen=True, slots=True)
class Text:
    """One line of lettering: `x` its start, middle or end as `anchor` says, `y` its base line."""

    x: float
    y: float
    words: str
    kind: str = ""
    anchor: str = "start"

    @property
    def box(self) -> Rect:
        """The room the line takes, rather too much than too little."""
        width = width_of(self.words)
        start = {"start": 0.0, "middle": width / 2, "end": width}[self.anchor]
        return Rect(self.x - start, self.y - ASCENT, width, LINE)


@dataclass(frozen=True, slots=True)
class DrawnPlace:
    """A place: its outline, the window that shows its state, its words.

    `weight` is the line weight in px. `hatch` is the part of the window that is hatched; its height is the
    suspicion beside the strongest one. `strike` is the stroke of what is ruled out.
    """

    id: str
    kind: str
    box: Rect
    state: State
    weight: float
    title: str
    texts: tuple[Text, ...]
    href: str = ""
    is_next: bool = False
    is_dashed: bool = False
    is_parted: bool = False
    window: str = ""
    hatch: Rect | None = None
    strike: str = ""
    glyph: str = ""
    pointer: str = ""

    @property
    def is_wire(self) -> bool:
        return False


@dataclass(frozen=True, slots=True)
class DrawnWire:
    """A wire: its line (`path`), what hatches, strikes or cuts it, its words, and the room to touch it."""

    id: str
    path: str
    state: State
    weight: float
    title: str
    touch: Rect
    texts: tuple[Text, ...] = ()
    href: str = ""
    is_next: bool = False
    is_loop: bool = False
    hatch: Rect | None = None
    strike: str = ""
    cut: str = ""
    pointer: str = ""

    @property
    def is_wire(self) -> bool:
        return True


@dataclass(frozen=True, slots=True)
class DrawnZone:
    """What must be opened first: a panel line around what is behind it, name and minutes in the line."""

    id: str
    box: Rect
    path: str
    symbol: str
    texts: tuple[Text, ...]
    title: str
    is_open: bool


@dataclass(frozen=True, slots=True)
class Picture:
    """A whole drawing of `width` by `height` px. `items` stand in the order of the table and of the Tab key.

    `bars` are the spines that legs leave from. `said` tells the drawing in a few sentences.
    """

    width: float
    height: float
    items: tuple[DrawnPlace | DrawnWire, ...]
    zones: tuple[DrawnZone, ...]
    bars: tuple[str, ...]
    title: str
    said: str
    lines: int = 1

    @property
    def role(self) -> str:
        """An image, unless its places are links: an image hides what is inside it."""
        return "group" if any(item.href for item in self.items) else "img"

    @property
    def places(self) -> tuple[DrawnPlace, ...]:
        return tuple(item for item in self.items if isinstance(item, DrawnPlace))

    @property
    def wires(self) -> tuple[DrawnWire, ...]:
        return tuple(item for item in self.items if isinstance(item, DrawnWire))

    @property
    def texts(self) -> tuple[Text, ...]:
        """All lettering: of places, wires and zones."""
        return tuple(text for part in (*self.items, *self.zones) for text in part.texts)
