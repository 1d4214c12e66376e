"""Which days count as before a change and which as after. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Spans:
    """Two stretches of equal length, both days of each included: just before the start, and from it on."""

    before_since: date
    before_until: date
    after_since: date
    after_until: date

    @property
    def days(self) -> int:
        """Length of each. [days]"""
        return (self.after_until - self.after_since).days + 1


def spans(starts_on: date, until: date) -> Spans | None:
    """Return the stretch from the start to a day, and one as long before it; None before the start."""
    if until < starts_on:
        return None
    length = until - starts_on + DAY
    return Spans(starts_on - length, starts_on - DAY, starts_on, until)


def ripe_until(as_of: date, window_days: int) -> date:
    """Return the last day of hand-over whose window has fully run on `as_of`."""
    return as_of - timedelta(days=window_days + 1)
