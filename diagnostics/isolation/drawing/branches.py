"""What hangs on what: a map as a forest of branches, and the wires that close a loop.

Every place is met once, on one way from where its circuit is held: the supply of a feed, an end of a two-wire
line, the first hub of a star. A wire that would meet a place a second time is a loop: an extra link.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from diagnostics.isolation.circuit import Circuit, Place, Wire

# A line runs on through these, whatever hangs beside them.
_BACKBONE = {"end_resistor": 1_000_000, "hub": 1_000}


@dataclass(slots=True)
class Branch:
    """One place, the wire it hangs on (None for a root), and the branches that hang on it."""

    place: Place
    wire: Wire | None = None
    children: list[Branch] = field(default_factory=list)
    weight: int = 0
    depth: int = 0

    @property
    def is_leaf(self) -> bool:
        return not self.children

    def walk(self) -> Iterator[Branch]:
        """This branch and all below it, as they were met."""
        yield self
        for child in self.children:
            yield from child.walk()


@dataclass(frozen=True, slots=True)
class Forest:
    """The roots of a map, and the wires that close loops, each from the place met first."""

    roots: tuple[Branch, ...]
    loops: tuple[Wire, ...]


def grow(circuit: Circuit) -> Forest:
    """Return a map as branches. Wires that end at no place of the map are left out."""
    met: set[str] = set()
    used: set[str] = set()
    roots: list[Branch] = []
    for start in _starts(circuit):
        if start.id not in met:
            root = _grow_from(circuit, start, met, used)
            _weigh(circuit, root)
            roots.append(root)
    known = circuit.place_by_id
    loops = tuple(
        wire
        for wire in circuit.wires
        if wire.id not in used and wire.start in known and wire.end in known and wire.start != wire.end
    )
    return Forest(tuple(roots), loops)


def _starts(circuit: Circuit) -> list[Place]:
    """The places in the order in which they may hold a part of the map."""
    if circuit.topology != "bus":
        fed = {wire.end for wire in circuit.wires}
        return sorted(circuit.places, key=lambda place: (place.kind != "source", place.id in fed))
    ends, hubs = circuit.of_kind("end_resistor"), circuit.of_kind("hub")
    first = [*ends[:1], *([_end_of_spine(circuit, hubs)] if hubs else [])]
    order = {place.id: number for number, place in enumerate(first)}
    return sorted(circuit.places, key=lambda place: order.get(place.id, len(order)))


def _end_of_spine(circuit: Circuit, hubs: tuple[Place, ...]) -> Place:
    """One of the two hubs farthest from each other, the one drawn first."""
    one = _farthest(circuit, hubs[0])
    return min(one, _farthest(circuit, one), key=hubs.index)


def _farthest(circuit: Circuit, hub: Place) -> Place:
    steps, ahead, last = {hub.id: 0}, [hub.id], hub
    for id in ahead:
        for other in _neighbours(circuit, id):
            if other.id not in steps:
                steps[other.id] = steps[id] + (other.kind == "hub")
                ahead.append(other.id)
                if other.kind == "hub" and steps[other.id] > steps[last.id]:
                    last = other
    return last


def _neighbours(circuit: Circuit, id: str) -> Iterator[Place]:
    for wire in circuit.wires_at[id]:
        other = circuit.place_by_id.get(_other_end(wire, id))
        if other is not None:
            yield other


def _other_end(wire: Wire, id: str) -> str:
    return wire.end if wire.start == id else wire.start


_RUNS_FIRST = ("hub", "splice", "connector", "end_resistor")


def _grow_from(circuit: Circuit, start: Place, met: set[str], used: set[str]) -> Branch:
    """Follow joints first, as far as they lead: a ring of hubs becomes a spine with one extra link."""
    root = Branch(start)
    met.add(start.id)
    ahead = [(root, iter(_by_rank(circuit, start.id)))]
    while ahead:
        branch, wires = ahead[-1]
        wire = next(wires, None)
        if wire is None:
            ahead.pop()
            order = [one.id for one in circuit.wires_at[branch.place.id]]
            branch.children.sort(key=lambda child: order.index(child.wire.id) if child.wire else 0)
            continue
        found = _claim(circuit, branch, wire, met, used)
        if found is not None and found.place.kind not in _RUNS_FIRST:
            # All that hangs here is taken before any of it is followed, so that two units with a link between
            # them both hang on their hub.
            rest = [_claim(circuit, branch, other, met, used) for other in wires]
            ahead += [(one, iter(_by_rank(circuit, one.place.id))) for one in reversed(rest) if one]
        if found is not None:
            ahead.append((found, iter(_by_rank(circuit, found.place.id))))
    return root


def _claim(circuit: Circuit, branch: Branch, wire: Wire, met: set[str], used: set[str]) -> Branch | None:
    """Hang the other end of a wire on a branch, unless it was met before."""
    other = circuit.place_by_id.get(_other_end(wire, branch.place.id))
    if other is None or other.id in met:
        return None
    met.add(other.id)
    used.add(wire.id)
    child = Branch(other, wire)
    branch.children.append(child)
    return child


def _by_rank(circuit: Circuit, id: str) -> list[Wire]:
    def rank(wire: Wire) -> int:
        other = circuit.place_by_id.get(_other_end(wire, id))
        kind = other.kind if other else ""
        return _RUNS_FIRST.index(kind) if kind in _RUNS_FIRST else len(_RUNS_FIRST)

    return sorted(circuit.wires_at[id], key=rank)


def _weigh(circuit: Circuit, root: Branch) -> None:
    for branch in reversed(list(_by_level(root))):
        own = _BACKBONE.get(branch.place.kind, 1) if circuit.topology == "bus" else 1
        branch.weight = own + sum(child.weight for child in branch.children)
        branch.depth = 1 + max((child.depth for child in branch.children), default=0)


def _by_level(root: Branch) -> Iterator[Branch]:
    ahead = [root]
    for branch in ahead:
        yield branch
        ahead.extend(branch.children)


DEEPEST_COMB = 2  # Below this the heaviest branch always runs straight on, so that the drawing stays narrow.


def split(branch: Branch, level: int) -> tuple[list[Branch], Branch | None]:
    """Return the branches that stand beside, and the one that runs straight on, if any does.

    A lone branch runs on. Of several the heaviest does if it outweighs the next by far; where they are alike,
    as the fuses of a box, all stand beside.
    """
    children = branch.children
    if len(children) < 2:
        return [], (children[0] if children else None)
    heavy = max(children, key=lambda child: child.weight)
    next_best = max(child.weight for child in children if child is not heavy)
    if heavy.weight >= 3 * next_best or (level >= DEEPEST_COMB and heavy.weight > 1):
        return [child for child in children if child is not heavy], heavy
    return list(children), None


def levels(branch: Branch, level: int = 0) -> int:
    """Return how many times the drawing of this branch steps to the side."""
    deepest = level
    current: Branch | None = branch
    while current is not None:
        beside, onward = split(current, level)
        for child in beside:
            deepest = max(deepest, levels(child, level + 1))
        current = onward
    return deepest


def arranged(children: list[Branch]) -> list[list[Branch]]:
    """Return branches in groups: ends behind the same panel together, at the place of the first of them."""
    groups: dict[str, list[Branch]] = {}
    for child in children:
        shares_panel = child.is_leaf and child.place.zone
        groups.setdefault(
            f"zone {child.place.zone}" if shares_panel else f"alone {child.place.id}", []
        ).append(child)
    return list(groups.values())


def in_order(branch: Branch, level: int = 0) -> Iterator[Branch]:
    """Yield a branch and all below it in the order in which drawing and table name them."""
    current: Branch | None = branch
    while current is not None:
        yield current
        beside, onward = split(current, level)
        for group in arranged(beside):
            for child in group:
                yield from in_order(child, level + 1)
        current = onward


def spine(root: Branch) -> list[Branch]:
    """Return the branches that stand one below the other from the root on."""
    found: list[Branch] = []
    current: Branch | None = root
    while current is not None:
        found.append(current)
        current = split(current, 0)[1]
    return found
