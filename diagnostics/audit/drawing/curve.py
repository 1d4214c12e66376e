"""The comeback curve: the share of jobs that came back, by days after hand-over, with its band."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from diagnostics.audit.drawing.picture import (
    BROAD,
    NARROW,
    Anchor,
    Band,
    Chart,
    Frame,
    Mark,
    Part,
    Picture,
    Stroke,
    Table,
    Words,
    frame,
    levels,
    steps_path,
    tick_across,
)
from shared.wording import interval_text, percent_text, whole_text

MOST_ROWS = 8
HEIGHT = 340
LABEL_RISE = 34.0  # px between the band and a label


class StepPoint(Protocol):
    """One step of the curve: the share that came back by this day, its band, and how many are watched."""

    @property
    def day(self) -> int: ...
    @property
    def value(self) -> float: ...
    @property
    def low(self) -> float: ...
    @property
    def high(self) -> float: ...
    @property
    def at_risk(self) -> int: ...


def curve_drawing(
    points: Sequence[StepPoint],
    *,
    drawn_to: int,
    marks: Sequence[int] = (30, 90),
    last_day: int = 90,
) -> Chart:
    """Return the curve as a chart.

    Parameters
    ----------
    points : sequence of StepPoint
        In order of their days; shares from 0 to 1. The one of day 0 says how many were watched at all.
    drawn_to : int
        The curve ends here, because too few are still watched beyond.
    marks : sequence of int
        Days that carry a label; those beyond the drawn end carry none.
    last_day : int
        Where the axis ends.
    """
    ends = min(drawn_to, last_day)
    drawn = [point for point in points if point.day <= ends]
    labelled = [day for day in marks if day <= ends]
    return Chart(
        _text(drawn, labelled),
        _picture(BROAD, drawn, labelled, ends, last_day),
        _picture(NARROW, drawn, labelled, ends, last_day),
        _table(drawn, set(labelled) | {ends}),
    )


def at(points: Sequence[StepPoint], day: int) -> StepPoint | None:
    """Return the step that holds on a day, None before the first."""
    before = [point for point in points if point.day <= day]
    return before[-1] if before else None


def _picture(
    width: int, points: Sequence[StepPoint], marks: Sequence[int], ends: int, last_day: int
) -> Picture:
    most = max([0.04, *(point.high for point in points)])
    place = frame(width, HEIGHT, x_end=last_day, most=100 * most, head=72)
    parts: list[Part] = []
    if points:
        parts.append(_band(place, points, ends))
    parts += levels(place, lambda value: f"{value:g} %")
    if points:
        parts.append(Stroke(_curve(place, points, ends), "curve"))
    else:
        parts.append(Stroke(f"M{place.x(0):.1f} {place.foot:.1f}H{place.x(ends):.1f}", "curve"))
    parts += _days(place, last_day)
    parts += _labels(place, points, marks)
    return Picture(width, HEIGHT, tuple(parts))


def _curve(place: Frame, points: Sequence[StepPoint], ends: int) -> str:
    steps = [(place.x(0), place.foot)]
    steps += [(place.x(p.day), place.y(100 * p.value)) for p in points]
    return steps_path(steps) + f"H{place.x(ends):.1f}"


def _band(place: Frame, points: Sequence[StepPoint], ends: int) -> Band:
    first = place.x(points[0].day)
    upper = [(first, place.y(100 * points[0].low))]
    upper += [(place.x(p.day), place.y(100 * p.high)) for p in points]
    path = steps_path(upper) + f"H{place.x(ends):.1f}"
    for before, point in zip(reversed(points[:-1]), reversed(points[1:]), strict=True):
        path += f"V{place.y(100 * point.low):.1f}H{place.x(point.day):.1f}V{place.y(100 * before.low):.1f}"
    if len(points) == 1:
        path += f"V{place.y(100 * points[0].low):.1f}"
    return Band(f"{path}H{first:.1f}Z")


def _days(place: Frame, last_day: int) -> list[Part]:
    every = 30 if last_day <= 120 else 90
    first = "0 days after hand-over" if place.width > NARROW else "0 days"
    parts = tick_across(place, 0, first, "start")
    for day in range(every, last_day + 1, every):
        is_last = day > last_day - every / 2
        parts += tick_across(place, day, str(day), "end" if is_last else "middle")
    return parts


def _labels(place: Frame, points: Sequence[StepPoint], marks: Sequence[int]) -> list[Part]:
    parts: list[Part] = []
    taken: list[Words] = []
    for day in sorted(marks, reverse=True):
        point = at(points, day)
        value = point.value if point else 0.0
        x, y = place.x(day), place.y(100 * value)
        is_right = x > 0.6 * place.width
        anchor: Anchor = "end" if is_right else "start"
        along = -12 if is_right else 12
        name = Words(x + along, 0, f"{percent_text(value)} % by day {day}", anchor, "strong")
        span = Words(x + along, 0, interval_text(point.low, point.high) if point else "", anchor, "soft")
        foot = _free_foot(place, points, name)
        name, span = _at_foot(name, foot), _at_foot(span, foot + 18)
        while any(text.meets(one) for text in (name, span) for one in taken) and foot > 20:
            foot -= 4
            name, span = _at_foot(name, foot), _at_foot(span, foot + 18)
        taken += [name, span]
        parts += [
            Mark(x, y),
            Stroke(f"M{x:.1f} {y:.1f}V{foot - 5:.1f}h{8 if along > 0 else -8}", "leader"),
            name,
            *([span] if span.text else []),
        ]
    return parts


def _free_foot(place: Frame, points: Sequence[StepPoint], label: Words) -> float:
    """The foot of a label that stands clear of the band below it."""
    _, _, right, _ = label.box
    over = [p for p in points if place.x(p.day) <= right]
    highest = min([place.foot, *(place.y(100 * p.high) for p in over)])
    return max(16.0, highest - LABEL_RISE)


def _at_foot(words: Words, foot: float) -> Words:
    return Words(words.x, foot, words.text, words.anchor, words.voice)


def _text(points: Sequence[StepPoint], marks: Sequence[int]) -> str:
    said = []
    for day in marks:
        point = at(points, day)
        if point is None:
            said.append(f"none by day {day}")
        else:
            said.append(
                f"{percent_text(point.value)} percent by day {day}, "
                f"95 percent band {interval_text(point.low, point.high)}"
            )
    return "Share of jobs that came back, by days after hand-over: " + (
        "; ".join(said) if said else "too few jobs are watched long enough"
    )


def _table(points: Sequence[StepPoint], marks: set[int]) -> Table:
    """The labelled days and some of the others, as many as are read at a glance."""
    others = [point.day for point in points if point.day not in marks and point.value > 0]
    every = max(1, -(-len(others) // (MOST_ROWS - len(marks))))
    days = marks | set(others[::every])
    return Table(
        "Still watched, and back so far",
        ("Day", "Jobs", "Back so far", "Interval"),
        tuple(
            (
                f"{point.day:g}",
                whole_text(point.at_risk),
                f"{percent_text(point.value)} %",
                interval_text(point.low, point.high),
            )
            for point in points
            if point.day in days
        ),
        frozenset({0, 1, 2, 3}),
    )
