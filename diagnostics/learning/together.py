"""Reads the jobs of all symptoms by month, for the comparison of changed with unchanged ones."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from django.db.models import Count, Max
from django.db.models.functions import TruncMonth

from diagnostics.learning.spans import ripe_until
from diagnostics.learning.stepped import Cell, Stepped, stepped
from diagnostics.models import Protocol, ProtocolAim, WatchedJob
from shop.models import Location

MOST_YEARS = 4


def compared_with_unchanged(aims: Iterable[ProtocolAim], as_of: date) -> Stepped | None:
    """Return what changed symptoms did against those not changed in the same months; all changes at once."""
    changed_in = {(aim.protocol.system, aim.protocol.symptom): aim.starts_on.replace(day=1) for aim in aims}
    window = Location.objects.aggregate(most=Max("window_days"))["most"] or 0
    last = _last_whole_month(ripe_until(as_of, window))
    if not any(month < last for month in changed_in.values()):
        return None
    first = as_of.replace(year=as_of.year - MOST_YEARS, day=1)
    rows = (
        WatchedJob.objects.filter(returned_on__gte=first, returned_on__lte=as_of, mature_on__lte=as_of)
        .exclude(symptom="")
        .order_by()
        .annotate(month=TruncMonth("returned_on"))
        .values("system", "symptom", "month")
        .annotate(jobs=Count("pk"), back=Count("back_days"))
    )
    aside = _changed_without_aim(first) - changed_in.keys()
    cells = [
        Cell((row["system"], row["symptom"]), row["month"], row["back"], row["jobs"])
        for row in rows
        if (row["system"], row["symptom"]) not in aside
    ]
    return stepped(cells, changed_in, last)


def _changed_without_aim(since: date) -> set[tuple[str, str]]:
    """Symptoms whose protocol was changed without saying what for: they are neither changed nor unchanged."""
    versions = Protocol.objects.filter(version__gt=1, made_at__date__gte=since, aim__isnull=True).order_by()
    return set(versions.values_list("system", "symptom"))


def _last_whole_month(day: date) -> date:
    """First day of the last month that ends by this day."""
    return ((day + timedelta(days=1)).replace(day=1) - timedelta(days=1)).replace(day=1)
