"""Who each open job waits on, with its chain.

Only the jobs that are shown are read and assessed: of each kind of person the longest waits, or one page.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from django.core.paginator import Page, Paginator
from django.db.models import Case, Count, F, QuerySet, Value, When, Window
from django.db.models.functions import RowNumber

from diagnostics.assessment import Assessment, assess_snapshot
from diagnostics.evidence import Ring, rings
from diagnostics.models import HandOff, ReturnVisit
from diagnostics.reading import read_instruments, read_orders
from shop.models import RepairOrder

JOBS_A_WAIT = 12
"""How many jobs of each wait stand on the front page."""
JOBS_A_PAGE = 40
OLDEST_WAIT_FIRST = (F("waiting_since").asc(nulls_first=True), F("pk").asc())


@dataclass(frozen=True, slots=True)
class Job:
    """One line of the front page."""

    order: RepairOrder
    words: str
    rings: tuple[Ring, ...]
    next: str
    technician: str  # Empty where `next` names them.
    waits: timedelta | None
    is_late: bool
    came_back: ReturnVisit | None


@dataclass(frozen=True, slots=True)
class Wait:
    """The jobs that wait on one kind of person, oldest wait first; `total` counts those not shown, too."""

    key: str
    title: str
    total: int
    jobs: list[Job] = field(default_factory=list)

    @property
    def is_cut(self) -> bool:
        """Whether there are more than are shown."""
        return self.total > len(self.jobs)


@dataclass(frozen=True, slots=True)
class _Read:
    """What was read of all the jobs that are shown, by order."""

    assessed: dict[str, Assessment]
    returns: dict[int, ReturnVisit]
    with_sheet: set[int]
    handed_over: dict[int, HandOff]


def board(*, roles: Sequence[str], now: datetime) -> list[Wait]:
    """Return the open jobs by who they wait on, the longest waits of each; those on the reader come first."""
    totals = {row["wait"]: row["jobs"] for row in _open().values("wait").annotate(jobs=Count("pk"))}
    waits = {key: Wait(key, _title(key, roles), totals[key]) for key in _keys(roles) if key in totals}
    place = Window(RowNumber(), partition_by=F("wait"), order_by=OLDEST_WAIT_FIRST)
    longest = _open().annotate(place=place).filter(place__lte=JOBS_A_WAIT)
    for job in _jobs(longest.with_people().order_by(*OLDEST_WAIT_FIRST), now):
        waits[job.order.wait].jobs.append(job)
    return list(waits.values())


def one_wait(key: str, *, roles: Sequence[str], now: datetime, page: str = "") -> tuple[Wait, Page]:
    """Return one page of all the jobs that wait on one kind of person, and where in the list it stands."""
    waiting = _open().filter(wait=key).with_people().order_by(*OLDEST_WAIT_FIRST)
    shown = Paginator(waiting, JOBS_A_PAGE).get_page(page)
    jobs = _jobs(shown.object_list, now)
    return Wait(key, _title(key, roles), shown.paginator.count, jobs), shown


def _open() -> QuerySet[RepairOrder]:
    """Return the open orders, each with its `wait`: a job that names nobody waits on the desk."""
    wait = Case(When(waiting_on="", then=Value("advisor")), default=F("waiting_on"))
    return RepairOrder.objects.open().annotate(wait=wait)


def _jobs(chosen: QuerySet[RepairOrder], now: datetime) -> list[Job]:
    orders = list(chosen)
    read = _Read(_assess(orders), _returns(orders), _with_sheet(orders), _handed_over(orders))
    return [_job(order, read, now) for order in orders]


def _keys(roles: Sequence[str]) -> list[str]:
    keys = [str(key) for key in RepairOrder.WaitingOn.values]
    return sorted(keys, key=lambda key: key not in roles)


def _title(key: str, roles: Sequence[str]) -> str:
    if key in roles:
        return "On you"
    return {
        "advisor": "On the desk",
        "technician": "On a technician",
        "parts": "On parts",
        "customer": "On the customer",
    }[key]


def _assess(orders: list[RepairOrder]) -> dict[str, Assessment]:
    instruments = read_instruments()
    read = read_orders(RepairOrder.objects.filter(pk__in=[order.pk for order in orders]).order_by("pk"))
    return {order.id: assess_snapshot(order, instruments=instruments) for order in read}


def _returns(orders: list[RepairOrder]) -> dict[int, ReturnVisit]:
    counted = ReturnVisit.objects.filter(
        return_order__in=orders, counts=True, verdict__in=["comeback", "needs_review"]
    ).select_related("index_order")
    return {visit.return_order_id: visit for visit in counted}


def _handed_over(orders: list[RepairOrder]) -> dict[int, HandOff]:
    """Return the newest hand-off of each order that the receiver has not taken over yet."""
    pending = HandOff.objects.filter(order__in=orders, acknowledged_by="").order_by("position", "pk")
    return {handed.order_id: handed for handed in pending}


def _with_sheet(orders: list[RepairOrder]) -> set[int]:
    """Return the orders whose findings sheet is issued, by the relation that the room of papers brings."""
    issued = RepairOrder.objects.filter(pk__in=[order.pk for order in orders], documents__kind="findings")
    return set(issued.values_list("pk", flat=True))


def _job(order: RepairOrder, read: _Read, now: datetime) -> Job:
    assessment, handed = read.assessed[order.number], read.handed_over.get(order.pk)
    complaints = assessment.order.complaints
    chain = rings(assessment.order, assessment.findings, sheet_issued=order.pk in read.with_sheet)
    what_next = _to_take_over(handed) if handed else order.waiting_note or _next(chain)
    return Job(
        order=order,
        words=complaints[0].text if complaints else "",
        rings=chain,
        next=what_next,
        technician="" if order.technician in what_next else order.technician,
        waits=now - order.waiting_since if order.waiting_since else None,
        is_late=order.promised_at is not None and order.promised_at < now,
        came_back=read.returns.get(order.pk),
    )


def _to_take_over(handed: HandOff) -> str:
    return f"{handed.giver} hands it to {handed.receiver}, who has not taken it over yet."


def _next(chain: tuple[Ring, ...]) -> str:
    """Say in one sentence what the chain asks for next."""
    for ring in chain:
        if ring.open_findings:
            return f"{ring.name.capitalize()}: {ring.open_findings[0].title}."
        if ring.state == "ahead":
            return f"Next: {ring.name}."
    return "Ready to hand back."
