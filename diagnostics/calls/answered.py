"""How many customers answered. What they said never decides how a job is counted: it is shown beside."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Q

from diagnostics.models import FollowUp

Outcome = FollowUp.Outcome


@dataclass(frozen=True, slots=True)
class Answered:
    """Jobs called about in a period, and of how many the customer answered at least once."""

    called: int
    answered: int
    gone: int
    still_there: int
    elsewhere: int

    @property
    def words(self) -> str:
        """The counts in a sentence; empty where nobody was called."""
        if not self.called:
            return ""
        return (
            f"{self.answered} of {self.called} jobs called about were answered: {self.gone} not back, "
            f"{self.still_there} back, {self.elsewhere} seen by another garage. Who answers is not a fair "
            "sample of all, so this changes no rate."
        )


def answered(since: date, until: date) -> Answered:
    """Return what calls of a period came to, both days included.

    A job that was called about lived long enough to be called about: grouping jobs by whether they were
    called would credit the calls with that time (immortal time, statistics.md section 2; Suissa 2008, Am J
    Epidemiol 167:492, from memory). So calls are counted here and group nothing.
    """
    calls = FollowUp.objects.filter(called_on__range=(since, until)).order_by()
    return Answered(
        **calls.aggregate(
            called=_jobs(),
            answered=_jobs(~Q(outcome=Outcome.NO_ANSWER)),
            gone=_jobs(Q(outcome=Outcome.GONE)),
            still_there=_jobs(Q(outcome=Outcome.STILL_THERE)),
            elsewhere=_jobs(Q(outcome=Outcome.ELSEWHERE)),
        )
    )


def _jobs(which: Q | None = None) -> Count:
    return Count("order", distinct=True, filter=which)
