"""Where everything of a map stands.

One shape serves all circuits: a spine of places one below the other, and beside each, in rows, the legs that
hang on it. Stars have hubs on the spine, a two-wire line splices between end resistors, a feed its
parts from supply to ground. Where the sheet is wide, legs stand on both sides, and a supply spreads outward.
"""

from __future__ import annotations

from math import ceil

from diagnostics.isolation.circuit import Circuit, Wire
from diagnostics.isolation.drawing import sizes
from diagnostics.isolation.drawing.branches import Branch, Forest, grow, in_order, levels, spine
from diagnostics.isolation.drawing.columns import Columns
from diagnostics.isolation.drawing.loops import draw_loops
from diagnostics.isolation.drawing.marks import Marks
from diagnostics.isolation.drawing.picture import DrawnPlace, DrawnWire, Picture, Rect
from diagnostics.isolation.drawing.plan import Plan
from diagnostics.isolation.drawing.sheet import Sheet, Side
from diagnostics.isolation.drawing.telling import rows_of, said, title_of


def lay_out(circuit: Circuit, marks: Marks | None = None, width: float = 760.0) -> Picture:
    """Return the drawing of a map.

    Parameters
    ----------
    circuit : Circuit
        Any map, finished or half drawn; a wire that ends at no place is left out.
    marks : Marks
        What is known of its places and wires; nothing by default.
    width : float
        Room there is, px. The drawing keeps within it as long as names can be read, and is as high as it
        must be.

    Returns
    -------
    Picture
        The same for the same input, letter by letter.
    """
    marks = marks or Marks()
    forest = grow(circuit)
    table = rows_of(circuit, marks, forest)
    titles = {row.id: title_of(row) for row in table}
    parted = frozenset(id for id, mark in marks.places.items() if mark.is_parted)
    sheet = Sheet(circuit, marks, titles, parted=parted)
    height = sizes.EDGE
    for number, root in enumerate(forest.roots):
        height += sizes.PARTS if number else 0.0
        height = _draw_part(sheet, forest, root, height, width)
    reach = draw_loops(sheet, forest, _right_edge(sheet))
    items = tuple(_items(sheet, forest))
    return Picture(
        ceil(max(reach, _right_edge(sheet)) + 2),
        ceil(height + sizes.EDGE) if items else 0,
        items,
        tuple(sheet.zones),
        tuple(sheet.bars),
        "Map of the circuit",
        said(circuit, marks, table),
        circuit.lines,
    )


def _draw_part(sheet: Sheet, forest: Forest, root: Branch, y: float, width: float) -> float:
    looped = frozenset(end for wire in forest.loops for end in (wire.start, wire.end))
    lanes = (sizes.LANE * len(forest.loops) + sizes.EDGE) if forest.loops else 0.0
    right = width - sizes.EDGE - lanes
    middle_only = looped & {branch.place.id for branch in root.walk()} <= {
        one.place.id for one in spine(root)
    }
    is_wide = width >= sizes.TWO_SIDED_FROM
    if is_wide and sheet.circuit.topology == "bus" and middle_only and not root.is_leaf:
        axis = (right + sizes.EDGE) / 2
        limit = right - axis
        sides: tuple[Side, ...] = (Side(axis, -1, limit), Side(axis, 1, limit))
        start = -min(sizes.TRUNK_BOX, limit) / 2
    else:
        sides = (Side(sizes.EDGE, 1, right - sizes.EDGE),)
        start = 0.0
    legs = _legs(levels(root), sides[0].limit - start - sizes.LEAST_BOX, len(sides))
    spreads = is_wide and not forest.loops and len(sides) == 1
    plan = Plan(legs, looped, spreads, _notes(sheet.circuit, forest))
    return Columns(sheet, plan).column(root, sides, start, y, 0).bottom


def _notes(circuit: Circuit, forest: Forest) -> dict[str, list[tuple[Wire, str]]]:
    """By place met first: the extra links named there, and the names of their other ends."""
    order = [branch.place.id for root in forest.roots for branch in in_order(root)]
    found: dict[str, list[tuple[Wire, str]]] = {}
    for wire in forest.loops:
        first, other = sorted((wire.start, wire.end), key=order.index)
        found.setdefault(first, []).append((wire, circuit.name_of(other)))
    return found


def _legs(count: int, room: float, sides: int) -> tuple[float, ...]:
    """How long the legs of each level are: the first as its words need, the others share what is left."""
    if not count:
        return (sizes.LEG,)
    step = sizes.SPINE_AT + sizes.BAR / 2 + sizes.MARGIN
    spare = room - count * step + (sizes.TRUNK_BOX / 2 if sides == 2 else 0.0)
    first = min(sizes.LEG, max(sizes.SHORT_LEG, spare - (count - 1) * sizes.SHORT_LEG))
    rest = min(sizes.LEG, max(sizes.SHORT_LEG, (spare - first) / max(count - 1, 1)))
    return (first, *(rest for _ in range(count - 1)))


def _items(sheet: Sheet, forest: Forest) -> list[DrawnPlace | DrawnWire]:
    found: list[DrawnPlace | DrawnWire] = []
    for root in forest.roots:
        for branch in in_order(root):
            if branch.wire is not None:
                found.append(sheet.wires[branch.wire.id])
            found.append(sheet.places[branch.place.id])
    return found + [sheet.wires[wire.id] for wire in forest.loops]


def _right_edge(sheet: Sheet) -> float:
    boxes: list[Rect] = [zone.box for zone in sheet.zones]
    lettering = [
        *(part.texts for part in sheet.places.values()),
        *(part.texts for part in sheet.wires.values()),
        *(part.texts for part in sheet.zones),
    ]
    boxes += [text.box for texts in lettering for text in texts]
    boxes += [place.box for place in sheet.places.values()]
    return max((box.right for box in boxes), default=0.0)
