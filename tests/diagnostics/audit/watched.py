"""Many watched jobs at once, written in bulk."""

from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta

from diagnostics.models import WatchedCheck, WatchedJob
from shop.models import Location, RepairOrder
from tests.factories import LocationFactory, VehicleFactory

AS_OF = date(2026, 11, 28)
HANDED_BACK = date(2026, 3, 2)
COMPUTED = datetime(2026, 11, 28, 4, tzinfo=UTC)
WINDOW = timedelta(days=91)


def jobs(count: int, *, back: int = 0, on: date = HANDED_BACK, prefix: str = "", **facts) -> list[WatchedJob]:
    """Write `count` jobs handed back on one day, the first `back` of them back after ten days."""
    place = Location.objects.first() or LocationFactory()
    vehicle = facts.pop("vehicle", None) or VehicleFactory()
    start = RepairOrder.objects.count()
    orders = RepairOrder.objects.bulk_create(
        RepairOrder(
            number=f"{prefix}{start + n}",
            location=place,
            vehicle=vehicle,
            opened_on=on,
            returned_on=on,
            outcome="repaired",
            technician=facts.get("technician", ""),
        )
        for n in range(count)
    )
    return WatchedJob.objects.bulk_create(
        WatchedJob(
            order=order,
            location=place,
            vehicle=vehicle,
            returned_on=on,
            mature_on=on + WINDOW,
            outcome="repaired",
            back_days=10 if n < back else None,
            computed_at=COMPUTED,
            **facts,
        )
        for n, order in enumerate(orders)
    )


def checks(of: Iterable[WatchedJob], state: str, *, code: str = "standing_draw", **facts) -> None:
    """Write one check a job."""
    said = {"phase": "before", "complaint_ref": "C1", **facts}
    WatchedCheck.objects.bulk_create(WatchedCheck(job=job, code=code, state=state, **said) for job in of)


def table(*strata: tuple[str, int, tuple[int, int], tuple[int, int]], **facts) -> None:
    """Write strata: system, difficulty, (back, not) where it was skipped, (back, not) where it was done."""
    for system, difficulty, skipped, done in strata:
        for state, (back, not_back) in (("skipped", skipped), ("done", done)):
            some = jobs(back + not_back, back=back, system=system)
            checks(some, state, system=system, difficulty=difficulty, **facts)
