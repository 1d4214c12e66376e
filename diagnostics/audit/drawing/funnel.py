"""A funnel: shares or ratios against how much stands behind each, inside the limits of chance."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from diagnostics.audit.drawing.picture import (
    BROAD,
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
    frame,
    levels,
    tick_across,
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
    place = frame(width, HEIGHT, x_end=x_end, most=max(highest), head=44)
    parts = levels(place, scale.write)
    for name, pen in LIMITS:
        path = _line(place, [(one.at, getattr(one, name)) for one in limits])
        if path:
            parts.append(Stroke(path, pen))
    y = place.y(center)
    parts.append(Stroke(f"M{place.left:.1f} {y:.1f}H{place.right:.1f}", "center"))
    parts += _axis(place, x_end, scale)
    parts.append(Words(0, 16, scale.up, voice="soft"))
    names = _limit_names(place, limits, center, scale)
    parts += [*names, *_points(place, points, names)]
    return Picture(width, HEIGHT, tuple(parts))


def _line(place: Frame, values: Sequence[tuple[float, float]]) -> str:
    """A smooth limit; where it lies above the frame it is left out."""
    inside = [(at, value) for at, value in values if value <= place.y_end]
    return "".join(
        f"{'L' if i else 'M'}{place.x(at):.1f} {place.y(value):.1f}" for i, (at, value) in enumerate(inside)
    )


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


def _limit_names(
    place: Frame, limits: Sequence[FunnelLimit], center: float, scale: FunnelScale
) -> list[Words]:
    """The names of the lines at the right edge; one that would touch another is moved up."""
    names = [Words(place.right, place.y(center) - 5, f"all {scale.write(center)}", "end", "soft")]
    for one in limits[-1:]:
        for side, text in (("high", "95 % of chance"), ("far_high", "99.9 %")):
            name = Words(place.right, place.y(getattr(one, side)) - 5, text, "end", "soft")
            over = [place.y(getattr(p, side)) for p in limits if place.x(p.at) >= name.box[0]]
            name = Words(name.x, min(over) - 5, text, "end", "soft")
            while any(name.meets(other) for other in names):
                name = Words(name.x, name.y - 3, text, "end", "soft")
            names.append(name)
    return names


def _points(place: Frame, points: Sequence[FunnelPoint], taken: list[Words]) -> list[Part]:
    marks: list[Part] = []
    names: list[Part] = []
    for point in points:
        x, y = place.x(point.at), place.y(point.value)
        marks.append(Mark(x, y, "out" if point.is_out else "dot"))
        if not point.label:
            continue
        is_right = x > 0.62 * place.width
        anchor: Anchor = "end" if is_right else "start"
        along = -12 if is_right else 12
        for rise in (5, -12, 22, -29, 39, -46, 56):
            name = Words(x + along, y + rise, point.label, anchor)
            if not any(name.meets(one) for one in taken):
                break
        taken.append(name)
        if rise != 5:
            names.append(Stroke(f"M{x:.1f} {y:.1f}V{y + rise - 5:.1f}h{8 if along > 0 else -8}", "leader"))
        names.append(name)
    return [*marks, *names]


def _text(points: Sequence[FunnelPoint], center: float, scale: FunnelScale) -> str:
    drawn = [point for point in points if not point.too_few]
    out = [point for point in drawn if point.is_out]
    said = f"{scale.up} against {scale.across}: {len(drawn)} compared, all together {scale.write(center)}"
    if not out:
        return f"{said}. Each lies within the 99.9 percent limits of chance."
    named = ", ".join(f"{point.label or 'one'} {scale.write(point.value)}" for point in out)
    return f"{said}. Beyond the 99.9 percent limits: {named}."
