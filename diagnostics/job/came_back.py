"""What is said first when the vehicle was here before: which job, how related, what it left open."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from diagnostics.assessment import assess_snapshot
from diagnostics.comebacks.carried import carried
from diagnostics.comebacks.wording import sentence
from diagnostics.job.head import hand_over_words
from diagnostics.job.on_order import plain_name
from diagnostics.models import ReturnVisit, TestKind
from diagnostics.snapshot import Instrument, Order
from shared.wording import days_text, distance_in, distance_text
from shop.models import RepairOrder

TITLES = {
    "comeback": "This job came back",
    "needs_review": "This job may be a return",
    "excluded": "A return that does not count against us",
    "not_candidate": "An earlier job, for reading",
}
SHOWN = ("comeback", "needs_review", "excluded")
MOST_SHOWN = 3


@dataclass(frozen=True, slots=True)
class CameBack:
    """One earlier job of the vehicle, and what it left unproved."""

    visit: ReturnVisit
    title: str
    stretch: str
    why: str
    left: tuple[str, ...]

    @property
    def earlier_name(self) -> str:
        return f"Job {self.earlier.number}, handed back"

    @property
    def later_name(self) -> str:
        return f"Job {self.visit.return_order.number}, opened"

    @property
    def earlier_end(self) -> str:
        return hand_over_words(self.earlier)

    @property
    def earlier(self) -> RepairOrder:
        return self.visit.index_order


def returns_to(order: RepairOrder) -> list[ReturnVisit]:
    """The pairs in which this order is the return, the one that counts first."""
    visits = ReturnVisit.objects.filter(return_order=order, verdict__in=SHOWN)
    visits = visits.select_related("index_order", "return_order")
    visits = visits.prefetch_related("index_order__odometer_readings")
    return list(visits.order_by("-counts", "-index_order__opened_on")[:MOST_SHOWN])


def came_back(
    visits: Sequence[ReturnVisit],
    order: RepairOrder,
    *,
    earlier: Sequence[Order],
    instruments: Mapping[str, Instrument],
    kinds: dict[str, TestKind],
) -> list[CameBack]:
    """Return the notices of an order, each with what the earlier job skipped, assumed or did not prove."""
    unit = order.location.distance_unit
    snapshots = {snapshot.id: snapshot for snapshot in earlier}
    return [
        CameBack(
            visit=visit,
            title=TITLES[visit.verdict],
            stretch=_stretch(visit, unit),
            why=_why(visit, order, unit),
            left=_left(snapshots.get(visit.index_order.number), instruments, kinds),
        )
        for visit in visits
    ]


def _stretch(visit: ReturnVisit, unit: str) -> str:
    days = days_text(visit.days) if visit.days is not None else "days not known"
    if visit.km is None:
        return f"{days}, distance not known"
    return f"{days}, {distance_text(distance_in(visit.km, 'km', unit), unit)}"


def _why(visit: ReturnVisit, order: RepairOrder, unit: str) -> str:
    days = visit.policy.get("window_days", order.location.window_days)
    km = visit.policy.get("window_km", order.location.window_km)
    window = distance_text(distance_in(km, "km", unit), unit)
    inside = {
        "true": f"Inside the window of {days} days and {window}.",
        "unknown": "Whether it is inside the window is not known.",
        "conflict": "The odometer readings of the two jobs contradict each other.",
    }.get(visit.in_window, "")
    return f"{sentence(visit.reason, visit.days)} {inside}".strip()


def _listed(codes: Sequence[str], kinds: dict[str, TestKind]) -> str:
    return "; ".join(plain_name(code, kinds) for code in codes)


def _left(index: Order | None, instruments, kinds: dict[str, TestKind]) -> tuple[str, ...]:
    """One sentence for each thing that the earlier job left unproved."""
    if index is None:
        return ()
    findings = assess_snapshot(index, instruments=instruments).findings
    left = carried(index, findings)
    gaps = {finding.rule for finding in findings if finding.state == "gap"}
    work = {item.id: item for item in index.work}
    tests = {test.id: test for test in index.tests}
    assumed = {item.id: item for item in index.assumptions}
    return (
        *([f"Not tested: {_listed(left.skipped_steps, kinds)}."] if left.skipped_steps else []),
        *(f"Replaced without a failing reading: {work[ref].component}." for ref in left.unsupported_parts),
        *(f"Assumed, never tested: {assumed[ref].text}" for ref in left.open_assumptions),
        *(f"Failed, and not taken again: {plain_name(tests[ref].code, kinds)}." for ref in left.not_reread),
        *(f"Still failing at hand-over: {plain_name(tests[ref].code, kinds)}." for ref in left.still_failing),
        *(["It came back in the trials of that job."] if "R20" in gaps else []),
        *(["The complaint was not tried often enough after the repair."] if "R19" in gaps else []),
        *(["The complaint was never seen in that job."] if gaps & {"R1", "R2"} else []),
    )
