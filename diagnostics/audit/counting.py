"""What became of each check and what came back, counted by the database in two queries."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

from django.db.models import Case, Count, Exists, F, Max, Min, OuterRef, Q, QuerySet, Sum, When

from diagnostics.audit.compared import Cell, Counts
from diagnostics.audit.scope import Scope
from diagnostics.models import WatchedCheck, WatchedJob

STRONGEST = ("skipped", "done", "waived")  # Which state a job has that met a check more than once.
_CHECK = ("checks__code", "checks__phase", "checks__state", "checks__system", "checks__difficulty")


class _Group(NamedTuple):
    """Checks alike in what is counted apart."""

    code: str
    phase: str
    state: str
    system: str
    difficulty: int | None


def count_checks(scope: Scope, *, are_gaps: bool, code: str = "", phase: str = "") -> tuple[Counts, ...]:
    """Return what the jobs of a scope whose window has run tell of each check.

    All conditions go into one filter, so that they and the columns are of the same check.

    Parameters
    ----------
    scope : Scope
        With a system, only checks that a complaint of this system asked for.
    are_gaps : bool
        Other gaps instead of required steps.
    code, phase : str
        Only this check.
    """
    checks = Q(checks__phase="") if are_gaps else Q(checks__phase__gt="")
    if scope.system:
        checks &= Q(checks__system=scope.system)
    if code:
        checks &= Q(checks__code=code, checks__phase=phase)
    ripe = scope.ripe().annotate(back=Case(When(event__isnull=False, then=1), default=0))
    times: Counter[_Group] = Counter()
    jobs: Counter[_Group] = Counter()
    back: Counter[_Group] = Counter()
    for *key, n, n_back in (
        ripe.filter(checks).values_list(*_CHECK).annotate(n=Count("*"), n_back=Sum("back"))
    ):
        group = _Group(*key)
        times[group], jobs[group], back[group] = n, n, n_back
    _count_once(ripe.filter(checks & _is_met_again()), jobs, back)
    return tuple(_by_check(times, jobs, back))


def standing(
    code: str, phase: str, state: str, *, system: str = "", stratum: tuple[str, int | None] | None = None
) -> QuerySet[WatchedCheck]:
    """Return the checks in a state that stand for their job, as `count_checks` counts jobs.

    Parameters
    ----------
    code, phase, state : str
        Which check, and what became of it.
    system : str
        Only checks that complaints of this system asked for, as where the scope has a system.
    stratum : (str, int or None) or None
        Only those whose complaint has this system and this difficulty.
    """
    every = WatchedCheck.objects.filter(code=code, phase=phase)
    if system:
        every = every.filter(system=system)
    stronger = Q(state__in=STRONGEST[: STRONGEST.index(state)])
    earlier = Q(state=state, complaint_ref__lt=OuterRef("complaint_ref"))
    found = every.filter(state=state).exclude(Exists(every.filter(stronger | earlier, job=OuterRef("job"))))
    if stratum is None:
        return found
    found = found.filter(system=stratum[0])
    return (
        found.filter(difficulty__isnull=True) if stratum[1] is None else found.filter(difficulty=stratum[1])
    )


def _count_once(again: QuerySet[WatchedJob], jobs: Counter[_Group], back: Counter[_Group]) -> None:
    """Leave one group a job: where complaints of one job asked for the same, the strongest state stands."""
    met: dict[tuple[Any, ...], list[tuple[int, str, _Group, int]]] = defaultdict(list)
    rows = again.values_list("pk", "checks__complaint_ref", "back", *_CHECK)
    for pk, complaint, came_back, *key in rows.iterator():
        group = _Group(*key)
        met[pk, group.code, group.phase].append((STRONGEST.index(group.state), complaint, group, came_back))
    for found in met.values():
        first = min(range(len(found)), key=lambda at: found[at][:2])
        for at, (_, _, group, came_back) in enumerate(found):
            if at != first:
                jobs[group] -= 1
                back[group] -= came_back


def _is_met_again() -> Q:
    """The checks that another complaint of the same job asked for, too.

    Jobs with checks of one complaint only, nearly all, are left out first: that is one pass along an index.
    """
    by_job = WatchedCheck.objects.order_by().values("job")
    ends = by_job.annotate(first=Min("complaint_ref"), last=Max("complaint_ref"))
    same = WatchedCheck.objects.filter(
        job=OuterRef("pk"), code=OuterRef("checks__code"), phase=OuterRef("checks__phase")
    ).exclude(complaint_ref=OuterRef("checks__complaint_ref"))
    return Q(pk__in=ends.exclude(first=F("last")).values("job")) & Q(Exists(same))


def _by_check(times: Counter[_Group], jobs: Counter[_Group], back: Counter[_Group]) -> Iterator[Counts]:
    groups: dict[tuple[str, str], list[_Group]] = defaultdict(list)
    for group in times:
        groups[group.code, group.phase].append(group)
    for (code, phase), found in groups.items():
        waived = [group for group in found if group.state == "waived"]
        yield Counts(
            code,
            phase,
            **{state: sum(times[group] for group in found if group.state == state) for state in STRONGEST},
            cells=tuple(_cells(found, jobs, back)),
            waived_jobs=sum(jobs[group] for group in waived),
            waived_back=sum(back[group] for group in waived),
        )


def _cells(groups: Iterable[_Group], jobs: Counter[_Group], back: Counter[_Group]) -> list[Cell]:
    strata: dict[tuple[str, int | None], dict[str, _Group]] = defaultdict(dict)
    for group in groups:
        strata[group.system, group.difficulty][group.state] = group
    cells = []
    for (system, difficulty), by_state in strata.items():
        of = {state: by_state.get(state) for state in ("skipped", "done")}
        counts = [counter[group] if group else 0 for group in of.values() for counter in (jobs, back)]
        if counts[0] or counts[2]:
            cells.append(Cell(system, difficulty, *counts))
    return sorted(cells, key=lambda cell: (cell.system, cell.difficulty or 0))
