"""The jobs behind a figure: the same selection that was counted, one row a job."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from django.db.models import Q, QuerySet
from django.http import QueryDict

from diagnostics.audit.breakdown import BY, Field, key_parts, parted
from diagnostics.audit.counting import STRONGEST as STATES
from diagnostics.audit.counting import standing
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
        or a gap, with `stratum` = "charging:2" only of complaints of this system and difficulty; `young` =
        "yes" for the jobs too young to count; `back` = "yes" or "no" for those that came back or did not.
        What is missing leaves all in.

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
        jobs = jobs.filter(pk__in=_in_state(scope.system, params))
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


def _in_state(system: str, params: Mapping[str, str]) -> QuerySet[Any]:
    """Return the jobs with one check in a state; one that skipped it too stands with the skipped ones."""
    code, phase, state = params["check"], params.get("phase", ""), params.get("state", "")
    if not state:
        checks = WatchedCheck.objects.filter(code=code, phase=phase).order_by()
        return (checks.filter(system=system) if system else checks).values("job")
    if state not in STATES:
        raise NoSuchJobs(f"'{state}' is no state of a check. Choose one of: {', '.join(STATES)}.")
    stratum = _stratum(params.get("stratum", ""))
    return standing(code, phase, state, system=system, stratum=stratum).order_by().values("job")


def _stratum(said: str) -> tuple[str, int | None] | None:
    """Read a stratum of an address, "charging:2" or "charging:"; None of none."""
    if not said:
        return None
    system, _, difficulty = said.rpartition(":")
    if difficulty and not difficulty.isdecimal():
        raise NoSuchJobs(f"'{said}' names no system and difficulty. Write them such as charging:2.")
    return system, int(difficulty) if difficulty else None
