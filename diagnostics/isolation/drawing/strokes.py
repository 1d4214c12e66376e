"""Lines as paths: a wire with its cuts, the strokes that rule out, the panel line of a zone, the pointer."""

from __future__ import annotations

from collections.abc import Iterable
from math import hypot

from diagnostics.isolation.drawing.picture import Rect

Point = tuple[float, float]

STUB = 7.0  # px of wire left at the end where it is parted
CUT = 13.0  # px of the gap
TURN = 6.0  # px that a cut end stands out


def path_of(points: Iterable[Point]) -> str:
    """Return straight lines from point to point."""
    return "".join(f"{'L' if place else 'M'}{x:g} {y:g}" for place, (x, y) in enumerate(points))


def rect_path(box: Rect) -> str:
    return f"M{box.x:g} {box.y:g}H{box.right:g}V{box.bottom:g}H{box.x:g}Z"


def cut_wire(points: list[Point], *, at_start: bool, at_end: bool) -> tuple[str, str]:
    """Return a wire with a gap near its ends, and the two ends of each gap standing out.

    The gap and its ends are the sign of the open link, so that "open" looks the same everywhere.
    """
    line, stubs, turned = list(points), [], []
    if at_start:
        stub, line, ends = _cut_first(line)
        stubs.append(stub)
        turned += ends
    if at_end:
        stub, rest, ends = _cut_first(line[::-1])
        line = rest[::-1]
        stubs.append(stub)
        turned += ends
    return "".join(path_of(part) for part in [line, *stubs]), "".join(turned)


def _cut_first(line: list[Point]) -> tuple[list[Point], list[Point], list[str]]:
    (x0, y0), (x1, y1) = line[0], line[1]
    length = hypot(x1 - x0, y1 - y0) or 1.0
    dx, dy = (x1 - x0) / length, (y1 - y0) / length
    stub, gap = min(STUB, length / 4), min(CUT, length / 2)
    near = (x0 + dx * stub, y0 + dy * stub)
    far = (x0 + dx * (stub + gap), y0 + dy * (stub + gap))
    ends = [_turn(near, dx, dy, 1), _turn(far, dx, dy, -1)]
    return [line[0], near], [far, *line[1:]], ends


def _turn(at: Point, dx: float, dy: float, way: int) -> str:
    """A short stroke across the wire, leaning into the gap, to the side that is up or left."""
    x, y = at
    lean = 0.5 * TURN * way
    side = -1 if dx > 0 or dy > 0 else 1
    return f"M{x:g} {y:g}L{x + dx * lean - dy * TURN * side * -1:g} {y + dy * lean + dx * TURN * side:g}"


def slashes(x: float, y: float) -> str:
    """Two strokes across a wire that is ruled out."""
    return f"M{x - 6:g} {y + 7:g}L{x:g} {y - 7:g}M{x:g} {y + 7:g}L{x + 6:g} {y - 7:g}"


def diamond(x: float, y: float, size: float = 7.0) -> str:
    """The sign of the place where something is measured or found."""
    return f"M{x:g} {y - size:g}L{x + size:g} {y:g}L{x:g} {y + size:g}L{x - size:g} {y:g}Z"


def arrow(x: float, y: float, way: str) -> str:
    """A solid head whose tip is at (x, y), pointing right, left or up."""
    dx, dy = {"right": (-1, 0), "left": (1, 0), "up": (0, 1)}[way]
    back, half = 11.0, 6.0
    if dx:
        return f"M{x:g} {y:g}L{x + dx * back:g} {y - half:g}V{y + half:g}Z"
    return f"M{x:g} {y:g}L{x - half:g} {y + dy * back:g}H{x + half:g}Z"


def panel_line(box: Rect, words_start: float, words_end: float, is_open: bool) -> str:
    """The line around what lies behind a panel, with a gap for its words in the upper edge.

    Of an open panel the upper edge stands ajar. Words that start at the right edge stand inside: no gap.
    """
    outline = f"M{words_start:g} {box.y:g}H{box.x:g}V{box.bottom:g}H{box.right:g}V{box.y:g}"
    start = words_end + 6
    if words_start >= box.right:
        lid = box.y - 9 if is_open else box.y
        return f"M{box.x:g} {lid:g}L{box.right:g} {box.y:g}V{box.bottom:g}H{box.x:g}V{box.y:g}"
    if start >= box.right - 4:
        return outline
    return f"{outline}L{start:g} {box.y - 9 if is_open else box.y:g}"


def panel_sign(x: float, y: float, is_open: bool) -> str:
    """A panel 16 by 12 px with its four screws; open, it is swung aside on its left edge."""
    if is_open:
        leaf = f"M{x:g} {y:g}V{y + 12:g}L{x + 10:g} {y + 7:g}V{y - 5:g}Z"
        return f"{leaf}M{x:g} {y + 12:g}H{x + 16:g}V{y:g}H{x + 11:g}"
    screws = "".join(f"M{x + dx:g} {y + dy:g}h1.5" for dx in (3, 11.5) for dy in (3, 9))
    return f"{rect_path(Rect(x, y, 16, 12))}{screws}"
