"""Earlier causes on the shop's own jobs, counted by the suspect that they name."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Any

from django.db.models import F, OuterRef, Q, Subquery

from diagnostics.isolation.priors import GENERAL, PLATFORM, SYMPTOM, Jobs
from diagnostics.models import Cause
from shop.models import Complaint, RepairOrder


def jobs_like(order: RepairOrder, complaint: Complaint, problem: Mapping[str, Any]) -> list[Jobs]:
    """Return earlier jobs by how near they are, counted by suspect. One query.

    A job counts at the nearest level that it belongs to. A cause that is not on the map speaks for "none of
    these" only where platform and symptom are the same: elsewhere it belongs to other circuits.

    Parameters
    ----------
    problem : mapping
        `document` and `components` of the search.
    """
    make, model = order.vehicle.make, order.vehicle.model
    counts: dict[str, Counter[str]] = {level: Counter() for level in (GENERAL, SYMPTOM, PLATFORM)}
    elsewhere = 0
    for component, mode, own_make, own_model, symptom in _causes(order, complaint):
        same_platform = bool(make) and (own_make, own_model) == (make, model)
        same_symptom = bool(complaint.symptom) and symptom == complaint.symptom
        level = PLATFORM if same_platform and same_symptom else SYMPTOM if same_symptom else GENERAL
        suspect = suspect_named(component, mode, problem)
        if suspect:
            counts[level][suspect] += 1
        elif level == PLATFORM:
            elsewhere += 1
    return [
        Jobs(level, dict(found), elsewhere if level == PLATFORM else 0) for level, found in counts.items()
    ]


def _causes(order: RepairOrder, complaint: Complaint) -> Iterable[tuple[str, str, str, str, str]]:
    vehicle = order.vehicle
    of_complaint = Complaint.objects.filter(order=OuterRef("order"), ref=OuterRef("complaint_ref"))
    found = Cause.objects.exclude(order=order).annotate(
        symptom=Subquery(of_complaint.values("symptom")[:1]),
        system=Subquery(of_complaint.values("system")[:1]),
        own_make=F("order__vehicle__make"),
        own_model=F("order__vehicle__model"),
    )
    near = Q(pk__in=[])
    if vehicle.make and complaint.system:
        # Another system of the same car says nothing here: a flat battery is no fault of the fan's supply.
        near |= Q(own_make=vehicle.make, own_model=vehicle.model, system=complaint.system)
    if complaint.symptom:
        near |= Q(symptom=complaint.symptom)
    return found.filter(near).values_list("component", "mode", "own_make", "own_model", "symptom")


def suspect_named(component: str, mode: str, problem: Mapping[str, Any]) -> str:
    """Return the suspect that a cause names; empty where it is not on the map.

    Of several at one component the one with the same failure mode, else the likeliest by the map.
    """
    wanted = _plain(component)
    weights = {each["id"]: float(each["prior"]) for each in problem["document"]["candidates"]}
    fits = [
        (_plain(part.get("mode", "")) == _plain(mode), weights[name], name)
        for name, part in problem["components"].items()
        if name in weights and wanted and _plain(part.get("component", "")) == wanted
    ]
    return max(fits)[2] if fits else ""


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()
