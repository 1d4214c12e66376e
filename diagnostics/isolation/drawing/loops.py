"""Extra links: the wires that close a loop run in lanes along the right edge."""

from __future__ import annotations

from collections import Counter

from diagnostics.isolation.drawing import sizes
from diagnostics.isolation.drawing.branches import Forest
from diagnostics.isolation.drawing.sheet import Sheet


def draw_loops(sheet: Sheet, forest: Forest, right: float) -> float:
    """Draw every extra link in a lane of its own to the right of `right`; return the right edge reached."""
    used: Counter[str] = Counter()
    lane = right
    for wire in forest.loops:
        lane += sizes.LANE
        ends = sorted((wire.start, wire.end), key=lambda id: sheet.places[id].box.y)
        points = []
        for id in ends:
            box = sheet.places[id].box
            points.append((box.right, box.middle + _spread(used[id])))
            used[id] += 1
        (x0, y0), (x1, y1) = points
        sheet.connect(wire, ((x0, y0), (lane, y0), (lane, y1), (x1, y1)), ends[0], is_loop=True)
    return lane


def _spread(number: int) -> float:
    """Where the n-th extra link leaves a box, px from its middle: 0, 7, -7, 14, ..."""
    step = 7.0 * ((number + 1) // 2)
    return step if number % 2 else -step
