"""A funnel: shares or ratios against how much stands behind each, inside the limits of chance."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from diagnostics.audit.drawing.picture import (
    BROAD,
    EDGE,
    NARROW,
    Anchor,
    Chart,
    Frame,
    Mark,
    Part,
    Pen,
    Picture,
    Stroke,
    Table,
    Words,
    clear,
    frame,
    levels,
    tick_across,
    trail_of,
)
from shared.scales import ticks

HEIGHT = 380
LIMITS: tuple[tuple[str, Pen], ...] = (
    ("low", "limit"),
    ("high", "limit"),
    ("far_low", "far"),
    ("far_high", "far"),
)


@dataclass(frozen=True, slots=True)
class FunnelPoint:
    """One of those compared. `at` is what stands behind it, `value` is in the unit of the scale.

    `too_few` is not drawn; the table has its count. `is_out`: beyond the outer limits.
    `label` is empty where it must not be named.
    """

    label: str
    at: float
    value: float
    counted: str
    say: str
    too_few: bool = False
    is_out: bool = False


@dataclass(frozen=True, slots=True)
class FunnelLimit:
    """The limits of chance at one place, in the unit of the scale: 95 % and 99.9 %."""

    at: float
    low: float
    high: float
    far_low: float
    far_high: float


@dataclass(frozen=True, slots=True)
class FunnelScale:
    """What is drawn: the words of both axes, and how a value is written."""

    across: str
    up: str
    write: Callable[[float], str]


def funnel_drawing(
    points: Sequence[FunnelPoint],
    limits: Sequence[FunnelLimit],
    *,
    center: float,
    scale: FunnelScale,
) -> Chart:
    """Return the funnel as a chart. The points stand in the order they are given in, never by their value.

    Parameters
    ----------
    points : sequence of FunnelPoint
    limits : sequence of FunnelLimit
        From the smallest place to the greatest; as many as make a smooth line.
    center : float
        What all together have, in the unit of the scale.
    scale : FunnelScale
    """
    drawn = [point for point in points if not point.too_few]
    return Chart(
        _text(points, center, scale),
        _picture(BROAD, drawn, limits, center, scale),
        _picture(NARROW, drawn, limits, center, scale),
        Table(
            "The same figures",
            ("Name", scale.across, "Counted", scale.up, "What we can say"),
            tuple(
                (
                    point.label or "not named",
                    f"{point.at:.4g}",
                    point.counted,
                    "" if point.too_few else scale.write(point.value),
                    point.say,
                )
                for point in points
            ),
            frozenset({1, 2, 3}),
        ),
    )


def _picture(
    width: int,
    points: Sequence[FunnelPoint],
    limits: Sequence[FunnelLimit],
    center: float,
    scale: FunnelScale,
) -> Picture:
    x_end = max([1.0, *(p.at for p in points), *(one.at for one in limits)])
    highest = [p.value for p in points] + [3 * center] + ([limits[-1].far_high] if limits else [])
    ends = _ends(limits, center, scale)
    room = max(Words(0, 0, text).box[2] for text, _ in ends) + 2 * EDGE
    place = frame(width, HEIGHT, x_end=x_end, most=max(highest), head=44, right=room)
    parts = levels(place, scale.write)
    lines = {name: _inside(place, limits, name) for name, _ in LIMITS}
    for name, pen in LIMITS:
        if len(lines[name]) > 1:
            parts.append(Stroke("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in lines[name]), pen))
    y = place.y(center)
    parts.append(Stroke(f"M{place.left:.1f} {y:.1f}H{place.right:.1f}", "center"))
    parts += _axis(place, x_end, scale)
    parts.append(Words(0, 16, scale.up, voice="soft"))
    parts += _end_names(place, ends)
    trail = [spot for line in lines.values() for spot in trail_of(line)]
    trail += trail_of([(place.left, y), (place.right, y)])
    parts += _points(place, points, [text for text in parts if isinstance(text, Words)], trail)
    return Picture(width, HEIGHT, tuple(parts))


def _inside(place: Frame, limits: Sequence[FunnelLimit], name: str) -> list[tuple[float, float]]:
    """A limit as far as it lies inside the frame."""
    values = [(one.at, getattr(one, name)) for one in limits]
    return [(place.x(at), place.y(value)) for at, value in values if value <= place.y_end]


def _axis(place: Frame, x_end: float, scale: FunnelScale) -> list[Part]:
    is_wide = place.width > NARROW
    parts: list[Part] = []
    for tick in ticks(x_end, 4 if is_wide else 3):
        if tick.value > x_end:
            continue
        is_last = tick.value > 0.94 * x_end
        anchor: Anchor = "start" if not tick.value else "end" if is_last else "middle"
        text = tick.label if tick.value or not is_wide else f"0 {scale.across}"
        parts += tick_across(place, tick.value, text, anchor)
    if not is_wide:
        parts.append(Words(place.right, place.foot - 6, scale.across, "end", "soft"))
    return parts


def _ends(limits: Sequence[FunnelLimit], center: float, scale: FunnelScale) -> list[tuple[str, float]]:
    """What stands at the right end of each line, and the value there; from the lowest up."""
    last = [one for limit in limits[-1:] for one in (("95 %", limit.high), ("99.9 %", limit.far_high))]
    return [(f"all {scale.write(center)}", center), *last]


def _end_names(place: Frame, ends: Sequence[tuple[str, float]]) -> list[Part]:
    """The names of the lines at their ends; one that would touch another is moved up."""
    names: list[Words] = []
    for text, value in ends:
        name = Words(place.right + EDGE, place.y(value) + 5, text, voice="soft")
        while any(name.meets(other) for other in names):
            name = Words(name.x, name.y - 2, text, voice="soft")
        names.append(name)
    return list(names)


def _points(
    place: Frame, points: Sequence[FunnelPoint], taken: list[Words], trail: Sequence[tuple[float, float]]
) -> list[Part]:
    """The marks, and the names of those that have one, where neither lines nor other marks are in the way."""
    spots = [(place.x(point.at), place.y(point.value)) for point in points]
    marks: list[Part] = [
        Mark(x, y, "out" if point.is_out else "dot") for point, (x, y) in zip(points, spots, strict=True)
    ]
    leaders: list[Part] = []
    for point, (x, y) in zip(points, spots, strict=True):
        if not point.label:
            continue
        beside = _beside(place, x, y, point.label)
        name = clear(beside, taken, [*spots, *trail]) or clear(beside, taken, spots)
        if name is None:
            continue  # The table names it.
        taken.append(name)
        if name.y != y + 5:
            along = 8 if name.anchor == "start" else -8
            leaders.append(Stroke(f"M{x:.1f} {y:.1f}V{name.y - 5:.1f}h{along}", "leader"))
        leaders.append(name)
    return [*marks, *leaders]


def _beside(place: Frame, x: float, y: float, text: str) -> list[Words]:
    """Where the name of a point may stand: beside it, then above and below it on either side."""
    sides: list[tuple[float, Anchor]] = [(12, "start"), (-12, "end")]
    places = [
        Words(x + along, y + rise, text, anchor)
        for rise in (5, -14, 24, -32, 42, -50, 60, -68, 78, -86)
        for along, anchor in sides
    ]
    inside = [one for one in places if one.box[0] >= 0 and one.box[2] <= place.width and one.y < place.foot]
    return inside or places


def _text(points: Sequence[FunnelPoint], center: float, scale: FunnelScale) -> str:
    drawn = [point for point in points if not point.too_few]
    out = [point for point in drawn if point.is_out]
    said = f"{scale.up} against {scale.across}: {len(drawn)} compared, all together {scale.write(center)}"
    if not out:
        return f"{said}. Each lies within the 99.9 percent limits of chance."
    named = ", ".join(f"{point.label or 'one'} {scale.write(point.value)}" for point in out)
    return f"{said}. Beyond the 99.9 percent limits: {named}."
