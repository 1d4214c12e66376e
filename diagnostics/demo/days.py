"""The demo shop's calendar: opening days, clock times, and where a story fits before today."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

TIME_ZONE = "Europe/London"
ZONE = ZoneInfo(TIME_ZONE)
SUNDAY = 6
CLOSED = {(12, 25), (12, 26), (1, 1)}
NIGHT_CELSIUS = {1: 2, 2: 2, 3: 4, 4: 6, 5: 9, 6: 12, 7: 14, 8: 14, 9: 11, 10: 9, 11: 5, 12: 3}
"""A usual night in a temperate hill town by month, for the texts. Invented."""


def is_open(day: date) -> bool:
    """Whether the shop works on `day`: Monday to Saturday without three holidays."""
    return day.weekday() != SUNDAY and (day.month, day.day) not in CLOSED


def last_open_before(day: date) -> date:
    """Return the last working day before `day`."""
    day -= timedelta(days=1)
    while not is_open(day):
        day -= timedelta(days=1)
    return day


def next_open(day: date) -> date:
    """Return `day`, or the first working day after it."""
    while not is_open(day):
        day += timedelta(days=1)
    return day


def place(offsets: Sequence[int], last: date, fits: Callable[[date], bool] = is_open) -> date:
    """Return the latest day d, so that each d + offset is a working day that `fits`, none after `last`.

    Parameters
    ----------
    offsets : n ints
        Days of the story counted from d. [days]
    last : date
        Latest day on which anything of the story happens.
    fits : callable
        What else a day must satisfy, a season for instance. It must hold at least once a year.
    """
    day = last - timedelta(days=max(offsets))
    while not all(is_open(each) and fits(each) for each in (day + timedelta(days=n) for n in offsets)):
        day -= timedelta(days=1)
    return day


def at(day: date, clock: str) -> str:
    """Return the local date-time of `day` at `clock` (HH:MM), with its offset."""
    return datetime.combine(day, time.fromisoformat(clock), ZONE).isoformat(timespec="minutes")
