"""From database rows to papers: what stands on them, under which name, version and date."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from diagnostics.assessment import assess
from diagnostics.models import Capture, ReturnVisit, TestKind, TestRun
from diagnostics.reading import read_instruments, read_order
from diagnostics.signals.page import capture_picture
from diagnostics.snapshot import Order
from invoicing.findings import (
    FindingsSheet,
    Letterhead,
    LimitOrigin,
    Names,
    Returned,
    Signal,
    SignalLane,
    as_data,
    findings_sheet,
)
from invoicing.models import IssuedDocument, WarrantyGrant
from invoicing.warranty_note import Grant, NothingToPromise, WarrantyNote, grant_of, warranty_note
from invoicing.wording import on_day
from shared.wording import days_text, distance_in, distance_text
from shop.models import Location, RepairOrder, Symptom, System

TEMPLATE_VERSION = "2"
LONGEST_SHORT = 40  # Characters of a limit's origin that still fit beside a value.

ORIGIN_WORDS = {
    "R": "a published source",
    "M": "a published source, from memory",
    "P": "common practice",
    "C": "our own computation",
    "S": "this shop",
    "V": "the vehicle’s maker",
}


@dataclass(frozen=True, slots=True)
class Paper:
    """One paper as it is drawn: issued, with version and code, or as it stands."""

    kind: str
    job: str
    shop: str
    dated: date
    data: dict[str, Any]
    version: int | None = None
    code: str = ""

    @property
    def name(self) -> str:
        """What stands at the head: "Findings for job 1057, version 1"."""
        what = {"findings": "Findings", "warranty": "Warranty"}[self.kind]
        return f"{what} for job {self.job}{self._version}"

    @property
    def title(self) -> str:
        """The document's title."""
        return f"{self.name}, {self.shop}" if self.shop else self.name

    @property
    def mark(self) -> str:
        """What stands in the foot of each page."""
        document = f", document {self.code}" if self.code else ""
        return f"Job {self.job}{self._version}{document}"

    @property
    def _version(self) -> str:
        return f", version {self.version}" if self.version else ", not issued"


def current_paper(order: RepairOrder, kind: str) -> Paper:
    """Return a paper as it stands now, not issued.

    Raises
    ------
    NothingToPromise
        If it is a warranty note and nothing can be promised.
    """
    return paper_of(order, kind, current_findings(order) if kind == "findings" else current_note(order))


def paper_of(order: RepairOrder, kind: str, sheet: FindingsSheet | WarrantyNote) -> Paper:
    """Return a sheet of an order as a paper that is not issued."""
    return Paper(
        kind=kind,
        job=order.number,
        shop=str(order.location),
        dated=order.returned_on or order.opened_on,
        data={"sheet": as_data(sheet)},
    )


def issued_paper(document: IssuedDocument) -> Paper:
    """Return an issued paper from the data that was kept."""
    return Paper(
        kind=document.kind,
        job=document.data["job"],
        shop=document.data["sheet"]["shop"]["name"],
        dated=date.fromisoformat(document.data["issued_on"]),
        data=document.data,
        version=document.version,
        code=document.code,
    )


def canonical(data: dict[str, Any]) -> bytes:
    """Return data as the one text that its hash is taken of: keys sorted, no spaces, UTF-8."""
    return json.dumps(data, sort_keys=True, ensure_ascii=False, separators=(",", ":")).encode()


def sha256(content: bytes) -> str:
    """Return the SHA-256 of some bytes, in hexadecimal digits."""
    return hashlib.sha256(content).hexdigest()


def current_findings(order: RepairOrder) -> FindingsSheet:
    """Return the findings sheet of an order as it stands."""
    assessed = assess(order.pk)
    grant = grant_or_none(order, assessed.order)
    return findings_sheet(
        assessed,
        names=read_names(order, assessed.order),
        shop=letterhead(order.location),
        instruments=read_instruments(),
        returned=_returned(order),
        covered=grant.in_short if grant else None,
        signals=_signals(order),
    )


def _signals(order: RepairOrder) -> tuple[Signal, ...]:
    """Return the recorded signals that were chosen for the sheet, those before the repair first."""
    chosen = Capture.objects.filter(order=order, on_sheet=True).defer("analysis").order_by("position", "pk")
    return tuple(
        _signal(capture) for phase in ("before", "after") for capture in chosen if capture.phase == phase
    )


def _signal(capture: Capture) -> Signal:
    shown = capture_picture(capture)
    equipment = ", with test equipment connected" if capture.equipment_connected else ""
    return Signal(
        title=capture.title,
        recorded=f"{capture.get_phase_display()}, {on_day(capture.done)}{equipment}",
        since=shown.since,
        until=shown.until,
        lanes=tuple(SignalLane(lane.label, lane.unit, lane.low, lane.high) for lane in shown.lanes),
    )


def current_note(order: RepairOrder) -> WarrantyNote:
    """Return the warranty note of an order as it stands."""
    snapshot = read_order(order.pk)
    return warranty_note(snapshot, current_grant(order, snapshot), shop=letterhead(order.location))


def current_grant(order: RepairOrder, snapshot: Order) -> Grant:
    """Return what the shop promises: as granted, or by the location's terms.

    Terms that were granted once stay, whatever the location's terms become.
    """
    kept = WarrantyGrant.objects.filter(order=order).first()
    location = order.location
    return grant_of(
        snapshot,
        months=kept.months if kept else location.warranty_months,
        distance=kept.distance if kept else location.warranty_distance,
        distance_unit=kept.distance_unit if kept else location.distance_unit,
    )


def grant_or_none(order: RepairOrder, snapshot: Order) -> Grant | None:
    """Return what the shop promises, or None where it promises nothing yet."""
    try:
        return current_grant(order, snapshot)
    except NothingToPromise:
        return None


def letterhead(location: Location) -> Letterhead:
    """Return whose paper it is."""
    address = tuple(line.strip() for line in location.address.splitlines() if line.strip())
    return Letterhead(str(location), address, location.phone, location.email)


def read_names(order: RepairOrder, snapshot: Order) -> Names:
    """Return the words for the codes that this order uses."""
    codes = {test.code for test in snapshot.tests}
    codes.update(step.code for complaint in snapshot.complaints for step in complaint.required)
    kinds = {kind.code: kind for kind in TestKind.objects.filter(code__in=codes, is_current=True)}
    runs = TestRun.objects.filter(order=order, superseded_by__isnull=True)
    return Names(
        tests={code: kind.plain or kind.name for code, kind in kinds.items()},
        systems=_by_code(System, {c.system for c in snapshot.complaints}),
        symptoms=_by_code(Symptom, {c.symptom for c in snapshot.complaints}),
        origins={run.ref: _origin(run, kinds.get(run.code)) for run in runs},
        conditions={run.ref: run.conditions for run in runs if run.conditions},
    )


def _by_code(model: Any, codes: Iterable[str]) -> dict[str, str]:
    return dict(model.objects.filter(code__in=set(codes)).values_list("code", "name"))


def _origin(run: TestRun, kind: TestKind | None) -> LimitOrigin | None:
    says = run.limit_says.strip()
    own = kind is not None and (says == kind.limit_says.strip() if says else _has_limits_of(run, kind))
    if own:
        return LimitOrigin(ORIGIN_WORDS.get(kind.limit_source, "this shop"), kind.limit_says)
    if says:
        return LimitOrigin(says if len(says) <= LONGEST_SHORT else "this job’s record", says)
    return None


def _has_limits_of(run: TestRun, kind: TestKind) -> bool:
    return (run.lo, run.hi) == (kind.lo, kind.hi) and (run.limit_unit or run.unit) == kind.unit


def _returned(order: RepairOrder) -> Returned | None:
    pair = (
        ReturnVisit.objects.filter(return_order=order, counts=True)
        .exclude(state__in=[ReturnVisit.State.EXCLUDED, ReturnVisit.State.UNRELATED])
        .select_related("index_order")
        .first()
    )
    if pair is None or pair.days is None:
        return None
    unit = order.odo_unit
    distance = "" if pair.km is None else distance_text(distance_in(pair.km, "km", unit), unit)
    return Returned(pair.index_order.number, days_text(pair.days), distance)
