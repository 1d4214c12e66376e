"""The map as the `circuit` and `zones` of an isolation document, and back."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from diagnostics.isolation.circuit.places import Circuit, Kind, Place, Wire, Zone


def as_dict(circuit: Circuit) -> dict[str, Any]:
    """Return the `circuit` part of the document.

    The form has no kind for an end resistor; it is written as a load, which a data line cannot have
    otherwise. A bus with one therefore has two wires. So the map comes back as it was.
    """
    return {
        "topology": circuit.topology,
        "nodes": [_node(place) for place in circuit.places],
        "branches": [_branch(wire) for wire in circuit.wires],
    }


def zones_as_list(circuit: Circuit) -> list[dict[str, Any]]:
    """Return the `zones` part of the document."""
    return [_zone(zone) for zone in circuit.zones]


def from_dict(part: Mapping[str, Any], zones: Iterable[Mapping[str, Any]] = ()) -> Circuit:
    """Return the map that the `circuit` part and the `zones` of a document hold.

    Not checked beyond what the schema of the document says; ask `check`.
    """
    topology = part["topology"]
    places = tuple(_place(node, topology) for node in part["nodes"])
    has_ends = any(place.kind == "end_resistor" for place in places)
    return Circuit(
        topology=topology,
        places=places,
        wires=tuple(_wire(branch) for branch in part["branches"]),
        zones=tuple(_read_zone(zone) for zone in zones),
        lines=2 if has_ends else 1,
    )


def _node(place: Place) -> dict[str, Any]:
    node = {"id": place.id, "kind": "load" if place.kind == "end_resistor" else place.kind}
    node |= {key: value for key, value in (("label", place.label), ("zone", place.zone)) if value}
    return node | {"fitted": place.fitted}


def _place(node: Mapping[str, Any], topology: str) -> Place:
    kind: Kind = "end_resistor" if topology == "bus" and node["kind"] == "load" else node["kind"]
    fitted = node.get("fitted", "verified")
    return Place(node["id"], kind, node.get("label", ""), node.get("zone", ""), fitted)


def _branch(wire: Wire) -> dict[str, Any]:
    branch: dict[str, Any] = {"id": wire.id, "from": wire.start, "to": wire.end}
    branch |= {key: value for key, value in (("label", wire.label), ("zone", wire.zone)) if value}
    return branch | {"removable": wire.removable}


def _wire(branch: Mapping[str, Any]) -> Wire:
    return Wire(
        branch["id"],
        branch["from"],
        branch["to"],
        label=branch.get("label", ""),
        zone=branch.get("zone", ""),
        removable=branch.get("removable", False),
    )


def _zone(zone: Zone) -> dict[str, Any]:
    written: dict[str, Any] = {"id": zone.id, "label": zone.label or zone.id}
    if zone.inside:
        written["inside"] = zone.inside
    return written | {
        "open_minutes": zone.open_minutes,
        "close_minutes": zone.close_minutes,
        "already_open": zone.already_open,
    }


def _read_zone(zone: Mapping[str, Any]) -> Zone:
    return Zone(
        zone["id"],
        zone.get("label", ""),
        float(zone["open_minutes"]),
        float(zone.get("close_minutes", 0.0)),
        zone.get("inside", ""),
        zone.get("already_open", False),
    )
