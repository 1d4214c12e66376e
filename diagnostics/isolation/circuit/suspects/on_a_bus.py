"""What can be wrong on a data line."""

from __future__ import annotations

from collections.abc import Iterator

from diagnostics.isolation.circuit.places import Circuit, Place, Wire
from diagnostics.isolation.circuit.suspects.suspect import Suspect, suspect


def suspects_of_bus(circuit: Circuit) -> Iterator[Suspect]:
    """Yield everything the map gives cause to suspect, whatever the symptom."""
    for place in circuit.places:
        yield from _of_place(circuit, place)
    for wire in circuit.wires:
        yield from _of_wire(circuit, wire)
    yield _socket(circuit)


def _of_place(circuit: Circuit, place: Place) -> Iterator[Suspect]:
    if place.kind == "module" and place.fitted != "no":
        yield from _of_unit(circuit, place)
    if place.kind in ("hub", "splice", "connector"):
        yield from _of_joint(place)
    if place.kind == "hub":
        yield _added(circuit, place)
    if place.kind == "end_resistor":
        yield suspect(
            "missing", place.id, f"{place.name} missing or open", "open", place.name, "missing or open"
        )


def _of_unit(circuit: Circuit, unit: Place) -> Iterator[Suspect]:
    name = unit.name
    pulls = "shorts the pair" if circuit.lines == 2 else "pulls the line down"
    yield suspect("pull", unit.id, f"{name} {pulls}", "pulls_bus", name, pulls)
    yield suspect("dead", unit.id, f"{name} does not work", "dead", name, "does not work")
    yield suspect(
        "unfed",
        unit.id,
        f"{name} lacks supply or ground",
        "unfed",
        f"supply and ground of the {name}",
        "supply or ground lost",
        group=f"feed_{unit.id}",
    )
    if unit.fitted == "assumed":
        yield suspect(
            "not_fitted",
            unit.id,
            f"{name} is not fitted to this vehicle",
            "not_fitted",
            name,
            "not fitted",
            group=f"absent_{unit.id}",
            claim=f"the {name} is fitted",
            is_static=True,
        )


def _of_joint(joint: Place) -> Iterator[Suspect]:
    """A wet hub pulls the line; a poor joint loses messages; a parted one cuts off what lies beyond."""
    name = joint.name
    yield suspect("wet", joint.id, f"{name} wet or corroded", "short_to_ground", name, "wet or corroded")
    yield suspect("poor", joint.id, f"poor contact in {name}", "high_resistance", name, "poor contact")
    if joint.kind != "hub":
        yield suspect("parted", joint.id, f"{name} parted", "open", name, "parted")


def _added(circuit: Circuit, hub: Place) -> Suspect:
    drawn = len(circuit.wires_at[hub.id])
    return suspect(
        "added",
        hub.id,
        f"a unit not on the drawing hangs on {hub.name}",
        "extra_unit",
        f"unit not on the drawing, at {hub.name}",
        "disturbs the line",
        group=f"added_{hub.id}",
        claim=f"{hub.name} carries only the {drawn} legs drawn",
    )


def _of_wire(circuit: Circuit, wire: Wire) -> Iterator[Suspect]:
    name = circuit.name_of(wire.id)
    yield suspect("chafe", wire.id, f"{name} chafed to ground", "short_to_ground", name, "chafed to ground")
    yield suspect("power", wire.id, f"{name} shorted to power", "short_to_power", name, "shorted to power")
    if circuit.lines == 2:
        label = f"{name}: its two wires touch"
        yield suspect("touch", wire.id, label, "pulls_bus", name, "two wires touch")
    yield suspect("open", wire.id, f"{name} open", "open", name, "open")
    yield suspect("resist", wire.id, f"high resistance in {name}", "high_resistance", name, "high resistance")


def _socket(circuit: Circuit) -> Suspect:
    """The belief that the socket shows what the line does (fault-isolation.md section 8)."""
    port = circuit.of_kind("tester_port")[0]
    leg = circuit.wires_at[port.id][0]
    return suspect(
        "socket",
        leg.id,
        f"{port.name} or the lead is at fault, the line itself is sound",
        "socket_lies",
        f"{port.name} and its lead",
        "does not show what the line does",
        group="socket",
        claim="what the socket shows is what the line does",
    )
