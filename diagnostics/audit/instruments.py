"""Instruments that do not count, and the readings that lean on them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

State = Literal["withdrawn", "found_out", "overdue", "no_due_date", "due_soon"]


@dataclass(frozen=True, slots=True)
class Leaning:
    """One instrument and the readings that lean on it.

    since : from which day its readings do not count, or the day on which it falls due; None if not known.
    open_readings, open_jobs : on jobs that are still here.
    maturing_readings : on jobs handed back whose window still runs.
    ripe_readings, ripe_jobs, ripe_back : on jobs whose window has run, and how many of these came back.
    """

    pk: int
    code: str
    kind: str
    state: State
    since: date | None
    open_readings: int
    open_jobs: int
    maturing_readings: int
    ripe_readings: int
    ripe_jobs: int
    ripe_back: int


def leaning_on(as_of: date, *, soon_days: int = 30) -> tuple[Leaning, ...]:
    """Return the instruments that do not count on a day, or soon will not, with what leans on them."""
    raise NotImplementedError
