"""Months by their first day. Pure."""

from __future__ import annotations

from datetime import date, timedelta


def month_before(day: date) -> date:
    """Return the first day of the month before that of `day`."""
    return (day.replace(day=1) - timedelta(days=1)).replace(day=1)


def month_after(month: date) -> date:
    """Return the first day of the month after the one that begins on `month`."""
    return (month.replace(day=28) + timedelta(days=4)).replace(day=1)


def month_name(month: date) -> str:
    """Return "October 2026"."""
    return f"{month:%B %Y}"
