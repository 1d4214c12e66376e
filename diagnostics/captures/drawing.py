"""A recording drawn as SVG: one lane a channel, one time line for all. Text in, text out.

Lanes keep channels apart by their place; a label, a weight of line and a mark that repeats along the line
tell them apart where they meet. Where a column holds more than one value it is a stroke from the least to
the greatest.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from html import escape as _escaped
from typing import Any

COLUMNS = 320  # Of an overview: finer than a paper shows, small enough for a record.
DIGITS = 4  # Of a drawn value: a thousandth of a lane.
MARK_EVERY = 40  # Columns between two marks of a line.
PREFIXES = ((1e9, "G"), (1e6, "M"), (1e3, "k"), (1.0, ""), (1e-3, "m"), (1e-6, "µ"), (1e-9, "n"))

# Geometry in pixels of a screen; shared with the page's own drawing.
HEAD, LANE, SMALL_LANE, FOOT = 26, 120, 52, 30


@dataclass(frozen=True, slots=True)
class Lane:
    """One channel in columns: its label and unit, least and greatest of each column, None in a gap."""

    label: str
    unit: str
    low: tuple[float | None, ...]
    high: tuple[float | None, ...]


@dataclass(frozen=True, slots=True)
class Picture:
    """Lanes over one stretch of time. [s]"""

    since: float
    until: float
    lanes: tuple[Lane, ...]


@dataclass(frozen=True, slots=True)
class Scale:
    """An axis: its ends, and the round values that are marked on it."""

    start: float
    end: float
    ticks: tuple[float, ...]

    def share(self, value: float) -> float:
        """Return where a value lies, from 0 at the start to 1 at the end."""
        return (value - self.start) / (self.end - self.start)


def picture(overview: dict[str, Any], labels: Sequence[str] = ()) -> Picture:
    """Return the picture of an overview as it is kept; `labels` take the place of the channels' names."""
    lanes = []
    for place, channel in enumerate(overview["channels"]):
        label = labels[place] if place < len(labels) else channel["name"]
        lanes.append(Lane(label, channel["unit"], tuple(channel["low"]), tuple(channel["high"])))
    return Picture(overview["since"], overview["until"], tuple(lanes))


def as_overview(picture: Picture, samples: int) -> dict[str, Any]:
    """Return a picture of a whole recording as plain values of few digits, to be kept."""
    return {
        "since": picture.since,
        "until": picture.until,
        "samples": samples,
        "channels": [
            {
                "name": lane.label,
                "unit": lane.unit,
                "low": [_few_digits(value) for value in lane.low],
                "high": [_few_digits(value) for value in lane.high],
            }
            for lane in picture.lanes
        ],
    }


def value_scale(lane: Lane) -> Scale:
    """Return the scale of a lane: all its values, and round ones marked."""
    values = [value for value in (*lane.low, *lane.high) if value is not None]
    low, high = (min(values), max(values)) if values else (0.0, 1.0)
    if high - low < 1e-9 * max(abs(low), abs(high), 1e-9):
        spread = max(abs(low), 1.0) / 2
        low, high = low - spread, high + spread
    margin = (high - low) * 0.06
    return Scale(low - margin, high + margin, round_values(low, high, 3))


def time_scale(since: float, until: float, marks: int = 6) -> Scale:
    """Return the scale of a stretch of time with about so many marks."""
    return Scale(since, until, round_values(since, until, marks))


def round_values(low: float, high: float, count: int) -> tuple[float, ...]:
    """Return about `count` round values between two: steps of 1, 2 or 5 times a power of ten."""
    raw = (high - low) / max(count, 1)
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(power * m for m in (1, 2, 5, 10) if power * m >= raw * 0.999)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return tuple(round(place * step, 12) + 0.0 for place in range(first, last + 1))


def quantity(value: float, unit: str, digits: int = 4) -> str:
    """Return a value with a prefix that keeps it short: 0.0125 s is "12.5 ms"."""
    if not math.isfinite(value):
        return "no value"
    size = abs(value)
    factor, prefix = next(((f, p) for f, p in PREFIXES if size >= f * 0.9999), (1.0, ""))
    if not unit or unit in ("%", "°C", "°") or not size:
        factor, prefix = 1.0, ""
    text = f"{value / factor:.{digits}g}"
    if "e" in text:
        text = f"{value / factor:.0f}"
    return f"{text} {prefix}{unit}".strip().replace("-", "\u2212")


def marks(scale: Scale, unit: str) -> list[tuple[float, str]]:
    """Return the marked values of a scale with their text, all in one prefix."""
    most = max(abs(scale.start), abs(scale.end))
    factor, prefix = next(((f, p) for f, p in PREFIXES if most >= f * 0.9999), PREFIXES[-1])
    if not unit or unit in ("%", "°C", "°"):
        factor, prefix = 1.0, ""
    texts = [f"{tick / factor:.10g}".replace("-", "\u2212") for tick in scale.ticks]
    named = f" {prefix}{unit}" if unit else ""
    return [
        (tick, text + (named if place == len(texts) - 1 else ""))
        for place, (tick, text) in enumerate(zip(scale.ticks, texts, strict=True))
    ]


def letter(place: int) -> str:
    """Return the letter of a channel by its place: A, B, C."""
    return chr(ord("A") + place)


def said(shown: Picture, title: str) -> str:
    """Return the picture in a sentence, for who does not see it."""
    stretch = quantity(shown.until - shown.since, "s")
    names = (f"{letter(place)} {lane.label}".strip() for place, lane in enumerate(shown.lanes))
    lanes = "; ".join(f"{name}, {_range_words(lane)}" for name, lane in zip(names, shown.lanes, strict=True))
    return f"{title}: {stretch} of {lanes}."


def fluid_svg(shown: Picture, label: str, *, lane: int = LANE) -> str:
    """Return the picture for a page: as wide as its place, inked by the page's style sheet."""
    height = len(shown.lanes) * (HEAD + lane) + FOOT
    parts = [
        f'<svg class="plot signal-plot" width="100%" height="{height}" role="img" '
        f'aria-label="{_words(label)}">'
    ]
    for place, one in enumerate(shown.lanes):
        top = place * (HEAD + lane) + HEAD
        parts += _fluid_lane(one, place, top, lane)
    parts += _fluid_times(shown, len(shown.lanes) * (HEAD + lane))
    return "".join([*parts, "</svg>"])


def paper_svg(shown: Picture, label: str, *, width: int = 460, lane: int = 46) -> str:
    """Return the picture for a paper: of fixed width, with its own ink."""
    left, head = 44, 17
    height = len(shown.lanes) * (head + lane) + 22
    parts = [
        f'<svg viewBox="0 0 {width} {height}" width="{width}" height="{height}" role="img" '
        f'aria-label="{_words(label)}" font-family="Sofia Sans" font-size="11"><title>{_words(label)}</title>'
    ]
    for place, one in enumerate(shown.lanes):
        parts += _paper_lane(one, place, (left, place * (head + lane) + head, width - left - 4, lane))
    parts += _paper_times(shown, (left, len(shown.lanes) * (head + lane), width - left - 4))
    return "".join([*parts, "</svg>"])


def trace(lane: Lane, scale: Scale, width: float, height: float) -> str:
    """Return the line of a lane as an SVG path, 0 to `width` across and 0 to `height` down."""
    return "".join(_strokes(lane, scale, width, height))


def _strokes(lane: Lane, scale: Scale, width: float, height: float) -> Iterator[str]:
    step, pen_is_down, above = width / max(len(lane.low), 1), False, False
    for place, (low, high) in enumerate(zip(lane.low, lane.high, strict=True)):
        if low is None or high is None:
            pen_is_down = False
            continue
        x = f"{(place + 0.5) * step:.1f}"
        ends = [f"{(1 - scale.share(value)) * height:.1f}" for value in (low, high)]
        # Each stroke begins at the end where the one before stopped: less ink, a steadier line.
        first, last = reversed(ends) if above else ends
        yield f"{'L' if pen_is_down else 'M'}{x} {first}"
        if first != last:
            yield f"L{x} {last}"
            above = not above
        pen_is_down = True


def _marks_along(lane: Lane, place: int) -> list[tuple[float, float]]:
    """Where the marks of a channel stand: share of the width, and the value there."""
    found = []
    for column in range(MARK_EVERY // 2 + 7 * place % MARK_EVERY, len(lane.low), MARK_EVERY):
        low, high = lane.low[column], lane.high[column]
        if low is not None and high is not None:
            found.append(((column + 0.5) / len(lane.low), (low + high) / 2))
    return found


# By place, again from the start after four. The first one is plain.
MARK_SHAPES = ("", "M-4 0a4 4 0 1 0 8 0a4 4 0 1 0 -8 0z", "M-4 4L4 4L0 -4z", "M-4 -4H4V4H-4z")
WEIGHTS = (1.5, 1.5, 2.25, 1.0)


def _fluid_lane(lane: Lane, place: int, top: int, height: int) -> list[str]:
    scale = value_scale(lane)
    parts = [
        f'<text x="0" y="{top - 8}"><tspan class="strong">{letter(place)}</tspan> '
        f"{_words(lane.label)}</text>",
    ]
    for tick, text in marks(scale, lane.unit):
        y = top + (1 - scale.share(tick)) * height
        parts.append(f'<line class="grid" x1="0" x2="100%" y1="{y:.1f}" y2="{y:.1f}"/>')
        parts.append(f'<text class="soft" x="100%" y="{y - 4:.1f}" text-anchor="end">{_words(text)}</text>')
    parts.append(
        f'<svg x="0" y="{top}" width="100%" height="{height}" viewBox="0 0 1000 {height}" '
        f'preserveAspectRatio="none" overflow="visible"><path class="trace" data-lane="{place % 4}" '
        f'vector-effect="non-scaling-stroke" fill="none" d="{trace(lane, scale, 1000, height)}"/></svg>'
    )
    shape = MARK_SHAPES[place % 4]
    for share, value in _marks_along(lane, place) if shape else ():
        y = top + (1 - scale.share(value)) * height
        parts.append(
            f'<svg x="{share * 100:.2f}%" y="{y:.1f}" overflow="visible">'
            f'<path class="trace-mark" d="{shape}"/></svg>'
        )
    return parts


def _fluid_times(shown: Picture, top: int) -> list[str]:
    scale = time_scale(shown.since, shown.until, 4)
    parts = [f'<line class="axis" x1="0" x2="100%" y1="{top}" y2="{top}"/>']
    for tick, text in marks(scale, "s"):
        share = scale.share(tick)
        anchor = "start" if share < 0.1 else "end" if share > 0.9 else "middle"
        x = f"{share * 100:.2f}%"
        parts.append(f'<line class="axis" x1="{x}" x2="{x}" y1="{top}" y2="{top + 6}"/>')
        parts.append(f'<text x="{x}" y="{top + 22}" text-anchor="{anchor}">{_words(text)}</text>')
    return parts


def _paper_lane(lane: Lane, place: int, box: tuple[int, int, int, int]) -> list[str]:
    left, top, width, height = box
    scale = value_scale(lane)
    parts = [
        f'<text x="{left}" y="{top - 5}"><tspan font-weight="700">{letter(place)}</tspan> '
        f"{_words(lane.label)}</text>"
    ]
    for tick, text in marks(scale, lane.unit):
        y = top + (1 - scale.share(tick)) * height
        parts.append(f'<path d="M{left} {y:.1f}h{width}" stroke="#a6a6a6" stroke-width="0.5"/>')
        parts.append(
            f'<text x="{left - 4}" y="{y + 3.5:.1f}" fill="#404040" text-anchor="end">{_words(text)}</text>'
        )
    parts.append(
        f'<path transform="translate({left} {top})" d="{trace(lane, scale, width, height)}" fill="none" '
        f'stroke="#000" stroke-width="{WEIGHTS[place % 4] * 0.7:.2f}"/>'
    )
    shape = MARK_SHAPES[place % 4]
    for share, value in _marks_along(lane, place) if shape else ():
        x, y = left + share * width, top + (1 - scale.share(value)) * height
        parts.append(
            f'<path transform="translate({x:.1f} {y:.1f}) scale(0.7)" d="{shape}" fill="#fff" stroke="#000"/>'
        )
    return parts


def _paper_times(shown: Picture, box: tuple[int, int, int]) -> list[str]:
    left, top, width = box
    scale = time_scale(shown.since, shown.until, 5)
    parts = [f'<path d="M{left} {top}h{width}" stroke="#000" stroke-width="0.9"/>']
    for tick, text in marks(scale, "s"):
        share = scale.share(tick)
        anchor = "start" if share < 0.08 else "end" if share > 0.92 else "middle"
        x = left + share * width
        parts.append(f'<path d="M{x:.1f} {top}v4" stroke="#000" stroke-width="0.9"/>')
        parts.append(f'<text x="{x:.1f}" y="{top + 15}" text-anchor="{anchor}">{_words(text)}</text>')
    return parts


def _words(text: str) -> str:
    """Text as markup keeps it; signs that no reader sees and XML cannot hold are left out."""
    return _escaped("".join(sign for sign in text if sign.isprintable()))


def _few_digits(value: float | None) -> float | None:
    if value is None or not math.isfinite(value):
        return None
    return float(f"{value:.{DIGITS}g}")


def _range_words(lane: Lane) -> str:
    values: Iterable[float] = [value for value in (*lane.low, *lane.high) if value is not None]
    if not values:
        return "no values"
    return f"{quantity(min(values), lane.unit)} to {quantity(max(values), lane.unit)}"
