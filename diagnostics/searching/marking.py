"""What a search has found out, as marks on the map of its circuit."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from diagnostics.isolation.circuit import Circuit, from_dict
from diagnostics.isolation.drawing import Mark, Marks
from diagnostics.searching.naming import clearing
from diagnostics.searching.thinking import Thought


def circuit_of_search(thought: Thought) -> Circuit | None:
    """Return the map that the problem was made from; None for a problem without one."""
    part = thought.document.get("circuit")
    return from_dict(part, thought.document.get("zones", ())) if part else None


def marks_of(thought: Thought, circuit: Circuit, *, next_test: str = "", cause: str = "") -> Marks:
    """Return the marks of the map.

    Parameters
    ----------
    next_test : str
        The test on the screen: where it is done is marked.
    cause : str
        The suspect that was named, once the search has ended with it.
    """
    at_next = set(thought.terms.tests[next_test].at) if next_test else set()
    by_place: dict[str, list[str]] = defaultdict(list)
    for each in thought.document["candidates"]:
        if each.get("at"):
            by_place[each["at"]].append(each["id"])
    found = {
        id: _mark(thought, by_place.get(id, ()), is_next=id in at_next, cause=cause)
        for id in [*(place.id for place in circuit.places), *(wire.id for wire in circuit.wires)]
    }
    return Marks(
        places={place.id: found[place.id] for place in circuit.places},
        wires={wire.id: found[wire.id] for wire in circuit.wires},
        open_zones=thought.belief.open_zones,
    )


def _mark(thought: Thought, suspects: Iterable[str], *, is_next: bool, cause: str) -> Mark:
    names = list(suspects)
    if cause and cause in names:
        return Mark("isolated", is_next=is_next)
    if not names or thought.belief.is_impossible:
        return Mark(is_next=is_next)
    left = [name for name in names if name in thought.suspected]
    if left:
        chance = sum(thought.belief.posterior[name] for name in left)
        return Mark("suspect", chance=chance, is_next=is_next)
    return Mark("cleared", readings=_readings(thought, names), is_next=is_next)


def _readings(thought: Thought, names: list[str]) -> tuple[int, ...]:
    """The numbers, in the route, of the readings that cleared these."""
    against = thought.suspected[0]
    runs = {run for name in names for run in clearing(thought.terms, thought.counted, name, against)}
    return tuple(number for number, one in enumerate(thought.heard, 1) if one.run in runs)
