"""The comeback curve of a scope: recent jobs are counted for as long as they have been watched."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from diagnostics.audit.scope import Scope


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """The curve on one day after hand-over: the share back by then, its interval, and who is still watched.

    at_risk : watched and not come back when the day begins.
    drawn : whether enough are at risk for the curve to go on here.
    """

    day: int
    value: float
    low: float
    high: float
    at_risk: int
    drawn: bool


@dataclass(frozen=True, slots=True)
class Ends:
    """Shares of all jobs on one day: come back, vehicle known gone, neither. They sum to 1."""

    day: int
    back: float
    gone: float
    neither: float


@dataclass(frozen=True, slots=True)
class MonthCurve:
    """Jobs handed back in one month, as far as all of them together can be followed.

    day : the last day with enough at risk, at most the last day of the window.
    value, low, high : the share back by that day; None where there are too few from the start.
    is_maturing : whether the window of some has not run.
    """

    first: date
    jobs: int
    back: int
    day: int
    value: float | None
    low: float | None
    high: float | None
    is_maturing: bool


@dataclass(frozen=True, slots=True)
class Curve:
    """How many came back by which day.

    points : each day with an event, and days 30, 60, 90 and the last of the window.
    jobs, back, gone : watched from hand-over; come back; vehicle known gone before either end.
    last_day : the last day of the longest window.
    drawn_until : the last day the curve is drawn to.
    competing : the same where a vehicle that is gone can no longer come back.
    months : the newest months, oldest first.
    """

    points: tuple[CurvePoint, ...]
    jobs: int
    back: int
    gone: int
    last_day: int
    drawn_until: int
    competing: tuple[Ends, ...]
    months: tuple[MonthCurve, ...]

    def at(self, day: int) -> CurvePoint | None:
        """Return the point that holds on a day, None before the first."""
        before = [point for point in self.points if point.day <= day]
        return before[-1] if before else None


def curve(scope: Scope) -> Curve:
    """Return the curve of the jobs of a scope, ripe or not; a constant number of queries."""
    raise NotImplementedError
