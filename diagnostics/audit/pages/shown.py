"""The first page's answer as its template prints it."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from urllib.parse import urlencode

from django.urls import reverse

from diagnostics.audit.asked import Asked
from diagnostics.audit.drawing import Chart, curve_drawing
from diagnostics.audit.pages.overview import Overview
from diagnostics.audit.pages.saying import FEWEST_FOR_RATE, State, sentence, state_of, young_sentence
from diagnostics.statistics.proportions import Proportion
from shared.wording import interval_text, percent_text


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
    curve: Chart | None
    jobs_url: str
    back_url: str
    query: str


def shown_overview(overview: Overview, asked: Asked) -> Shown:
    """Return the overview as its template prints it."""
    share = getattr(overview.headline, asked.scope.counted)
    fewest = asked.fewest
    return Shown(
        state=state_of(share, fewest),
        share=share,
        sentence=sentence(share, fewest),
        label=_label(share),
        most=axis_end(share.high if share else 0.1),
        ways=tuple(_ways(overview, asked)),
        young=young_sentence(overview.headline.too_young, overview.curve.watched, asked.window_days),
        curve=_curve(overview, asked.window_days),
        jobs_url=jobs_url(asked),
        back_url=jobs_url(asked, back="yes"),
        query=urlencode(asked.query),
    )


def jobs_url(asked: Asked, **which: str) -> str:
    """Return the address of the jobs behind a figure of this question."""
    return f"{reverse('audit-jobs')}?{urlencode(asked.query | which)}"


def axis_end(highest: float) -> int:
    """Return where an axis in per cent ends: the next ten that holds a share from 0 to 1, at least 10."""
    return min(100, max(10, 10 * ceil(10 * highest - 1e-9)))


def _ways(overview: Overview, asked: Asked) -> list[Way]:
    found = overview.headline
    rows = (
        ("By the verdict", found.provisional, {"counted": "provisional"}),
        ("As reviewed, undetermined left out", found.reviewed_low, {"counted": "reviewed_low"}),
        ("As reviewed, undetermined counted", found.reviewed_high, {"counted": "reviewed_high"}),
        ("Of these, handed back with no fault found", found.no_fault_found, {"outcome": "no_fault_found"}),
    )
    return [
        Way(
            name,
            share,
            state_of(share, asked.fewest),
            jobs_url(asked, **which, back="yes"),
            jobs_url(asked, **which),
        )
        for name, share, which in rows
        if share
    ]


def _label(share: Proportion | None) -> str:
    if share is None:
        return ""
    return (
        f"{percent_text(share.share)} percent, 95 percent interval {interval_text(share.low, share.high)}, "
        "on a scale from 0"
    )


def _curve(overview: Overview, window_days: int) -> Chart | None:
    found = overview.curve
    if found.watched < FEWEST_FOR_RATE:
        return None
    return curve_drawing(found.points, watched=found.watched, last_day=max(90, window_days))
