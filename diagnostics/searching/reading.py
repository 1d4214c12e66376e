"""What a search needs of its order, read in a constant number of queries."""

from __future__ import annotations

from diagnostics.models import FaultSearch
from diagnostics.reading import read_instruments
from diagnostics.rows import TESTS
from diagnostics.searching.thinking import Thought
from diagnostics.snapshot import Test
from shop.models import RepairOrder


def tests_of(order: RepairOrder) -> tuple[Test, ...]:
    """Return the live tests of an order, in the order on the record. One query."""
    return tuple(TESTS.load([order.pk]).get(order.pk, ()))


def thought_of(search: FaultSearch) -> Thought:
    """Return a search with the readings that it hears as they stand now. Three queries."""
    return Thought(search, tests_of(search.order), read_instruments())


def running_search(order: RepairOrder, complaint_ref: str = "") -> FaultSearch | None:
    """Return the search that is under way, of one complaint or of the job."""
    running = FaultSearch.objects.filter(order=order, ended_at__isnull=True)
    if complaint_ref:
        running = running.filter(complaint_ref=complaint_ref)
    return running.order_by("pk").first()
