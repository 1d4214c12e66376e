"""The first page's answer as its template prints it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil
from urllib.parse import urlencode

from diagnostics.audit.asked import Asked
from diagnostics.audit.curve import ComebackCurve
from diagnostics.audit.drawing import Chart, curve_drawing
from diagnostics.audit.pages.addresses import jobs_url, query_of
from diagnostics.audit.pages.overview import Overview
from diagnostics.audit.pages.saying import (
    NARROW,
    State,
    departures_sentence,
    sentence,
    state_of,
    young_sentence,
)
from diagnostics.audit.rates import Headline
from diagnostics.statistics.proportions import Proportion
from shared.wording import interval_text, percent_text

BACK = {"back": "yes"}


@dataclass(frozen=True, slots=True)
class Way:
    """One way of counting the rate, with the addresses of its jobs."""

    name: str
    share: Proportion
    state: State
    back_url: str
    all_url: str


@dataclass(frozen=True, slots=True)
class Shown:
    """What the template prints beside the answer itself.

    state : what may be said of the rate.
    most : end of the axis of the rate. [%]
    """

    state: State
    share: Proportion | None
    sentence: str
    label: str
    most: int
    ways: tuple[Way, ...]
    young: str
    departures: str
    narrow: str
    curve: Chart | None
    jobs_url: str
    back_url: str
    young_url: str
    query: str


def shown_overview(overview: Overview, asked: Asked) -> Shown:
    """Return the overview as its template prints it."""
    found, drawn = overview.headline, overview.curve
    share = found.share(asked.scope.counted)
    query = query_of(asked.scope)
    return Shown(
        state=state_of(share, found.fewest),
        share=share,
        sentence=sentence(share, found.fewest),
        label=_label(share),
        most=axis_end(share.high if share else 0.1),
        ways=tuple(_ways(found, query)),
        young=young_sentence(found.too_young, found.jobs, drawn.window_days),
        departures=departures_sentence(found.left, drawn.competing.event if drawn.competing else None),
        narrow=NARROW if found.is_narrow else "",
        curve=_curve(drawn),
        jobs_url=jobs_url(query),
        back_url=jobs_url(query, BACK),
        young_url=jobs_url(query, {"young": "yes"}),
        query=urlencode(query),
    )


def axis_end(highest: float) -> int:
    """Return where an axis in per cent ends: the next ten that holds a share from 0 to 1, at least 10."""
    return min(100, max(10, 10 * ceil(10 * highest - 1e-9)))


def _ways(found: Headline, query: dict[str, str]) -> Iterator[Way]:
    rows: tuple[tuple[str, Proportion | None, dict[str, str]], ...] = (
        ("By the verdict", found.provisional, {"counted": "provisional"}),
        ("As reviewed, undetermined left out", found.reviewed_low, {"counted": "reviewed_low"}),
        ("As reviewed, undetermined counted", found.reviewed_high, {"counted": "reviewed_high"}),
        (
            "Of these, handed back with no fault found",
            found.no_fault_found,
            {"counted": "provisional", "by": "outcome", "key": "no_fault_found"},
        ),
    )
    for name, share, which in rows:
        if share:
            state = state_of(share, found.fewest)
            yield Way(name, share, state, jobs_url(query, which, BACK), jobs_url(query, which))


def _label(share: Proportion | None) -> str:
    if share is None:
        return ""
    return (
        f"{percent_text(share.share)} percent, 95 percent interval {interval_text(share.low, share.high)}, "
        "on a scale from 0"
    )


def _curve(found: ComebackCurve) -> Chart | None:
    if not found.drawn_to:
        return None
    days = found.window_days
    marks = tuple(day for day in (30, days) if day <= days)
    return curve_drawing(found.points, drawn_to=found.drawn_to, marks=marks, last_day=days)
