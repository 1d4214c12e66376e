"""What stands out in a scope: steps, gaps, systems, shops, batches and vehicles that passed their test."""

from __future__ import annotations

from collections.abc import Iterator
from urllib.parse import urlencode

from django.db.models import Count
from django.urls import reverse

from diagnostics.audit.batches import batches
from diagnostics.audit.breakdown import breakdown
from diagnostics.audit.checks import Kind, check_rows
from diagnostics.audit.names import Names
from diagnostics.audit.pages.addresses import jobs_url, query_of
from diagnostics.audit.pages.hurts import Hurt
from diagnostics.audit.patterns import steps
from diagnostics.audit.scope import Scope
from diagnostics.audit.vehicles import keep_returning
from shared.wording import percent_text


def standing_out(scope: Scope) -> Iterator[Hurt]:
    """Yield what stands out in the jobs of a scope whose window has run, in no order."""
    yield from _checks(scope, "steps")
    yield from _checks(scope, "gaps")
    if not scope.system:
        yield from _beyond_chance(scope, "system")
    if not scope.location:
        yield from _beyond_chance(scope, "location")
    yield from _batches(scope)
    yield from _vehicles(scope)


def _checks(scope: Scope, kind: Kind) -> Iterator[Hurt]:
    names, query = Names(), urlencode(query_of(scope))
    for row in check_rows(scope, kind).listed:
        skipped, done = row.when_skipped, row.when_done
        if row.answer != "more" or skipped is None:
            continue
        name = steps.name_of(row.code, row.phase, names)
        where = f"where it was {'left out' if row.phase else 'found'}"
        against = f", {percent_text(done.share)} % elsewhere" if done else ""
        page = reverse("audit-step", args=[row.code, row.phase or steps.GAP])
        yield Hurt(
            "step" if row.phase else "gap",
            f"{name} left out {steps.PHASES[row.phase]}" if row.phase else name,
            skipped.count,
            skipped.of,
            row.beyond,
            f"{percent_text(skipped.share)} % came back {where}{against}. It goes with more comebacks; that "
            "does not make it their cause.",
            f"{page}?{query}",
        )


def _beyond_chance(scope: Scope, by: str) -> Iterator[Hurt]:
    """The parts above the outer limit; what is expected of them is the rate of all jobs."""
    whole = scope.ripe().aggregate(jobs=Count("pk"), back=Count("event"))
    base = whole["back"] / whole["jobs"] if whole["jobs"] else 0.0
    for row in breakdown(scope, by):
        if row.flag != "outside 99.9" or row.share.share <= base:
            continue
        yield Hurt(
            "system" if by == "system" else "shop",
            row.label,
            row.share.count,
            row.share.of,
            row.share.count - base * row.share.of,
            f"{percent_text(row.share.share)} % came back, against {percent_text(base)} % of all jobs. That "
            "is beyond what chance explains among so many.",
            jobs_url(query_of(scope), row.query),
        )


def _batches(scope: Scope) -> Iterator[Hurt]:
    for batch in batches(scope).signals:
        others = batch.others_failed / batch.others_of if batch.others_of else 0.0
        yield Hurt(
            "batch",
            f"{batch.part or batch.number}, batch {batch.batch}",
            batch.failed,
            batch.of,
            batch.failed - others * batch.of,
            f"Of other batches of part {batch.number} {batch.others_failed} of {batch.others_of} came back. "
            "A screen, not a proof: look at the parts themselves.",
            _page("audit-signals", scope),
        )


def _vehicles(scope: Scope) -> Iterator[Hurt]:
    for vehicle in keep_returning(scope):
        if not vehicle.comebacks:
            continue
        yield Hurt(
            "vehicle",
            vehicle.name,
            vehicle.comebacks,
            0,
            float(vehicle.comebacks),
            "It keeps coming back, within a year. Read its jobs as one story, from the first complaint on.",
            reverse("vehicle", args=[vehicle.vehicle]),
        )


def _page(name: str, scope: Scope) -> str:
    """A page of the audit with the same question."""
    return f"{reverse(name)}?{urlencode(query_of(scope))}"
