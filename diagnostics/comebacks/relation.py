"""How a later complaint is related to an earlier order: the levels S, W, Y, P and N."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from diagnostics.judging import is_blank
from diagnostics.snapshot import Complaint, Order

Level = Literal["S", "W", "Y", "P", "N"]

LEVELS: tuple[Level, ...] = ("S", "W", "Y", "P", "N")  # Strongest first.

# Policy: pairs of systems whose faults show as each other's. practice.md section 9.
ADJACENT_SYSTEMS = frozenset(
    frozenset(pair)
    for pair in (
        ("cooling", "hvac"),
        ("cooling", "engine_mechanical"),
        ("charging", "battery"),
        ("fuel", "ignition"),
        ("fuel", "intake_air"),
        ("ignition", "intake_air"),
        ("brakes_hydraulic", "brakes_friction"),
        ("steering", "suspension"),
        ("suspension", "tyres_wheels"),
        ("steering", "tyres_wheels"),
        ("transmission", "driveline"),
        ("intake_air", "exhaust"),
        ("lubrication", "engine_mechanical"),
        ("body_water", "body_closures"),
    )
)
NEIGHBOURS = {
    system: tuple(near for pair in ADJACENT_SYSTEMS if system in pair for near in pair - {system})
    for system in frozenset().union(*ADJACENT_SYSTEMS)
}


@dataclass(frozen=True, slots=True)
class Traces:
    """What one order leaves on the vehicle, for later complaints to be compared with. No blanks inside."""

    symptoms: frozenset[tuple[str, str]]  # system and symptom code of symptom complaints
    systems: frozenset[str]  # of complaints of any kind
    near_systems: frozenset[str]  # adjacent to one of `systems`
    components: frozenset[str]  # worked on, or disturbed for access


@dataclass(frozen=True, slots=True)
class Report:
    """One symptom complaint as it comes in, with the components found for it. No blanks among these."""

    complaint: str
    system: str
    symptom: str
    cause_components: frozenset[str]
    components: frozenset[str]  # of its causes; of the complaint itself while no cause is recorded


@dataclass(frozen=True, slots=True)
class Relation:
    """The strongest level, and the report that gave it; None where nothing is related."""

    level: Level
    report: Report | None = None


def traces_of(order: Order) -> Traces:
    """Return what `order` leaves behind, each list without its blanks."""
    systems = _written(complaint.system for complaint in order.complaints)
    return Traces(
        symptoms=frozenset(
            (complaint.system.strip(), complaint.symptom.strip())
            for complaint in order.complaints
            if complaint.kind == "symptom"
            and not is_blank(complaint.system)
            and not is_blank(complaint.symptom)
        ),
        systems=systems,
        near_systems=frozenset(near for system in systems for near in NEIGHBOURS.get(system, ())),
        components=_written((*(item.component for item in order.work), *order.disturbed)),
    )


def reports_of(order: Order) -> tuple[Report, ...]:
    """Return the symptom complaints of `order`, in the order on the record."""
    return tuple(_report(complaint, order) for complaint in order.complaints if complaint.kind == "symptom")


def relation(earlier: Traces, reports: Sequence[Report], *, since_repair: bool) -> Relation:
    """Return the strongest relation of a visit to an earlier order.

    Parameters
    ----------
    earlier : Traces
        What the earlier order left.
    reports : sequence of Report
        The later visit's symptom complaints; without one the level is N.
    since_repair : bool
        The customer or a person here links the later visit to a repair.

    Returns
    -------
    Relation
        On a tie the first report gave the level. At N no report did.

    References
    ----------
    .. [1] practice.md section 9, level of relation.
    """
    strongest = Relation("N")
    for report in reports:
        level = _level(earlier, report, since_repair)
        if LEVELS.index(level) < LEVELS.index(strongest.level):
            strongest = Relation(level, report)
    return strongest


def _level(earlier: Traces, report: Report, since_repair: bool) -> Level:
    if (report.system, report.symptom) in earlier.symptoms:
        return "S"
    if report.components & earlier.components:
        return "W"
    if report.system in earlier.systems:
        return "Y"
    if since_repair or report.system in earlier.near_systems:
        return "P"
    return "N"


def _report(complaint: Complaint, order: Order) -> Report:
    causes = [cause.component for cause in order.causes if cause.complaint == complaint.id]
    return Report(
        complaint=complaint.id,
        system=complaint.system.strip(),
        symptom=complaint.symptom.strip(),
        cause_components=_written(causes),
        # A recorded cause without a component equals nothing; it does not bring the located component back.
        components=_written(causes or [complaint.component]),
    )


def _written(texts: Iterable[str]) -> frozenset[str]:
    return frozenset(text.strip() for text in texts if not is_blank(text))
