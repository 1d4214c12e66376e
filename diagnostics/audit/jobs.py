"""The jobs behind a figure: the same selection that was counted, one row a job."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from django.db.models import Q, QuerySet
from django.http import QueryDict

from diagnostics.audit.breakdown import BY, Field, key_parts, parted
from diagnostics.audit.counting import STRONGEST as STATES
from diagnostics.audit.scope import Scope
from diagnostics.models import WatchedCheck

# Which of the jobs of a selection: all that were counted, those that came back, those that did not.
BACK = {"yes": Q(event__isnull=False), "no": Q(event__isnull=True)}
TRUTH = {"True": True, "False": False}


class NoSuchJobs(ValueError):
    """The address asks for a part that the audit does not know."""


def jobs_behind(scope: Scope, params: Mapping[str, str] | QueryDict) -> QuerySet[Any]:
    """Return the jobs behind a figure, each once, with `event`.

    Parameters
    ----------
    scope : Scope
        The question the figure answers.
    params : mapping of str to str
        `by` and `key` of a row of a breakdown; `check`, `phase` and `state` (done, waived, skipped) of a step
        or a gap; `young` = "yes" for the jobs too young to count; `back` = "yes" or "no" for those that came
        back or did not. What is missing leaves all in.

    Raises
    ------
    NoSuchJobs
        If a name among them is not known.
    """
    jobs = scope.ripe()
    if params.get("young") == "yes":
        jobs = scope.jobs().filter(mature_on__gt=scope.as_of)
    elif params.get("by"):
        jobs = jobs.filter(pk__in=_of_part(scope, params).values("pk"))
    if params.get("check"):
        of_check = _in_state(scope.system, params["check"], params.get("phase", ""), params.get("state", ""))
        jobs = jobs.filter(pk__in=of_check)
    if back := params.get("back", ""):
        if back not in BACK:
            raise NoSuchJobs(f"'{back}' is neither yes nor no.")
        jobs = jobs.filter(BACK[back])
    return jobs


def _of_part(scope: Scope, params: Mapping[str, str]) -> QuerySet[Any]:
    wanted = BY.get(params["by"])
    if wanted is None:
        raise NoSuchJobs(f"Jobs are not parted by '{params['by']}'. Choose one of: {', '.join(BY)}.")
    return parted(scope, wanted).filter(_values(wanted, params.get("key", "")))


def _values(wanted: Field, key: str) -> Q:
    """Return what the expressions of a field must be."""
    parts = key_parts(key, len(wanted.key))
    if parts is None:
        raise NoSuchJobs(f"'{key}' names no jobs.")
    if wanted is BY["pattern"]:
        return Q(a=TRUTH[key]) if key in TRUTH else Q(a__isnull=True)
    if wanted is BY["month"]:
        return Q(a=_month(key))
    return Q(**dict(zip(wanted.key, parts, strict=True)))


def _month(key: str) -> date:
    try:
        return date.fromisoformat(key)
    except ValueError:
        raise NoSuchJobs(f"'{key}' is no month. Write its first day, such as 2026-03-01.") from None


def _in_state(system: str, code: str, phase: str, state: str) -> QuerySet[Any]:
    """Return the jobs with one check in a state; one that skipped it too stands with the skipped ones."""
    checks = WatchedCheck.objects.filter(code=code, phase=phase).order_by()
    if system:
        checks = checks.filter(system=system)
    if not state:
        return checks.values("job")
    if state not in STATES:
        raise NoSuchJobs(f"'{state}' is no state of a check. Choose one of: {', '.join(STATES)}.")
    found = checks.filter(state=state)
    for stronger in STATES[: STATES.index(state)]:
        found = found.exclude(job__in=checks.filter(state=stronger).values("job"))
    return found.values("job")
