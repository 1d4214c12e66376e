"""Which days count as before a change and which as after. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Spans:
    """The days before the change and those since, both days of each included.

    Before is as long as was planned for after, and fixed when the change is made: a side that grew with the
    other would be another comparison at every look.
    """

    before_since: date
    before_until: date
    after_since: date
    after_until: date

    @property
    def days(self) -> tuple[int, int]:
        """Length before and after. [days]"""
        return (self.before_until - self.before_since).days + 1, (
            self.after_until - self.after_since
        ).days + 1


def spans(starts_on: date, by_on: date, until: date) -> Spans | None:
    """Return the days from the start to `until`, and before it as many as from the start to `by_on`, the day
    on which the change was to be looked at; None before the start."""
    if until < starts_on:
        return None
    return Spans(starts_on - (by_on - starts_on), starts_on - DAY, starts_on, until)


def ripe_until(as_of: date, window_days: int) -> date:
    """Return the last day of hand-over whose window has fully run on `as_of`."""
    return as_of - timedelta(days=window_days + 1)
