"""The running sum that watches for a worse spell: its path, the threshold, and where it called."""

from __future__ import annotations

from collections.abc import Sequence

from diagnostics.audit.drawing.picture import (
    BROAD,
    NARROW,
    Anchor,
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
    tick_across,
)
from shared.wording import count_text

HEIGHT = 300
LEVEL_ROOM = 44  # px that the figures of the levels take at the left


def cusum_drawing(
    path: Sequence[float],
    *,
    threshold: float,
    signal: int | None = None,
    labels: Sequence[tuple[int, str]] = (),
) -> Chart:
    """Return the running sum as a chart, job after job.

    Parameters
    ----------
    path : sequence of float
        The sum after each job, 0 or more.
    threshold : float
        Where it calls; above 0.
    signal : int or None
        The job of the first call, counted from 1; None if there was none.
    labels : sequence of (int, str)
        Texts for the foot: a job counted from 1, and its day.
    """
    return Chart(
        _text(path, threshold, signal, labels),
        _picture(BROAD, path, threshold, signal, labels),
        _picture(NARROW, path, threshold, signal, labels),
        _table(path, threshold, signal, labels),
    )


def _picture(
    width: int,
    path: Sequence[float],
    threshold: float,
    signal: int | None,
    labels: Sequence[tuple[int, str]],
) -> Picture:
    most = max([threshold * 1.2, *path])
    place = frame(width, HEIGHT, x_end=max(len(path), 1), most=most, head=34)
    parts = levels(place, lambda value: f"{value:g}")
    y = place.y(threshold)
    parts.append(Stroke(f"M{place.left:.1f} {y:.1f}H{place.right:.1f}", "far"))
    parts.append(Words(LEVEL_ROOM, y - 6, f"calls at {threshold:g}", "start", "strong"))
    parts.append(Stroke(_steps(place, path), "curve"))
    parts += _foot(place, labels, len(path))
    if signal is not None and path:
        x, top = place.x(signal), place.y(path[signal - 1])
        is_right = x > 0.5 * place.width
        anchor: Anchor = "end" if is_right else "start"
        parts.append(Mark(x, top, "out"))
        parts.append(Stroke(f"M{x:.1f} {top - 8:.1f}V20h{-8 if is_right else 8}", "leader"))
        parts.append(Words(x + (-12 if is_right else 12), 25, f"called at job {signal}", anchor, "strong"))
    return Picture(width, HEIGHT, tuple(parts))


def _steps(place: Frame, path: Sequence[float]) -> str:
    """The path as steps; of more jobs than there are pixels, the highest and the lowest of each pixel."""
    drawn = f"M{place.x(0):.1f} {place.foot:.1f}"
    a_pixel = max(1, -(-len(path) // int(place.right - place.left)))
    for start in range(0, len(path), a_pixel):
        some = path[start : start + a_pixel]
        x = place.x(start + len(some))
        drawn += f"H{x:.1f}"
        if len(some) > 1:
            drawn += f"V{place.y(max(some)):.1f}V{place.y(min(some)):.1f}"
        drawn += f"V{place.y(some[-1]):.1f}"
    return drawn


def _foot(place: Frame, labels: Sequence[tuple[int, str]], jobs: int) -> list[Part]:
    if not labels:
        return [
            *tick_across(place, 0, "0 jobs", "start"),
            *tick_across(place, max(jobs, 1), str(jobs), "end"),
        ]
    parts: list[Part] = []
    free_from = -1.0
    for job, text in labels:
        x = place.x(job)
        half = Words(0, 0, text).box[2] / 2
        anchor: Anchor = "start" if x < half else "end" if x > place.width - half else "middle"
        left, _, right, _ = Words(x, 0, text, anchor).box
        if left < free_from:
            continue
        parts += tick_across(place, job, text, anchor)
        free_from = right + 14
    return parts


def _day_of(job: int, labels: Sequence[tuple[int, str]]) -> str:
    before = [text for at, text in labels if at <= job]
    return f", {before[-1]}" if before else ""


def _text(
    path: Sequence[float], threshold: float, signal: int | None, labels: Sequence[tuple[int, str]]
) -> str:
    said = f"Running sum over {count_text(len(path), 'job')}, calls at {threshold:g}"
    if not path:
        return f"{said}."
    if signal is None:
        return f"{said}: it has not called. It stands at {path[-1]:.2f}, its highest was {max(path):.2f}."
    return f"{said}: it called at job {signal}{_day_of(signal, labels)}. It stands at {path[-1]:.2f} now."


def _table(
    path: Sequence[float], threshold: float, signal: int | None, labels: Sequence[tuple[int, str]]
) -> Table:
    rows = [(text, str(job), f"{path[job - 1]:.2f}") for job, text in labels if 0 < job <= len(path)]
    if signal is not None:
        rows.append(("called", str(signal), f"{path[signal - 1]:.2f}"))
    if path:
        rows.append(("now", str(len(path)), f"{path[-1]:.2f}"))
    return Table(
        f"The running sum; it calls at {threshold:g}", ("When", "Job", "Sum"), tuple(rows), frozenset({1, 2})
    )
