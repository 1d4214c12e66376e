"""Vehicles that keep coming back: several jobs of one system within a year, or several comebacks."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Count, Max, Q

from diagnostics.audit.scope import Scope
from shop.models import Complaint, Vehicle

FEWEST_JOBS = 3
FEWEST_COMEBACKS = 2
YEAR = timedelta(days=365)


@dataclass(frozen=True, slots=True)
class KeepsReturning:
    """One vehicle: its jobs by system where these are many, its jobs that came back, and its last arrival."""

    vehicle: int
    name: str
    systems: tuple[tuple[str, int], ...]
    comebacks: int
    last_seen: date


def keep_returning(scope: Scope) -> tuple[KeepsReturning, ...]:
    """Return the vehicles with 3 jobs of one system or 2 comebacks within a year, the newest first.

    The year ends on the last day of the scope. Jobs of a system are orders that came in with a symptom of it,
    open ones too; comebacks are jobs handed back in this year that came back. Three queries.
    """
    last = min(scope.until or scope.as_of, scope.as_of)
    systems = _often_here(scope, last - YEAR, last)
    comebacks = _came_back(scope, last - YEAR, last)
    found = [
        KeepsReturning(pk, name, tuple(sorted(systems.get(pk, ()))), comebacks.get(pk, 0), last_seen)
        for pk, name, last_seen in _seen({*systems, *comebacks}, last)
    ]
    return tuple(sorted(found, key=lambda one: (-one.last_seen.toordinal(), one.name)))


def _often_here(scope: Scope, since: date, until: date) -> dict[int, list[tuple[str, int]]]:
    complaints = Complaint.objects.filter(
        kind="symptom", system__gt="", order__opened_on__gt=since, order__opened_on__lte=until
    )
    if scope.location:
        complaints = complaints.filter(order__location__code=scope.location)
    if scope.technician:
        complaints = complaints.filter(order__technician=scope.technician)
    if scope.system:
        complaints = complaints.filter(system=scope.system)
    groups = complaints.order_by().values_list("order__vehicle", "system")
    often: dict[int, list[tuple[str, int]]] = defaultdict(list)
    counted = groups.annotate(jobs=Count("order", distinct=True)).filter(jobs__gte=FEWEST_JOBS)
    for vehicle, system, jobs in counted:
        often[vehicle].append((system, jobs))
    return often


def _came_back(scope: Scope, since: date, until: date) -> dict[int, int]:
    """Jobs that came back by the last day, by vehicle; one that came back later is not known yet."""
    jobs = scope.jobs().filter(returned_on__gt=since, returned_on__lte=until, event__isnull=False)
    known: dict[int, int] = defaultdict(int)
    for vehicle, returned_on, days, n in jobs.values_list("vehicle", "returned_on", "event").annotate(
        n=Count("*")
    ):
        if returned_on + timedelta(days=days) <= until:
            known[vehicle] += n
    return {vehicle: n for vehicle, n in known.items() if n >= FEWEST_COMEBACKS}


def _seen(vehicles: Iterable[int], until: date) -> list[tuple[int, str, date]]:
    by = Vehicle.objects.filter(pk__in=set(vehicles)).annotate(
        last_seen=Max("orders__opened_on", filter=Q(orders__opened_on__lte=until))
    )
    rows = by.order_by().values_list("pk", "plate", "code", "last_seen")
    return [(pk, plate or code, last) for pk, plate, code, last in rows if last]
