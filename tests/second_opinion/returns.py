"""Which visit is a comeback from which, a second time (section 9 of the practice text)."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from tests.second_opinion.moments import Placed, in_order, is_blank, read, same, zone_of
from tests.second_opinion.quantities import kilometres

Entry = dict[str, Any]

LEVELS = "SWYPN"  # strongest first
WINDOW_DAYS = 90  # policy
WINDOW_KM = 6000  # policy
INDEX_OUTCOMES = frozenset({"repaired", "no_fault_found", "monitor"})
REASON_OF_LEVEL = {"S": "same_complaint", "W": "same_work", "Y": "same_system", "P": "possibly_related"}
REASON_OF_EXCLUSION = {
    "X2": "planned_return",
    "X1": "declined_work",
    "X3": "outside_damage",
    "X4": "other_work",
}
_NEIGHBOURS = """
    cooling-hvac cooling-engine_mechanical charging-battery fuel-ignition fuel-intake_air ignition-intake_air
    brakes_hydraulic-brakes_friction steering-suspension suspension-tyres_wheels steering-tyres_wheels
    transmission-driveline intake_air-exhaust lubrication-engine_mechanical body_water-body_closures
"""  # policy
ADJACENT = frozenset(frozenset(pair.split("-")) for pair in _NEIGHBOURS.split())


@dataclass(frozen=True, slots=True)
class Visit:
    """One order with its dates in its own shop's calendar."""

    order: Entry
    location: Entry
    opened: date
    returned: date | None

    @property
    def symptoms(self) -> list[Entry]:
        return [complaint for complaint in self.order["complaints"] if complaint["kind"] == "symptom"]

    @property
    def is_index(self) -> bool:
        return self.returned is not None and self.order.get("outcome") in INDEX_OUTCOMES

    def day(self, text: str) -> date:
        return read(text, zone_of(self.location)).day

    def causes_of(self, complaint: Entry) -> list[Entry]:
        return [cause for cause in self.order.get("causes", ()) if cause["complaint"] == complaint["id"]]

    def km(self, key: str) -> Decimal | None:
        return kilometres(self.order.get(key), self.order.get("odo_unit"))

    def has_work_on(self, complaint: Entry | None) -> bool:
        """Work without a complaint of the order belongs to that of its linked cause."""
        complaints = {entry["id"] for entry in self.order["complaints"]}
        causes = {entry["id"]: entry["complaint"] for entry in self.order.get("causes", ())}
        belongs = {
            work.get("complaint") if work.get("complaint") in complaints else causes.get(work.get("cause"))
            for work in self.order.get("work", ())
        }
        return complaint is not None and complaint["id"] in belongs


def in_sequence(orders: list[Entry], locations: dict[str, Entry]) -> list[Entry]:
    """One vehicle's orders. Reading: their order is the order in which they were opened."""
    placed = [
        Placed(read(order["opened"], zone_of(locations.get(order.get("location") or "", {}))), place, order)
        for place, order in enumerate(orders)
    ]
    return [item.entry for item in in_order(placed)]


def _visit(order: Entry, locations: dict[str, Entry]) -> Visit:
    location = locations.get(order.get("location") or "", {})
    zone = zone_of(location)
    returned = order.get("returned")
    return Visit(
        order,
        location,
        read(order["opened"], zone).day,
        None if returned is None else read(returned, zone).day,
    )


def level_of_complaint(index: Visit, later: Visit, complaint: Entry) -> str:
    """S, W, Y, P or N for one symptom complaint of the later order."""
    system, symptom = complaint.get("system"), complaint.get("symptom")
    if any(same(system, c.get("system")) and same(symptom, c.get("symptom")) for c in index.symptoms):
        return "S"
    causes = later.causes_of(complaint)
    located = [cause["component"] for cause in causes] if causes else [complaint.get("component")]
    touched = [work["component"] for work in index.order.get("work", ())] + index.order.get("disturbed", [])
    if any(same(component, other) for component in located for other in touched):
        return "W"
    systems = [c.get("system") for c in index.order["complaints"]]
    if any(same(system, other) for other in systems):
        return "Y"
    linked = later.order.get("since_repair", False)
    return "P" if linked or any(frozenset((system, other)) in ADJACENT for other in systems) else "N"


def strongest(index: Visit, later: Visit) -> tuple[str, Entry | None]:
    """The strongest level over the later order's symptom complaints, and the first complaint that gave it."""
    levels = [(level_of_complaint(index, later, complaint), complaint) for complaint in later.symptoms]
    return min(levels, key=lambda pair: LEVELS.index(pair[0]), default=("N", None))


def window(index: Visit, days: int | None, km: Decimal | None) -> str:
    """Reading: with the index order still open no window has begun, and what has not begun holds nothing."""
    if days is None or not 0 <= days <= index.location.get("window_days", WINDOW_DAYS):
        return "false"
    if km is None:
        return "unknown"
    if km < 0:
        return "conflict"
    return "true" if km <= Decimal(str(index.location.get("window_km", WINDOW_KM))) else "false"


def claims(index: Visit, later: Visit, complaint: Entry) -> Iterator[tuple[str, bool]]:
    """Each exclusion whose condition holds, and whether its evidence is on file."""
    if later.order.get("visit", "symptom") == "planned":
        yield "X2", _has_entry(index, later)
    system = complaint.get("system")
    components = [cause["component"] for cause in later.causes_of(complaint)]
    for item in index.order.get("declined", ()):
        is_same_fault = same(item.get("symptom"), complaint.get("symptom")) or any(
            same(item["component"], component) for component in components
        )
        if same(item.get("system"), system) and is_same_fault:
            yield "X1", item.get("informed_on") is not None
    for name, kind in (("X3", "damage"), ("X4", "other_work")):
        for event in later.order.get("outside_events", ()):
            if event["kind"] == kind and same(event["system"], system) and _is_between(index, later, event):
                yield name, not is_blank(event.get("evidence"))


def _has_entry(index: Visit, later: Visit) -> bool:
    return index.returned is not None and any(
        entry["id"] == later.order.get("planned_ref") and index.day(entry["recorded_on"]) <= index.returned
        for entry in index.order.get("planned_return", ())
    )


def _is_between(index: Visit, later: Visit, event: Entry) -> bool:
    return index.returned is not None and index.returned <= later.day(event["on"]) <= later.opened


def verdict(
    index: Visit, later: Visit, level: str, complaint: Entry | None, in_window: str
) -> tuple[str, str, str | None]:
    """Verdict, reason and exclusion; the first that matches wins."""
    if not index.is_index:
        return "not_candidate", "index_not_eligible", None
    if complaint is None:
        return "not_candidate", "no_symptom_complaint", None
    if level == "N":
        return "not_candidate", "unrelated", None
    if in_window == "false":
        return "not_candidate", "outside_window", None
    found = list(claims(index, later, complaint))
    for name in REASON_OF_EXCLUSION:
        if (name, True) in found:
            return "excluded", REASON_OF_EXCLUSION[name], name
    for name in REASON_OF_EXCLUSION:
        if (name, False) in found:
            return "needs_review", f"exclusion_without_evidence:{name}", None
    if in_window != "true":
        return "needs_review", "distance_unknown" if in_window == "unknown" else "odometer_conflict", None
    return "comeback" if level in "SW" else "needs_review", REASON_OF_LEVEL[level], None


def _pair(index: Visit, later: Visit) -> tuple[Entry, bool]:
    """One line, and whether the later order takes over from the index order."""
    level, complaint = strongest(index, later)
    days = None if index.returned is None else (later.opened - index.returned).days
    odo_in, odo_out = later.km("odo_in"), index.km("odo_out")
    km = None if odo_in is None or odo_out is None else odo_in - odo_out
    in_window = window(index, days, km)
    word, reason, exclusion = verdict(index, later, level, complaint, in_window)
    line = {
        "index_order": index.order["id"],
        "return_order": later.order["id"],
        "counts": False,
        "level": level,
        "days": days,
        "km": km,
        "in_window": in_window,
        "exclusion": exclusion,
        "verdict": word,
        "reason": reason,
    }
    return line, exclusion == "X2" and later.has_work_on(complaint)


def pairs(
    orders_of_one_vehicle: list[Entry], locations: dict[str, Entry], as_of: date | None = None
) -> list[Entry]:
    """One line per pair (earlier, later) of one vehicle's orders, by the later and then the earlier order.

    Reading: with `as_of`, orders opened after that day are not there yet; the others stand as they are now.
    Reading: an index order whose planned return took over is out for every later return, even if the order
    that took over cannot be come back from; "the latest" index order is the one opened last.
    """
    visits = [_visit(order, locations) for order in in_sequence(orders_of_one_vehicle, locations)]
    visits = [visit for visit in visits if as_of is None or visit.opened <= as_of]
    lines: list[Entry] = []
    replaced: set[int] = set()
    for place, later in enumerate(visits):
        found = [_pair(index, later) for index in visits[:place]]
        open_to = [
            (LEVELS.index(line["level"]), -position, line)
            for position, (line, _) in enumerate(found)
            if line["verdict"] != "not_candidate" and position not in replaced
        ]
        if open_to:
            min(open_to, key=lambda item: item[:2])[2]["counts"] = True
        replaced.update(position for position, (_, takes_over) in enumerate(found) if takes_over)
        lines.extend(line for line, _ in found)
    return lines
