"""The comeback rate: provisional and reviewed, of jobs without a fault found, and by windows side by side."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from diagnostics.audit.scope import Scope
from diagnostics.statistics.proportions import Proportion


@dataclass(frozen=True, slots=True)
class Counting:
    """The rate of the same jobs, counted three ways; None of no job."""

    provisional: Proportion | None
    reviewed_low: Proportion | None
    reviewed_high: Proportion | None


@dataclass(frozen=True, slots=True)
class WindowRate:
    """Comebacks within so many days, of the jobs for which these days are over; by the verdict.

    days : None where the shops have windows of their own.
    is_policy : whether this is the shop's own window.
    """

    days: int | None
    share: Proportion | None
    is_policy: bool


@dataclass(frozen=True, slots=True)
class Headline:
    """The comeback rate of a scope, and what stands beside it.

    provisional, reviewed_low, reviewed_high : of the jobs whose window has run; None of no job.
    no_fault_found : the same of those handed back with no fault found, which are among them.
    jobs : handed back in the period, ripe or not.
    too_young : of these, whose window has not run.
    naive : comebacks so far of all jobs handed back; too low, because the young ones can still come back.
    windows : 30 days, the shop's own window, 365 days.
    fewest : fewer jobs than this are not compared.
    """

    as_of: date
    provisional: Proportion | None
    reviewed_low: Proportion | None
    reviewed_high: Proportion | None
    no_fault_found: Counting
    jobs: int
    too_young: int
    naive: Proportion | None
    windows: tuple[WindowRate, ...]
    fewest: int


def headline(scope: Scope) -> Headline:
    """Return the comeback rate of a scope; a constant number of queries."""
    raise NotImplementedError
