"""The search for a fault: begun, told something along the way, ended. Its readings are ordinary test runs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError

from diagnostics.models import CircuitMap, FaultSearch, SearchTiming, Suspect, TestRun
from diagnostics.recording.causes import add_suspect, name_cause, settle_suspect
from diagnostics.recording.entries import amend, keep, new_ref, place_after, writing
from diagnostics.recording.readings import dispose_of_reading, record_test, supersede_test
from diagnostics.searching.naming import Named
from shop.models import Complaint, RepairOrder

PRESSED_BY_MISTAKE = "pressed by mistake"


@dataclass(frozen=True)
class Posed:
    """A problem as it is posed: what `FaultSearch` keeps of it, field by field."""

    document: Mapping[str, Any]
    components: Mapping[str, Any] = field(default_factory=dict)
    listens: Mapping[str, Any] = field(default_factory=dict)
    priors: Mapping[str, Any] = field(default_factory=dict)
    left_out: Sequence[Mapping[str, Any]] = ()
    options: Mapping[str, Any] = field(default_factory=dict)
    circuit_map: CircuitMap | None = None

    @property
    def fields(self) -> dict[str, Any]:
        """The values by the names of their fields."""
        return {
            "document": dict(self.document),
            "components": dict(self.components),
            "listens": dict(self.listens),
            "priors": dict(self.priors),
            "left_out": list(self.left_out),
            "options": dict(self.options),
            "circuit_map": self.circuit_map,
            "map_version": self.circuit_map.version if self.circuit_map else None,
        }


def start_search(complaint: Complaint, *, by: Any, at: datetime, posed: Posed) -> FaultSearch:
    """Begin to search for the fault of one complaint; the problem stays as it is posed."""
    with writing(complaint.order) as order:
        searches = FaultSearch.objects.filter(order=order)
        search = FaultSearch(
            order=order,
            position=place_after(searches),
            ref=new_ref(searches, "F"),
            complaint_ref=complaint.ref,
            started_by=by.signs_as,
            started_at=at,
            **posed.fields,
        )
        return keep(search, order, by=by, action="start search")


def pose_again(search: FaultSearch, *, by: Any, at: datetime, posed: Posed, why: str) -> FaultSearch:
    """Put the problem anew, from the map as it is or with two faults; every reading is heard again."""
    with writing(search.order) as order:
        running = _running(search)
        return amend(running, order, posed.fields, by=by, action="pose search again", reason=why)


def tell_search(search: FaultSearch, *, by: Any, at: datetime, told: Mapping[str, Any]) -> FaultSearch:
    """Keep what is said along the way: zones that stand open, tests that cannot be done."""
    with writing(search.order) as order:
        running = _running(search)
        changes: dict[str, Any] = {"told": {**running.told, **told}}
        return amend(running, order, changes, by=by, action="tell search")


def keep_route(search: FaultSearch, *, by: Any, at: datetime, name: str, tests: Sequence[str]) -> FaultSearch:
    """Keep a named route to compare with; one without tests is forgotten."""
    with writing(search.order) as order:
        running = _running(search)
        routes = {key: kept for key, kept in running.routes.items() if key != name}
        if tests:
            routes[name] = list(tests)
        return amend(running, order, {"routes": routes}, by=by, action="compare routes")


def take_reading(
    search: FaultSearch,
    *,
    by: Any,
    at: datetime,
    test: str,
    minutes: Decimal | None = None,
    access_minutes: Decimal | None = None,
    zones: Sequence[str] = (),
    **reading: Any,
) -> TestRun:
    """Record a test of the search as the ordinary test run that it is, and the minutes that it took."""
    with writing(search.order) as order:
        running = _running(search)
        run = record_test(order, by=by, at=at, complaint_ref=running.complaint_ref, phase="before", **reading)
        if minutes is not None or access_minutes is not None or zones:
            timing = SearchTiming(
                search=running,
                run_ref=run.ref,
                test=test,
                minutes=minutes,
                access_minutes=access_minutes,
                zones=list(zones),
            )
            keep(timing, order, by=by, action="time test of search")
    return run


def undo_reading(run: TestRun, *, by: Any, at: datetime, reason: str = "") -> TestRun:
    """Take a reading back: it stays on record, superseded by one that says not applicable, and why."""
    return supersede_test(
        run,
        by=by,
        at=at,
        reason=reason.strip() or PRESSED_BY_MISTAKE,
        status=TestRun.Status.NOT_APPLICABLE,
    )


def name_found(search: FaultSearch, *, by: Any, at: datetime, causes: Sequence[Named]) -> FaultSearch:
    """Name the cause that the search came to, with everything that follows from its readings.

    The cause with the failing readings that isolated it, each other suspect with what ruled it out, and where
    the other failing readings led, are one transaction. The search ends. Two faults at once are two causes.
    """
    for named in causes:
        if not named.evidence:
            raise ValidationError(
                f"No failing reading isolates {named.component} yet. Confirm it by one reading of its own.",
                code="not_confirmed",
            )
    with writing(search.order) as order:
        running = _running(search)
        complaint = Complaint.objects.get(order=order, ref=running.complaint_ref)
        for named in causes:
            _settle_suspects(complaint, by=by, at=at, named=named)
        refs = [_name(order, complaint, by=by, at=at, named=named) for named in causes]
        _note_readings(order, by=by, at=at, causes=causes, refs=refs)
    return FaultSearch.objects.get(pk=search.pk)


def _name(order: RepairOrder, complaint: Complaint, *, by: Any, at: datetime, named: Named) -> str:
    cause = name_cause(
        order,
        by=by,
        at=at,
        complaint_ref=complaint.ref,
        component=named.component,
        mode=named.mode,
        statement=named.statement,
        evidence=named.evidence,
    )
    return cause.ref


def stop_search(search: FaultSearch, *, by: Any, at: datetime, reason: str) -> FaultSearch:
    """End a search that did not find the fault, and say why."""
    if not reason.strip():
        raise ValidationError("Write why the search is stopped.", code="reason_missing")
    with writing(search.order) as order:
        running = _running(search)
        ended = {
            "end": FaultSearch.End.STOPPED,
            "end_reason": reason.strip(),
            "ended_by": by.signs_as,
            "ended_at": at,
        }
        return amend(running, order, ended, by=by, action="stop search", reason=reason.strip())


def _running(search: FaultSearch) -> FaultSearch:
    found = FaultSearch.objects.select_related("circuit_map").get(pk=search.pk)
    if not found.is_running:
        raise ValidationError(
            "This search has ended. Start another one to go on; it hears every reading of the complaint.",
            code="search_ended",
        )
    return found


def _settle_suspects(complaint: Complaint, *, by: Any, at: datetime, named: Named) -> None:
    """Write down every suspect of the search with what became of it; one that stands already is settled."""
    known = {suspect.component.strip(): suspect for suspect in complaint.suspects.all()}

    def written(component: str) -> Suspect:
        return known.get(component.strip()) or add_suspect(complaint, by=by, at=at, component=component)

    for component, evidence in named.cleared.items():
        settle_suspect(written(component), by=by, at=at, state=Suspect.State.RULED_OUT, evidence=evidence)
    for component in named.standing:
        written(component)
    confirmed = written(named.component)
    settle_suspect(confirmed, by=by, at=at, state=Suspect.State.CONFIRMED, evidence=named.evidence)


def _note_readings(
    order: RepairOrder, *, by: Any, at: datetime, causes: Sequence[Named], refs: Sequence[str]
) -> None:
    """Write at each failing reading that no cause cites where it led."""
    cited = {ref for named in causes for ref in named.evidence}
    noted = {ref: words for named in causes for ref, words in named.noted.items() if ref not in cited}
    led_to = " and ".join(f"{ref}, {named.component}" for ref, named in zip(refs, causes, strict=True))
    for run in TestRun.objects.filter(order=order, ref__in=noted, superseded_by__isnull=True):
        if not run.is_disposed:
            dispose_of_reading(run, by=by, at=at, reason=f"{noted[run.ref]} Cause {led_to}.")
