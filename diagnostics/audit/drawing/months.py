"""The share that came back month by month, inside the limits of chance of each month."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagnostics.audit.drawing.picture import (
    BROAD,
    NARROW,
    Anchor,
    Chart,
    Frame,
    Mark,
    Part,
    Picture,
    Shape,
    Stroke,
    Table,
    Words,
    clear,
    frame,
    levels,
    trail_of,
)
from shared.wording import interval_text, percent_text

HEIGHT = 340


@dataclass(frozen=True, slots=True)
class Month:
    """One month of hand-overs. `low`, `high`: its limits, from 0 to 1; None where none is drawn.

    `is_maturing`: not every job of it has had its whole window; drawn hollow, without limits, at `estimate`,
    the share to be expected by the end of the window, where there is one.
    """

    label: str
    count: int
    of: int
    low: float | None = None
    high: float | None = None
    is_out: bool = False
    is_maturing: bool = False
    estimate: float | None = None

    @property
    def share(self) -> float | None:
        """What came back, or is expected to, None of no job."""
        if self.is_maturing and self.estimate is not None:
            return self.estimate
        return self.count / self.of if self.of else None


def p_chart_drawing(
    months: Sequence[Month], *, center: float | None, limits: str = "3-sigma limits", by: str = "month"
) -> Chart:
    """Return the months as a chart; the limits are steps, since each month has its own.

    Parameters
    ----------
    months : sequence of Month
        In order.
    center : float or None
        The share of all mature months together; None of none.
    limits : str
        What the limits are called, for example "Laney limits".
    by : str
        "quarter" where the periods are quarters.
    """
    return Chart(
        _text(months, center, by),
        _picture(BROAD, months, center, limits, by),
        _picture(NARROW, months, center, limits, by),
        _table(months, limits, by),
    )


def _picture(width: int, months: Sequence[Month], center: float | None, limits: str, by: str) -> Picture:
    values = [m.share for m in months if m.share is not None] + [m.high for m in months if m.high is not None]
    place = frame(width, HEIGHT, x_end=max(len(months), 1), most=100 * max([0.05, *values]), head=40, left=44)
    parts = levels(place, lambda value: f"{value:g} %")
    for side in ("low", "high"):
        parts += _limit(place, [(i, getattr(month, side)) for i, month in enumerate(months)])
    if center is not None:
        y = place.y(100 * center)
        parts.append(Stroke(f"M{place.left:.1f} {y:.1f}H{place.right:.1f}", "center"))
    parts += _values(place, months)
    parts += _names(place, months)
    parts += _notes(place, months, center, limits, by)
    return Picture(width, HEIGHT, tuple(parts))


def _limit(place: Frame, steps: Sequence[tuple[int, float | None]]) -> list[Part]:
    path, open_ = "", False
    for index, value in steps:
        if value is None:
            open_ = False
            continue
        y = place.y(100 * value)
        path += f"V{y:.1f}" if open_ else f"M{place.x(index):.1f} {y:.1f}"
        path += f"H{place.x(index + 1):.1f}"
        open_ = True
    return [Stroke(path, "limit")] if path else []


def _middle(place: Frame, index: int) -> float:
    return place.x(index + 0.5)


def _values(place: Frame, months: Sequence[Month]) -> list[Part]:
    """The line joins mature months only; a maturing month stands apart."""
    parts: list[Part] = []
    line = _line(place, months)
    if len(line) > 1:
        path = "".join(f"{'L' if n else 'M'}{x:.1f} {y:.1f}" for n, (x, y) in enumerate(line))
        parts.append(Stroke(path, "leader"))
    for i, month in enumerate(months):
        if month.share is None:
            continue
        shape: Shape = "hollow" if month.is_maturing else "out" if month.is_out else "dot"
        parts.append(Mark(_middle(place, i), place.y(100 * month.share), shape))
    return parts


def _line(place: Frame, months: Sequence[Month]) -> list[tuple[float, float]]:
    return [
        (_middle(place, i), place.y(100 * month.share))
        for i, month in enumerate(months)
        if month.share is not None and not month.is_maturing
    ]


def _names(place: Frame, months: Sequence[Month]) -> list[Part]:
    """The names of months at the foot, as many as have room."""
    longest = max((Words(0, 0, month.label).box[2] for month in months), default=1.0) + 14
    every = max(1, -int(-longest * len(months) // (place.right - place.left))) if months else 1
    parts: list[Part] = []
    for i in range(0, len(months), every):
        x = _middle(place, i)
        parts.append(Stroke(f"M{x:.1f} {place.foot:.1f}v7", "axis"))
        half = Words(0, 0, months[i].label).box[2] / 2
        text_x = min(max(x, half), place.width - half)
        parts.append(Words(text_x, place.foot + 24, months[i].label, "middle"))
    return parts


def _notes(place: Frame, months: Sequence[Month], center: float | None, limits: str, by: str) -> list[Part]:
    """The names of the lines, where neither the months nor another name are in their way."""
    trail = trail_of(_line(place, months))
    parts: list[Part] = []
    taken: list[Words] = []
    young = [
        (i, month.share) for i, month in enumerate(months) if month.is_maturing and month.share is not None
    ]
    if young:
        parts, taken = _young_name(place, young, center or 0.0)
        trail += [(_middle(place, i), place.y(100 * share)) for i, share in young]
        trail += trail_of([(taken[0].x, taken[0].y), (taken[0].x, place.y(100 * young[0][1]))])
    if center is not None:
        name = f"all {by}s {percent_text(center)} %"
        taken.append(_named(_along(place, name, place.y(100 * center)), taken, trail))
    highs = [(i, place.y(100 * m.high)) for i, m in enumerate(months) if m.high is not None]
    if highs:
        steps = [(x, y) for i, y in highs for x in (place.x(i), place.x(i + 1))]
        foot = min(y for _, y in highs)
        taken.append(_named(_along(place, limits, foot), taken, trail + trail_of(steps)))
    return [*parts, *taken]


def _named(places: Sequence[Words], taken: Sequence[Words], trail: Sequence[tuple[float, float]]) -> Words:
    """The first free place of a name; where there is none, one that at least touches no other name."""
    return clear(places, taken, trail) or clear(places, taken, ()) or places[0]


def _along(place: Frame, text: str, y: float) -> list[Words]:
    """Where the name of a level may stand: above or below it, at either end or between."""
    ends: tuple[tuple[float, Anchor], ...] = (
        (place.right, "end"),
        (place.left + 4, "start"),
        (place.left + (place.right - place.left) * 0.35, "middle"),
        (place.left + (place.right - place.left) * 0.65, "middle"),
    )
    return [Words(x, foot, text, anchor, "soft") for foot in (y - 6, y + 17, y - 24) for x, anchor in ends]


def _young_name(
    place: Frame, young: Sequence[tuple[int, float]], center: float
) -> tuple[list[Part], list[Words]]:
    index, share = young[0]
    x, y = _middle(place, index), place.y(100 * share)
    foot = max(18.0, min(y, place.y(100 * center)) - 44)
    return [Stroke(f"M{x:.1f} {y - 5:.1f}V{foot + 5:.1f}", "leader")], [
        Words(x, foot, "still maturing", "end")
    ]


def _text(months: Sequence[Month], center: float | None, by: str) -> str:
    if center is None:
        return f"Share that came back, by {by} of hand-over: no {by} has had its whole window yet."
    mature = [month for month in months if not month.is_maturing and month.of]
    out = [month for month in mature if month.is_out]
    said = (
        f"Share that came back, by {by} of hand-over: {len(mature)} mature {by}s, "
        f"all together {percent_text(center)} percent."
    )
    if out:
        named = ", ".join(f"{m.label} {percent_text(m.share or 0.0)} percent" for m in out)
        return f"{said} Beyond the limits of chance: {named}."
    return f"{said} No {by} lies beyond the limits of chance."


def _table(months: Sequence[Month], limits: str, by: str) -> Table:
    rows = []
    for month in months:
        share = month.share
        has_limits = month.low is not None and month.high is not None
        rows.append(
            (
                month.label,
                f"{month.count} of {month.of}",
                "" if share is None else f"{percent_text(share)} %",
                interval_text(month.low or 0.0, month.high or 0.0) if has_limits else "",
                _maturing(month) if month.is_maturing else "beyond the limits" if month.is_out else "",
            )
        )
    return Table(
        f"By {by} of hand-over",
        (by.capitalize(), "Came back", "Share", limits[:1].upper() + limits[1:], "Remark"),
        tuple(rows),
        frozenset({1, 2, 3}),
    )


def _maturing(month: Month) -> str:
    return "still maturing" if month.estimate is None else "still maturing; the share is that of the curve"
