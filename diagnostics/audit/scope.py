"""What an audit is asked about: which jobs, on which day, and what counts as having come back."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

from django.db.models import F, IntegerField, Min, OuterRef, Q, QuerySet, Subquery

from diagnostics.comebacks.pairs import LEVEL_REASONS
from diagnostics.models import ReturnVisit, WatchedJob
from shop.models import Complaint

Counted = Literal["provisional", "reviewed_low", "reviewed_high"]
COLUMNS: dict[Counted, str] = {
    "provisional": "back_days",
    "reviewed_low": "low_days",
    "reviewed_high": "up_days",
}
DEFAULT_LEVELS = frozenset({"S", "W"})


@dataclass(frozen=True, slots=True)
class Scope:
    """One question to the audit.

    Parameters
    ----------
    as_of : date
        The day of the count. What happened later is not known.
    since, until : date or None
        Only jobs handed back in this period, both days included; None is open.
    location : str
        Code of one shop, empty for all.
    technician : str
        Only this person's jobs; a person may ask for nobody else's.
    system : str
        Only jobs with a complaint of this system, whichever of their complaints it is.
    counted : Counted
        Whether a return counts by the verdict or by its review.
    levels : frozenset of str
        The relation levels that count; `DEFAULT_LEVELS` is the verdict comeback. Other levels count as
        though the verdict had been comeback: in the window, with no exclusion on file or claimed.
    """

    as_of: date
    since: date | None = None
    until: date | None = None
    location: str = ""
    technician: str = ""
    system: str = ""
    counted: Counted = "provisional"
    levels: frozenset[str] = DEFAULT_LEVELS

    def jobs(self) -> QuerySet[WatchedJob]:
        """Return the jobs of the period, ripe or not, each with `event`: days to its return, or null.

        An event that lies after `as_of` is still there on jobs that are not ripe: group by `returned_on` and
        `event` and leave those out, as the curve does. On ripe jobs there is none.
        """
        jobs = WatchedJob.objects.filter(returned_on__lte=self.as_of).order_by()
        if self.since:
            jobs = jobs.filter(returned_on__gte=self.since)
        if self.until:
            jobs = jobs.filter(returned_on__lte=self.until)
        if self.location:
            jobs = jobs.filter(location__code=self.location)
        if self.technician:
            jobs = jobs.filter(technician=self.technician)
        if self.system:
            jobs = jobs.filter(order__in=_orders_with(self.system))
        return jobs.annotate(event=self._event())

    def ripe(self) -> QuerySet[WatchedJob]:
        """Return the jobs whose window has fully run on `as_of`, with `event`."""
        return self.jobs().filter(mature_on__lte=self.as_of)

    def returns(self) -> QuerySet[ReturnVisit]:
        """Return every return that counts to a job of the period, the first to it and the later ones.

        A rate has at most one return a job; work and money are spent on each.
        """
        returned = Q(return_order__opened_on__lte=self.as_of, index_order__in=self.jobs().values("pk"))
        return _counting(self.levels, self.counted).filter(returned)

    def as_counted(self, counted: Counted) -> Scope:
        """Return the same question with another way to count."""
        return replace(self, counted=counted)

    def _event(self):
        if self.levels == DEFAULT_LEVELS:
            return F(COLUMNS[self.counted])
        return Subquery(
            _counting(self.levels, self.counted)
            .filter(index_order=OuterRef("pk"))
            .order_by()
            .values("index_order")
            .annotate(first=Min("days"))
            .values("first"),
            output_field=IntegerField(),
        )


def _counting(levels: frozenset[str], counted: Counted) -> QuerySet[ReturnVisit]:
    """Return the returns that count with these levels; a review, where there is one, decides."""
    visits = ReturnVisit.objects.filter(counts=True)
    by_verdict = visits.filter(
        level__in=levels, in_window="true", exclusion="", reason__in=LEVEL_REASONS.values()
    )
    if counted == "provisional":
        return by_verdict
    decided = ["confirmed"] if counted == "reviewed_low" else ["confirmed", "undetermined"]
    return by_verdict.filter(state__in=["unreviewed", "in_review"]) | visits.filter(state__in=decided)


def _orders_with(system: str):
    return Complaint.objects.filter(system=system).values("order")
