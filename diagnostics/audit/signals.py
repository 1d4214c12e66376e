"""Has something changed? The share by month of hand-over, and a running sum that calls early."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from diagnostics.audit.scope import Scope


@dataclass(frozen=True, slots=True)
class Period:
    """A month or a quarter of hand-overs. Shares from 0 to 1.

    estimate : of a period still maturing, from the curve of its own jobs; None on a mature one.
    """

    first: date
    last: date
    label: str
    count: int
    of: int
    estimate: float | None
    low: float | None
    high: float | None
    is_out: bool
    is_maturing: bool


@dataclass(frozen=True, slots=True)
class Trend:
    """The share by month or quarter of hand-over, with its limits of chance."""

    by: str
    periods: tuple[Period, ...]
    center: float | None
    limits: str
    sigma_z: float | None


@dataclass(frozen=True, slots=True)
class Watch:
    """A running sum over jobs in order of hand-over, each fed when its window has run.

    signal_on : the day of hand-over of the job at which it first called; None if it never did.
    above_since : since which job's day it has stood above the threshold; None where it does not.
    false_alarm_every, found_after : jobs on average, where nothing changed and where the odds did.
    """

    path: tuple[float, ...]
    days: tuple[tuple[int, date], ...]
    jobs: int
    came_back: int
    now: float
    threshold: float
    signal: int | None
    signal_on: date | None
    above_since: date | None
    base: float
    odds_ratio: float
    w_event: float
    w_no_event: float
    false_alarm_every: float
    found_after: float

    def as_json(self, tail: int = 100) -> Mapping[str, Any]:
        """Return the sum as plain values, its last `tail` steps only."""
        raise NotImplementedError


def p_chart_of(scope: Scope) -> Trend:
    """Return the share by month of hand-over; by quarter where a month has too few comebacks to expect."""
    raise NotImplementedError


def cusum_of(scope: Scope, *, base: float = 0.06, odds_ratio: float = 2.0, threshold: float = 3.0) -> Watch:
    """Return the running sum over the jobs of a scope whose window has run."""
    raise NotImplementedError
