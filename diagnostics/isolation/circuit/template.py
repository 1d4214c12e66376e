"""Maps of the usual shapes from a pasted list of names."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from itertools import pairwise
from typing import Literal, get_args

from diagnostics.isolation.circuit.checking import CircuitError, Wrong
from diagnostics.isolation.circuit.names import (
    Named,
    lines_of,
    number,
    read_groups,
    read_name,
    read_names,
    refuse_count,
    slug,
    unused,
)
from diagnostics.isolation.circuit.places import Circuit, Kind, Place, Topology, Wire, Zone

Shape = Literal["single_star", "joined_stars", "two_wire", "feed_chain", "supply_tree"]
SHAPES: tuple[Shape, ...] = get_args(Shape)

SOCKET = Named("test socket", Zone("socket", "test socket", 0.0, 0.0, already_open=True))
_KIND_WORDS: tuple[tuple[Kind, str], ...] = (
    ("fuse", r"\bfuse\b|^f\d+\b"),
    ("source", r"\bbattery\b|\bsource\b"),
    ("switch", r"\bswitch\b|\brelay\b|^[sk]\d+\b"),
    ("splice", r"\bsplice\b"),
    ("ground", r"\bground\b|\bearth\b|^g\d+\b"),
    ("connector", r"\bconnector\b|\bplug\b|\bcoupling\b|^[cx]\d+\b"),
)
_UNIT = re.compile(r"\b(unit|module|computer|radio|controller|amplifier|alarm)\b", re.IGNORECASE)
_SOCKET = re.compile(r"\b(test|diagnostic) (socket|connector|port)\b", re.IGNORECASE)


def template(shape: str, names: str | Iterable[str]) -> Circuit:
    """Return a map of one of the usual shapes.

    Parameters
    ----------
    shape : str
        One of `SHAPES`: a star on one hub; stars joined by bridges (a heading ending with ':' or a blank
        line begins the next hub); a two-wire line with an end resistor at both ends, names in order along it;
        a feed from fuse to ground, names in order; a supply with fuses, "F14: trailer unit, rear wash".
    names : str or lines
        One name a line. "name ?" is assumed to be fitted, not seen. "name @ side locker 10+8" lies in a zone
        of 10 minutes to open and 8 to refit.

    Raises
    ------
    CircuitError
        Where the list is empty, too long, or does not make the shape.
    """
    makers: dict[str, Callable[[str | list[str]], Circuit]] = {
        "single_star": _single_star,
        "joined_stars": _joined_stars,
        "two_wire": _two_wire,
        "feed_chain": _feed_chain,
        "supply_tree": _supply_tree,
    }
    if shape not in makers:
        raise CircuitError([Wrong("", f"'{shape}' is no shape. Choose {', '.join(SHAPES)}.")])
    return makers[shape](names if isinstance(names, str) else list(names))


class _Sheet:
    """A map while it is being drawn."""

    def __init__(self) -> None:
        self.places: list[Place] = []
        self.wires: list[Wire] = []
        self.zones: dict[str, Zone] = {}

    def put(self, kind: Kind, named: Named) -> str:
        """Add a place and return its id."""
        id = unused(slug(named.name, kind[0]), [*(place.id for place in self.places), *self._wire_ids()])
        zone = self._zone(named.zone)
        self.places.append(Place(id, kind, named.name, zone, "assumed" if named.is_assumed else "verified"))
        return id

    def _wire_ids(self) -> list[str]:
        return [wire.id for wire in self.wires]

    def _zone(self, zone: Zone | None) -> str:
        if zone is None:
            return ""
        known = self.zones.get(zone.id)
        if known is None or (not known.open_minutes and not known.close_minutes):
            self.zones[zone.id] = zone
        return zone.id

    def join(self, start: str, end: str, *, label: str = "", removable: bool = True) -> None:
        id = unused(f"w{len(self.wires) + 1}", [*self._wire_ids(), *(place.id for place in self.places)])
        self.wires.append(Wire(id, start, end, label=label, removable=removable))

    def circuit(self, topology: Topology, lines: int = 1) -> Circuit:
        return Circuit(topology, tuple(self.places), tuple(self.wires), tuple(self.zones.values()), lines)


def _single_star(names: str | list[str]) -> Circuit:
    sheet = _Sheet()
    hub = sheet.put("hub", Named("hub"))
    sheet.join(hub, sheet.put("tester_port", SOCKET), label="socket leg")
    for named in read_names(names):
        sheet.join(hub, sheet.put("module", named))
    return sheet.circuit("bus")


def _joined_stars(names: str | list[str]) -> Circuit:
    groups = [group for group in read_groups(names) if group.names]
    if len(groups) < 2:
        message = (
            "Joined stars need two groups of names. Put a blank line, or a heading such as 'hub B:', between."
        )
        raise CircuitError([Wrong("", message)])
    sheet = _Sheet()
    last = ""
    for letter, group in zip("ABCDEFGHIJKLMNOPQRSTUVWXYZ", groups, strict=False):
        hub = sheet.put("hub", read_name(group.heading) if group.heading else Named(f"hub {letter}"))
        if last:
            sheet.join(last, hub, label=f"bridge to {sheet.places[-1].name}")
        else:
            sheet.join(hub, sheet.put("tester_port", SOCKET), label="socket leg")
        for named in group.names:
            sheet.join(hub, sheet.put("module", named))
        last = hub
    return sheet.circuit("bus")


def _two_wire(names: str | list[str]) -> Circuit:
    """A trunk of splices with a stub to each unit; the socket hangs on the first splice if not named."""
    listed = list(read_names(names))
    if len(listed) < 2:
        raise CircuitError([Wrong("", "A two-wire line needs at least two units, in order along the line.")])
    sheet = _Sheet()
    last = sheet.put("end_resistor", Named(f"end resistor at the {listed[0].name}"))
    for position, named in enumerate(listed, start=1):
        splice = sheet.put("splice", Named(f"splice {position}", named.zone))
        sheet.join(
            last, splice, label="" if position == 1 else f"line from splice {position - 1} to {position}"
        )
        is_socket = bool(_SOCKET.search(named.name))
        sheet.join(splice, sheet.put("tester_port" if is_socket else "module", named))
        last = splice
    sheet.join(last, sheet.put("end_resistor", Named(f"end resistor at the {listed[-1].name}")))
    if not any(place.kind == "tester_port" for place in sheet.places):
        first = next(place.id for place in sheet.places if place.kind == "splice")
        sheet.join(first, sheet.put("tester_port", SOCKET), label="socket leg")
    return sheet.circuit("bus", lines=2)


def kind_by_name(name: str) -> Kind | None:
    """Return the kind that a name of a feed says: 'F12', 'door plug', 'ground at the left pillar'."""
    for kind, words in _KIND_WORDS:
        if re.search(words, name, re.IGNORECASE):
            return kind
    return None


def _feed_chain(names: str | list[str]) -> Circuit:
    listed = [(kind_by_name(named.name), named) for named in read_names(names)]
    unknown = [position for position, (kind, _) in enumerate(listed) if kind is None]
    if not unknown:
        message = (
            "No load is named. Write what the feed is for, for example 'rear wiper motor', before the ground."
        )
        raise CircuitError([Wrong("", message)])
    chain: list[tuple[Kind, Named]] = []
    for position, (kind, named) in enumerate(listed):
        chain.append((kind or ("load" if position == unknown[-1] else "connector"), named))
    if not any(kind == "source" for kind, _ in chain):
        chain.insert(0, ("source", Named("battery")))
    if not any(kind == "ground" for kind, _ in chain):
        chain.append(("ground", Named("ground")))
    sheet = _Sheet()
    ids = [sheet.put(kind, named) for kind, named in chain]
    for start, end in pairwise(ids):
        sheet.join(start, end, removable=False)
    return sheet.circuit("feed")


def _supply_tree(names: str | list[str]) -> Circuit:
    branches = _branches(lines_of(names))
    refuse_count(sum(len(loads) for _, loads in branches))
    sheet = _Sheet()
    source = sheet.put("source", Named("battery"))
    counts: dict[str, int] = {}
    for fuse, loads in branches:
        at = sheet.put("fuse", number(read_name(fuse), counts))
        sheet.join(source, at, removable=False)
        for load in loads:
            named = number(read_name(load), counts)
            sheet.join(
                at, sheet.put("module" if _UNIT.search(named.name) else "load", named), removable=False
            )
    return sheet.circuit("draw")


def _branches(lines: list[str]) -> list[tuple[str, list[str]]]:
    """Return each fuse with what hangs on it: on its line after the colon, or on the lines below."""
    found: list[tuple[str, list[str]]] = []
    for line in filter(None, lines):
        fuse, colon, loads = (part.strip() for part in line.partition(":"))
        if colon and not fuse:
            raise CircuitError([Wrong("", f"'{line}' names no fuse. Write 'F14: trailer unit, rear wash'.")])
        if colon:
            found.append((fuse, [load for load in re.split(r"\s*[,;]\s*", loads) if load]))
        elif found:
            found[-1][1].append(line)
        else:
            message = f"'{line}' stands under no fuse. Write the fuse first: 'F14: trailer unit, rear wash'."
            raise CircuitError([Wrong("", message)])
    for fuse, hanging in found:
        if not hanging:
            raise CircuitError(
                [Wrong("", f"Nothing is named under '{fuse}'. Write what hangs on it after the colon.")]
            )
    return found
