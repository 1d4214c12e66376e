"""The drawn map of a circuit: access zones, places, and the wires between them."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal, get_args

Topology = Literal["bus", "feed", "draw"]
Kind = Literal[
    "hub",
    "module",
    "source",
    "fuse",
    "splice",
    "switch",
    "connector",
    "load",
    "ground",
    "tester_port",
    "end_resistor",
]
Fitted = Literal["verified", "assumed", "no"]

TOPOLOGIES: tuple[Topology, ...] = get_args(Topology)
KINDS: tuple[Kind, ...] = get_args(Kind)
FITTED: tuple[Fitted, ...] = get_args(Fitted)
JOINTS: tuple[Kind, ...] = ("hub", "splice", "connector")


@dataclass(frozen=True, slots=True)
class Zone:
    """One thing to open before a place can be reached, with the minutes it costs, refit included.

    `inside` names the zone that must be open first.
    """

    id: str
    label: str = ""
    open_minutes: float = 0.0
    close_minutes: float = 0.0
    inside: str = ""
    already_open: bool = False


@dataclass(frozen=True, slots=True)
class Place:
    """One place of the circuit. `fitted` says whether somebody has seen that it is there at all."""

    id: str
    kind: Kind
    label: str = ""
    zone: str = ""
    fitted: Fitted = "verified"

    @property
    def name(self) -> str:
        return self.label or self.id


@dataclass(frozen=True, slots=True)
class Wire:
    """One stretch of wire between two places. Parting it opens its `start` end."""

    id: str
    start: str
    end: str
    label: str = ""
    zone: str = ""
    removable: bool = False


@dataclass(frozen=True)
class Circuit:
    """A whole map. `lines` is 2 for a two-wire bus, else 1.

    Nothing is checked here, so that a half-drawn map can be held: ask `check`.
    """

    topology: Topology
    places: tuple[Place, ...] = ()
    wires: tuple[Wire, ...] = ()
    zones: tuple[Zone, ...] = field(default=())
    lines: int = 1

    @cached_property
    def place_by_id(self) -> dict[str, Place]:
        return {place.id: place for place in self.places}

    @cached_property
    def wire_by_id(self) -> dict[str, Wire]:
        return {wire.id: wire for wire in self.wires}

    @cached_property
    def zone_by_id(self) -> dict[str, Zone]:
        return {zone.id: zone for zone in self.zones}

    @cached_property
    def wires_at(self) -> dict[str, tuple[Wire, ...]]:
        """The wires that touch each place, in the order drawn."""
        found: dict[str, list[Wire]] = {place.id: [] for place in self.places}
        for wire in self.wires:
            for end in dict.fromkeys((wire.start, wire.end)):
                found.setdefault(end, []).append(wire)
        return {place: tuple(wires) for place, wires in found.items()}

    def of_kind(self, *kinds: Kind) -> tuple[Place, ...]:
        return tuple(place for place in self.places if place.kind in kinds)

    def name_of(self, id: str) -> str:
        """Return what a technician calls a place or a wire: "door unit", "wire to the door unit"."""
        if id in self.place_by_id:
            return self.place_by_id[id].name
        wire = self.wire_by_id.get(id)
        return _wire_name(self, wire) if wire else id


def _wire_name(circuit: Circuit, wire: Wire) -> str:
    if wire.label:
        return wire.label
    ends = [circuit.place_by_id[id] for id in (wire.end, wire.start) if id in circuit.place_by_id]
    for end in ends:
        if end.kind in ("module", "tester_port"):
            return f"wire to the {end.name}"
    return f"wire from {circuit.name_of(wire.start)} to {circuit.name_of(wire.end)}"
