"""What is wrong with a drawn map, in words for the one who draws it."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import isfinite

from diagnostics.isolation.circuit.places import FITTED, KINDS, TOPOLOGIES, Circuit, Kind, Zone

LONGEST_ID = 40  # Ids of suspects and tests are made from it and may have 64 characters.
MOST_MINUTES = 1440.0

_ID = re.compile(r"[A-Za-z][A-Za-z0-9_.-]*")
KIND_WORDS: dict[str, str] = {
    "hub": "hub",
    "module": "unit",
    "source": "source",
    "fuse": "fuse",
    "splice": "splice",
    "switch": "switch",
    "connector": "connector",
    "load": "load",
    "ground": "ground",
    "tester_port": "test socket",
    "end_resistor": "end resistor",
}
BELONGS: dict[str, tuple[Kind, ...]] = {
    "bus": ("hub", "module", "splice", "connector", "tester_port", "end_resistor"),
    "feed": ("source", "fuse", "splice", "switch", "connector", "load", "module", "ground", "hub"),
    "draw": ("source", "fuse", "splice", "switch", "connector", "load", "module", "hub"),
}
TOPOLOGY_WORDS = {"bus": "data line", "feed": "feed", "draw": "standing draw"}


@dataclass(frozen=True, slots=True)
class Wrong:
    """One thing wrong with a map: the id it is about ("" for the whole map), and what to do."""

    where: str
    message: str


class CircuitError(ValueError):
    """A map that cannot be used yet; `faults` names everything that is wrong with it."""

    def __init__(self, faults: Iterable[Wrong]) -> None:
        self.faults = tuple(faults)
        super().__init__(" ".join(fault.message for fault in self.faults))


def check(circuit: Circuit) -> tuple[Wrong, ...]:
    """Return everything that is wrong with a map, empty when it can be used."""
    found = [*_of_ids(circuit), *_of_zones(circuit), *_of_places(circuit), *_of_wires(circuit)]
    if not found:
        found = [*_of_topology(circuit), *_of_lines(circuit)]
    if not found:
        found = list(_of_reach(circuit))
    return tuple(found)


def insist(circuit: Circuit) -> None:
    """Raise a CircuitError that names everything wrong with the map, if anything is."""
    faults = check(circuit)
    if faults:
        raise CircuitError(faults)


def _of_ids(circuit: Circuit) -> Iterator[Wrong]:
    zones = [zone.id for zone in circuit.zones]
    things = [place.id for place in circuit.places] + [wire.id for wire in circuit.wires]
    for id in dict.fromkeys(zones + things):
        if not _ID.fullmatch(id) or len(id) > LONGEST_ID:
            yield Wrong(
                id,
                f"'{id}' cannot be an id. Begin with a letter and use letters, digits, dot, dash and "
                f"underscore, at most {LONGEST_ID}.",
            )
    for group, what in ((zones, "zones"), (things, "places or wires")):
        for id, count in Counter(group).items():
            if count > 1:
                yield Wrong(id, f"The id '{id}' is used for {count} {what}. Give each its own.")


def _of_zones(circuit: Circuit) -> Iterator[Wrong]:
    for zone in circuit.zones:
        name = zone.label or zone.id
        if zone.inside and zone.inside not in circuit.zone_by_id:
            yield Wrong(zone.id, f"Zone '{name}' is inside '{zone.inside}', which is not a zone of this map.")
        elif _is_inside_itself(circuit, zone):
            yield Wrong(
                zone.id, f"Zone '{name}' is inside itself by a detour. Say which one is opened first."
            )
        for minutes in (zone.open_minutes, zone.close_minutes):
            if not isfinite(minutes) or not 0 <= minutes <= MOST_MINUTES:
                yield Wrong(zone.id, f"Zone '{name}' has {minutes:g} minutes. Give 0 to {MOST_MINUTES:g}.")


def _is_inside_itself(circuit: Circuit, zone: Zone) -> bool:
    seen: set[str] = set()
    current = zone.inside
    while current and current in circuit.zone_by_id and current not in seen:
        if current == zone.id:
            return True
        seen.add(current)
        current = circuit.zone_by_id[current].inside
    return False


def _of_places(circuit: Circuit) -> Iterator[Wrong]:
    if circuit.topology not in TOPOLOGIES:
        yield Wrong("", f"'{circuit.topology}' is no kind of circuit. Choose {', '.join(TOPOLOGIES)}.")
    if not circuit.places:
        yield Wrong("", "The map is empty. Draw at least two places and a wire between them.")
    for place in circuit.places:
        if place.kind not in KINDS:
            yield Wrong(place.id, f"'{place.name}' is of no known kind. Choose {', '.join(KINDS)}.")
        elif place.kind not in BELONGS.get(circuit.topology, KINDS):
            yield Wrong(
                place.id,
                f"'{place.name}' is a {KIND_WORDS[place.kind]}, which has no part in a "
                f"{TOPOLOGY_WORDS[circuit.topology]} map. Choose another kind or take it out.",
            )
        if place.fitted not in FITTED:
            yield Wrong(place.id, f"'{place.name}': fitted is one of {', '.join(FITTED)}.")
        if place.zone and place.zone not in circuit.zone_by_id:
            yield Wrong(place.id, f"'{place.name}' lies in zone '{place.zone}', which is not on this map.")


def _of_wires(circuit: Circuit) -> Iterator[Wrong]:
    pairs: set[frozenset[str]] = set()
    for wire in circuit.wires:
        name = wire.label or f"Wire '{wire.id}'"
        for end in (wire.start, wire.end):
            if end not in circuit.place_by_id:
                yield Wrong(wire.id, f"{name} ends at '{end}', which is not a place of this map.")
        if wire.start == wire.end:
            yield Wrong(
                wire.id, f"{name} begins and ends at '{circuit.name_of(wire.start)}'. Draw its other end."
            )
        if wire.zone and wire.zone not in circuit.zone_by_id:
            yield Wrong(wire.id, f"{name} lies in zone '{wire.zone}', which is not on this map.")
        pair = frozenset((wire.start, wire.end))
        if pair in pairs:
            start, end = circuit.name_of(wire.start), circuit.name_of(wire.end)
            yield Wrong(wire.id, f"Two wires join '{start}' and '{end}'. Keep one, or put a splice between.")
        pairs.add(pair)


def _of_topology(circuit: Circuit) -> Iterator[Wrong]:
    if circuit.topology == "bus":
        yield from _one(circuit, "tester_port", "Every reading is taken there.")
        yield from _some(circuit, ("module",), "a unit", "It is what talks on the line.")
        return
    yield from _one(circuit, "source", "The battery or the feed that everything hangs on.")
    yield from _some(circuit, ("load", "module"), "a load", "It is what takes the current.")
    if circuit.topology == "feed":
        yield from _some(
            circuit, ("ground",), "a ground", "Half of the faults of a feed lie on the way back."
        )
    if circuit.topology == "draw":
        yield from _some(
            circuit, ("fuse",), "a fuse", "A standing draw is searched by the drops over the fuses."
        )


def _one(circuit: Circuit, kind: Kind, why: str) -> Iterator[Wrong]:
    found = circuit.of_kind(kind)
    word = KIND_WORDS[kind]
    if not found:
        yield Wrong("", f"There is no {word} on the map. Draw one. {why}")
    if len(found) > 1:
        names = ", ".join(f"'{place.name}'" for place in found)
        yield Wrong(found[1].id, f"There is more than one {word}: {names}. Keep the one you work from.")


def _some(circuit: Circuit, kinds: tuple[Kind, ...], word: str, why: str) -> Iterator[Wrong]:
    if not circuit.of_kind(*kinds):
        yield Wrong("", f"There is not {word} on the map. Draw at least one. {why}")


def _of_lines(circuit: Circuit) -> Iterator[Wrong]:
    resistors = circuit.of_kind("end_resistor")
    if circuit.lines not in (1, 2) or (circuit.lines == 2 and circuit.topology != "bus"):
        yield Wrong(
            "", f"{circuit.lines} wires a line does not do. A data line has 1 or 2, other circuits 1."
        )
    elif circuit.lines == 2 and len(resistors) != 2:
        yield Wrong(
            "",
            f"A two-wire bus has an end resistor at each end; there are {len(resistors)} on the map. Where "
            "it sits inside a unit, draw it beside that unit.",
        )
    elif circuit.lines == 1 and resistors:
        yield Wrong(resistors[0].id, f"'{resistors[0].name}': end resistors belong to a two-wire bus.")


def _of_reach(circuit: Circuit) -> Iterator[Wrong]:
    """Every place must hang on the port or the source by some wire."""
    root = circuit.of_kind("tester_port", "source")[0]
    seen, ahead = {root.id}, [root.id]
    while ahead:
        for wire in circuit.wires_at[ahead.pop()]:
            for end in (wire.start, wire.end):
                if end not in seen:
                    seen.add(end)
                    ahead.append(end)
    for place in circuit.places:
        if place.id not in seen:
            yield Wrong(
                place.id, f"No wire leads from '{root.name}' to '{place.name}'. Draw it or take it out."
            )
