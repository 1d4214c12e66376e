"""What can be wrong between a source, its loads and ground, and what can draw current at night."""

from __future__ import annotations

from collections.abc import Iterator

from diagnostics.isolation.circuit.places import Circuit, Place, Wire
from diagnostics.isolation.circuit.suspects.suspect import Suspect, suspect


def suspects_of_feed(circuit: Circuit) -> Iterator[Suspect]:
    """Yield everything that can keep a load from working."""
    for place in circuit.places:
        yield from _of_place(place)
    for wire in circuit.wires:
        yield from _of_wire(circuit, wire)


def _of_place(place: Place) -> Iterator[Suspect]:
    id, name = place.id, place.name
    match place.kind:
        case "source":
            yield suspect("nofeed", id, f"no supply at {name}", "open", name, "no supply")
        case "fuse":
            label = f"{name} blown, without a short that blew it"
            yield suspect("blown", id, label, "open", name, "blown", is_static=True)
            yield suspect(
                "contact",
                id,
                f"poor contact at {name}",
                "high_resistance",
                f"holder of {name}",
                "poor contact",
            )
        case "switch":
            yield suspect("stuck", id, f"{name} does not close", "open", name, "does not close")
            yield suspect("poor", id, f"burnt contact in {name}", "high_resistance", name, "burnt contact")
        case "hub" | "splice" | "connector":
            yield suspect("parted", id, f"{name} parted", "open", name, "parted")
            yield suspect("poor", id, f"poor contact in {name}", "high_resistance", name, "poor contact")
        case "ground":
            yield suspect("lost", id, f"{name} lost", "open", name, "ground lost")
            yield suspect("poor", id, f"{name} poor", "high_resistance", name, "poor ground")
        case "load" | "module" if place.fitted != "no":
            yield suspect("dead", id, f"{name} does not work", "dead", name, "does not work")
            if place.fitted == "assumed":
                yield not_fitted(place)


def not_fitted(place: Place) -> Suspect:
    """The belief that a load is there at all, turned false."""
    return suspect(
        "not_fitted",
        place.id,
        f"{place.name} is not fitted to this vehicle",
        "not_fitted",
        place.name,
        "not fitted",
        group=f"absent_{place.id}",
        claim=f"the {place.name} is fitted",
        is_static=True,
    )


def _of_wire(circuit: Circuit, wire: Wire) -> Iterator[Suspect]:
    name = circuit.name_of(wire.id)
    yield suspect("open", wire.id, f"{name} open", "open", name, "open")
    yield suspect("resist", wire.id, f"high resistance in {name}", "high_resistance", name, "high resistance")
    label = f"{name} chafed to ground"
    yield suspect("chafe", wire.id, label, "short_to_ground", name, "chafed to ground")


def suspects_of_draw(circuit: Circuit) -> Iterator[Suspect]:
    """Yield everything that can take current while the vehicle should sleep."""
    for place in circuit.places:
        id, name = place.id, place.name
        match place.kind:
            case "module" if place.fitted != "no":
                yield suspect("awake", id, f"{name} never sleeps", "draw", name, "does not go to sleep")
            case "load" if place.fitted != "no":
                yield suspect("left_on", id, f"{name} stays on", "draw", name, "stays on")
            case "switch":
                yield suspect("left_on", id, f"contact of {name} sticks", "draw", name, "contact sticks")
            case "hub" | "splice" | "connector":
                yield suspect("leak", id, f"{name} wet, leaks current", "draw", name, "wet, leaks current")
            case "fuse":
                yield _added(place)


def _added(fuse: Place) -> Suspect:
    return suspect(
        "added",
        fuse.id,
        f"something not drawn, or the wiring itself, draws on {fuse.name}",
        "extra_unit",
        f"consumer not on the drawing, on {fuse.name}",
        "draws current at rest",
        group=f"added_{fuse.id}",
        claim=f"{fuse.name} feeds only what is drawn",
    )
