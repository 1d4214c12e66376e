"""A map in words: the rows of the table beside the drawing, titles of its parts, and its summary."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diagnostics.isolation.circuit import Circuit, Place, Wire, Zone
from diagnostics.isolation.drawing.branches import Forest, grow, in_order
from diagnostics.isolation.drawing.marks import Mark, Marks, chance_words, state_words
from shared.wording import and_list, count_text

KIND_WORDS: dict[str, tuple[str, str]] = {
    "hub": ("hub", "hubs"),
    "module": ("unit", "units"),
    "source": ("supply", "supplies"),
    "fuse": ("fuse", "fuses"),
    "splice": ("splice", "splices"),
    "switch": ("switch", "switches"),
    "connector": ("connector", "connectors"),
    "load": ("load", "loads"),
    "ground": ("ground point", "ground points"),
    "tester_port": ("test socket", "test sockets"),
    "end_resistor": ("end resistor", "end resistors"),
}
FITTED_WORDS = {"verified": "", "assumed": "is it fitted?", "no": "not fitted"}


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the table: a place, or a wire that has something to tell. Cells are words, "" for none."""

    id: str
    is_wire: bool
    name: str
    kind: str
    hangs_on: str
    access: str
    state: str
    cleared_by: str
    chance: str
    href: str
    is_next: bool


def rows(circuit: Circuit, marks: Marks) -> tuple[Row, ...]:
    """Return the table twin of a drawing, in the order of its links."""
    return rows_of(circuit, marks, grow(circuit))


def rows_of(circuit: Circuit, marks: Marks, forest: Forest) -> tuple[Row, ...]:
    """Return the table of a map whose branches are known."""
    return tuple(_rows(circuit, marks, forest))


def _rows(circuit: Circuit, marks: Marks, forest: Forest) -> Iterator[Row]:
    loops = {wire.id for wire in forest.loops}
    for root in forest.roots:
        for branch in in_order(root):
            above = _other_end(circuit, branch.wire, branch.place.id) if branch.wire else ""
            if branch.wire and _tells(branch.wire, marks):
                yield _wire_row(circuit, marks, branch.wire, is_loop=False)
            also = [
                _other_end(circuit, wire, branch.place.id)
                for wire in circuit.wires_at[branch.place.id]
                if wire.id in loops
            ]
            hangs_on = ", also joined to ".join(filter(None, [above or "nothing above it", and_list(also)]))
            yield _place_row(circuit, marks, branch.place, hangs_on)
    for wire in forest.loops:
        yield _wire_row(circuit, marks, wire, is_loop=True)


def _tells(wire: Wire, marks: Marks) -> bool:
    return bool(wire.label or wire.zone or wire.id in marks.wires)


def _other_end(circuit: Circuit, wire: Wire, id: str) -> str:
    return circuit.name_of(wire.end if wire.start == id else wire.start)


def _place_row(circuit: Circuit, marks: Marks, place: Place, hangs_on: str) -> Row:
    mark = marks.of_place(place.id)
    return Row(
        place.id,
        False,
        place.name,
        KIND_WORDS.get(place.kind, (place.kind, ""))[0],
        hangs_on,
        access_words(circuit.zone_by_id.get(place.zone), marks),
        _state(mark, "unplugged", FITTED_WORDS.get(place.fitted, "")),
        _cleared_by(mark),
        _chance(mark),
        mark.href,
        mark.is_next,
    )


def _wire_row(circuit: Circuit, marks: Marks, wire: Wire, *, is_loop: bool) -> Row:
    mark = marks.of_wire(wire.id)
    return Row(
        wire.id,
        True,
        circuit.name_of(wire.id),
        "extra link" if is_loop else "wire",
        f"{circuit.name_of(wire.start)} to {circuit.name_of(wire.end)}",
        access_words(circuit.zone_by_id.get(wire.zone), marks),
        _state(mark, "parted", ""),
        _cleared_by(mark),
        _chance(mark),
        mark.href,
        mark.is_next,
    )


def _state(mark: Mark, parted: str, fitted: str) -> str:
    words = [
        *state_words(mark)[:1],
        fitted,
        parted if mark.is_parted else "",
        "next test" if mark.is_next else "",
    ]
    if mark.state == "cleared":
        words[0] = "cleared"
    return ", ".join(filter(None, words))


def _cleared_by(mark: Mark) -> str:
    if mark.state != "cleared" or not mark.readings:
        return ""
    word = "reading" if len(mark.readings) == 1 else "readings"
    return f"{word} {and_list([str(number) for number in mark.readings])}"


def _chance(mark: Mark) -> str:
    return chance_words(mark.chance) if mark.state in ("suspect", "isolated") else ""


def is_open(zone: Zone, marks: Marks) -> bool:
    return zone.already_open or zone.id in marks.open_zones


def minutes_words(zone: Zone) -> str:
    """Return "20 + 10 min": to open and to refit; "20 min" without refit; "" where neither is known."""
    parts = [f"{minutes:g}" for minutes in (zone.open_minutes, zone.close_minutes) if minutes]
    return f"{' + '.join(parts)} min" if parts else ""


def access_words(zone: Zone | None, marks: Marks) -> str:
    """Return how a place is reached: "floor panel, closed: 20 min to open, 10 min to refit"."""
    if zone is None:
        return ""
    name = zone.label or zone.id
    if is_open(zone, marks):
        return f"{name}, open"
    parts = [
        f"{minutes:g} min to {what}"
        for minutes, what in ((zone.open_minutes, "open"), (zone.close_minutes, "refit"))
        if minutes
    ]
    return f"{name}, closed" + (f": {', '.join(parts)}" if parts else "")


def title_of(row: Row) -> str:
    """Return everything about a place or wire in one line, as its title in the drawing."""
    hangs = f"{row.hangs_on}" if row.is_wire else f"hangs on {row.hangs_on}"
    told = [row.name if row.is_wire else f"{row.name} ({row.kind})", hangs, row.access, row.state]
    if row.cleared_by:
        told.append(f"by {row.cleared_by}")
    return ". ".join(_capital(part) for part in [*told, row.chance] if part) + "."


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def said(circuit: Circuit, marks: Marks, table: tuple[Row, ...]) -> str:
    """Return the drawing in a few sentences, for those who hear it."""
    if not circuit.places:
        return "The map is empty."
    counts = [
        count_text(len(circuit.of_kind(kind)), *words)  # type: ignore[arg-type]
        for kind, words in KIND_WORDS.items()
        if circuit.of_kind(kind)  # type: ignore[arg-type]
    ]
    told = [f"A map of {and_list(counts)}, joined by {count_text(len(circuit.wires), 'wire')}"]
    if upcoming := [row.name for row in table if row.is_next]:
        told.append(f"Next test: {and_list(upcoming)}")
    if found := [row.name for row in table if row.state.startswith("fault found")]:
        told.append(f"Fault found: {and_list(found)}")
    if suspects := sum(row.state.startswith("suspect") for row in table):
        told.append(f"{_capital(count_text(suspects, 'suspect'))}, {_strongest(circuit, marks)}")
    if cleared := sum(row.state.startswith("cleared") for row in table):
        told.append(f"{cleared} cleared")
    return ". ".join(told) + "."


def _strongest(circuit: Circuit, marks: Marks) -> str:
    """The three strongest suspicions."""
    every = [*marks.places.items(), *marks.wires.items()]
    strongest = sorted(
        ((mark.chance or 0.0, id) for id, mark in every if mark.state == "suspect"),
        key=lambda pair: (-pair[0], pair[1]),
    )[:3]
    return "the strongest: " + and_list(
        [f"{circuit.name_of(id)} ({chance_words(chance)})" for chance, id in strongest]
    )
