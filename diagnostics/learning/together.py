"""Reads the jobs of all symptoms by month, for the comparison of changed with unchanged ones."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from django.db.models import Count, Max
from django.db.models.functions import TruncMonth

from diagnostics.learning.spans import ripe_until
from diagnostics.learning.stepped import Cell, Stepped, stepped
from diagnostics.models import Protocol, ProtocolAim, WatchedJob
from shop.models import Location

MOST_YEARS = 4


def compared_with_unchanged(aims: Iterable[ProtocolAim], as_of: date) -> Stepped | None:
    """Return what changed symptoms did against those not changed in the same months, for all these changes."""
    changed_in = {(aim.protocol.system, aim.protocol.symptom): aim.starts_on.replace(day=1) for aim in aims}
    if not changed_in:
        return None
    window = Location.objects.aggregate(most=Max("window_days"))["most"] or 0
    last = _last_whole_month(ripe_until(as_of, window))
    first = as_of.replace(year=as_of.year - MOST_YEARS, day=1)
    rows = (
        WatchedJob.objects.filter(returned_on__gte=first, returned_on__lte=as_of, mature_on__lte=as_of)
        .exclude(symptom="")
        .order_by()
        .annotate(month=TruncMonth("returned_on"))
        .values("system", "symptom", "month")
        .annotate(jobs=Count("pk"), back=Count("back_days"))
    )
    cells = [Cell((row["system"], row["symptom"]), row["month"], row["back"], row["jobs"]) for row in rows]
    return stepped(cells, _others_changed(first) | changed_in, last) if _any_after(changed_in, last) else None


def _others_changed(since: date) -> dict[tuple[str, str], date]:
    """The symptoms whose protocol was changed without an aim: on neither side of the comparison, so dated
    before everything."""
    versions = Protocol.objects.filter(version__gt=1, made_at__date__gte=since).order_by("made_at")
    return {(row.system, row.symptom): row.made_at.date().replace(day=1) for row in versions}


def _any_after(changed_in: dict[tuple[str, str], date], last: date) -> bool:
    return any(month < last for month in changed_in.values())


def _last_whole_month(day: date) -> date:
    """First day of the last month that ends by this day."""
    first = day.replace(day=1)
    return (first.replace(year=first.year - 1, month=12) if first.month == 1 else first.replace(month=first.month - 1))
