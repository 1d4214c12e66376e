"""The map as a graph that can be cut: what hangs together after parting, unplugging and breaking.

Every place and the inner point of every wire is a vertex. Parting a wire opens its `start` end, so a fault
in the wire leaves with the far side; unplugging a place opens the wires at that place, so a fault in the wire
stays with the near side (fault-isolation.md section 7). Rings are allowed: everything is a search, nothing
takes the map for a tree.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property

from diagnostics.isolation.circuit.places import Circuit, Kind

Cut = tuple[str, str]
NOTHING: frozenset[str] = frozenset()
NO_CUT: frozenset[Cut] = frozenset()


class Network:
    """Searches on one map, each remembered, for thousands of them are asked for one problem."""

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit
        self._next: dict[str, list[str]] = {place.id: [] for place in circuit.places}
        for wire in circuit.wires:
            self._next[wire.id] = [wire.start, wire.end]
            self._next[wire.start].append(wire.id)
            self._next[wire.end].append(wire.id)
        self._kinds: dict[tuple[Kind, ...], frozenset[str]] = {}
        self.broken: dict[tuple[object, ...], frozenset[str]] = {}
        self.fuses_before: dict[str, tuple[str, ...]] = {}
        self._cuts: dict[tuple[tuple[str, ...], tuple[str, ...]], frozenset[Cut]] = {}
        self._stops: dict[frozenset[Cut], dict[str, set[str]]] = {}
        self._regions: dict[tuple[str, frozenset[Cut], frozenset[str]], frozenset[str]] = {}

    def of_kind(self, *kinds: Kind) -> frozenset[str]:
        if kinds not in self._kinds:
            self._kinds[kinds] = frozenset(place.id for place in self.circuit.of_kind(*kinds))
        return self._kinds[kinds]

    @cached_property
    def talkers(self) -> frozenset[str]:
        """What gives a data line its resting level: units that are there, and the test socket."""
        units = {place.id for place in self.circuit.of_kind("module") if place.fitted != "no"}
        return frozenset(units | self.of_kind("tester_port"))

    @cached_property
    def loads(self) -> frozenset[str]:
        return self.of_kind("load", "module")

    @cached_property
    def grounds(self) -> frozenset[str]:
        return self.of_kind("ground")

    @cached_property
    def root(self) -> str:
        """The test socket of a data line, else the source."""
        return self.circuit.of_kind("tester_port", "source")[0].id

    def is_bar_out(self, hub: str, part: Iterable[str]) -> bool:
        """Whether parting these wires takes the shorting bar out of a hub: every leg but that to the root.

        What hangs on the hub without being drawn comes off with the bar, and is not joined back.
        """
        legs = {wire.id for wire in self.circuit.wires_at[hub]} - self.ways_back(hub)
        return len(legs) > 1 and legs <= set(part)

    def ways_back(self, place: str) -> frozenset[str]:
        """Return the wires at a place that lead to the root without it."""
        wires = (wire.id for wire in self.circuit.wires_at[place])
        return frozenset(
            wire for wire in wires if self.root in self.region(wire, NO_CUT, frozenset((place,)))
        )

    @cached_property
    def steps_from_root(self) -> dict[str, int]:
        """How many vertices each lies away from the root."""
        steps, row = {self.root: 0}, [self.root]
        while row:
            ahead = [other for vertex in row for other in self._next[vertex] if other not in steps]
            row = list(dict.fromkeys(ahead))
            count = max(steps.values()) + 1
            steps |= dict.fromkeys(row, count)
        return steps

    def neighbours(self, vertex: str) -> tuple[str, ...]:
        return tuple(self._next[vertex])

    def cuts(self, part: Iterable[str], bridge: Iterable[str] = ()) -> frozenset[Cut]:
        """Return the ends that stand open after parting and unplugging; `bridge` joins wires back."""
        key = (tuple(part), tuple(bridge))
        if key not in self._cuts:
            self._cuts[key] = self._open_ends(*key)
        return self._cuts[key]

    def _open_ends(self, part: tuple[str, ...], bridge: tuple[str, ...]) -> frozenset[Cut]:
        joined = set(bridge)
        made: set[Cut] = set()
        for id in part:
            wire = self.circuit.wire_by_id.get(id)
            if wire:
                made |= {(wire.start, id)} if id not in joined else set()
            else:
                made |= {(id, at) for at in self._next[id] if at not in joined}
        return frozenset(made)

    def region(
        self, at: str, cuts: frozenset[Cut] = NO_CUT, broken: frozenset[str] = NOTHING
    ) -> frozenset[str]:
        """Return what hangs together with `at`, itself included; nothing when it is broken itself."""
        key = (at, cuts, broken)
        if key not in self._regions:
            self._regions[key] = self._search(at, cuts, broken)
        return self._regions[key]

    def _search(self, at: str, cuts: frozenset[Cut], broken: frozenset[str]) -> frozenset[str]:
        if at in broken:
            return NOTHING
        blocked = self._blocked(cuts)
        seen, ahead = {at}, [at]
        while ahead:
            vertex = ahead.pop()
            stops = blocked.get(vertex, NOTHING)
            for other in self._next[vertex]:
                if other not in seen and other not in broken and other not in stops:
                    seen.add(other)
                    ahead.append(other)
        return frozenset(seen)

    def _blocked(self, cuts: frozenset[Cut]) -> dict[str, set[str]]:
        """Return for each vertex beside a cut the neighbours it no longer reaches."""
        if cuts not in self._stops:
            found: dict[str, set[str]] = {}
            for one, other in cuts:
                found.setdefault(one, set()).add(other)
                found.setdefault(other, set()).add(one)
            self._stops[cuts] = found
        return self._stops[cuts]

    def lies_between(self, vertex: str, one: str, other: str, cuts: frozenset[Cut] = NO_CUT) -> bool:
        """Whether some way from `one` to `other` that passes no vertex twice leads through `vertex`.

        A fuse in a ring carries its share; a fuse on a dead end beside the way carries nothing. Two separate
        ways must lead from the vertex, one to each end; they exist where no single stop cuts it off from both
        (Menger's theorem).
        """
        ends = {one, other}
        if not ends | {vertex} <= self.region(one, cuts):
            return False
        if vertex in ends or other not in self.region(one, cuts, frozenset((vertex,))):
            return True
        beside = self._next[vertex]
        stops = [*beside, *(stop for stop in self._next if stop != vertex and stop not in beside)]
        return all(self.region(vertex, cuts, frozenset((stop,))) & ends for stop in stops)
