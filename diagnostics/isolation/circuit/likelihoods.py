"""The rows of every suspect under every test; what no test separates; tests that nobody can read."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from diagnostics.isolation.circuit.built import Alike, Component, LeftOut
from diagnostics.isolation.circuit.physics import Defect, Defects
from diagnostics.isolation.circuit.planned import ACTING, Planned, Row
from diagnostics.isolation.circuit.suspects import Suspect

UNLISTED: Defects = (Defect("unlisted"),)
OUT_OF_REACH = 0.5  # Share of unlisted faults that nothing done here touches; the rest act like the average.


@dataclass(frozen=True)
class Table:
    """Rows by test id, then suspect id."""

    suspects: tuple[Suspect, ...]
    tests: tuple[Planned, ...]
    rows: Mapping[str, Mapping[str, Row]]

    def column(self, id: str) -> tuple[Row, ...]:
        return tuple(self.rows[test.id][id] for test in self.tests)


def read_all(suspects: Sequence[Suspect], tests: Sequence[Planned]) -> Table:
    """Return the table of every suspect under every test."""
    rows = {test.id: {one.id: test.reads(one.defects) for one in suspects} for test in tests}
    return Table(tuple(suspects), tuple(tests), rows)


def without_empty(table: Table) -> tuple[Table, list[LeftOut]]:
    """Drop the tests that read the same for every suspect, but for the check that opens the door."""
    kept = [test for test in table.tests if test.id == ACTING or len(set(table.rows[test.id].values())) > 1]
    ids = {test.id for test in kept}
    left = [
        LeftOut(test.label, "It reads the same whichever suspect it is.")
        for test in table.tests
        if test.id not in ids
    ]
    tests = tuple(replace(test, after=tuple(id for id in test.after if id in ids)) for test in kept)
    return Table(table.suspects, tests, {id: table.rows[id] for id in ids}), left


def folded(table: Table) -> Table:
    """Make one of suspects of one repair that read the same everywhere: two shorts of one wire."""
    firsts: dict[tuple[object, ...], int] = {}
    kept: list[Suspect] = []
    for one in table.suspects:
        key = (one.group, table.column(one.id))
        if key in firsts:
            kept[firsts[key]] = _joined(kept[firsts[key]], one)
        else:
            firsts[key] = len(kept)
            kept.append(one)
    return replace(table, suspects=tuple(kept))


def _joined(one: Suspect, other: Suspect) -> Suspect:
    mode = f"{one.component.mode} or {other.component.mode}"
    return replace(
        one,
        label=f"{one.label}, or {other.component.mode}",
        component=Component(one.component.component, mode),
        weight=one.weight + other.weight,
    )


def grouped(table: Table) -> tuple[Table, list[Alike], list[LeftOut]]:
    """Give suspects that no test separates one group, and say what would separate them.

    A pair of faults that reads like a single one is left out: the single one explains it.
    """
    classes: dict[tuple[Row, ...], Suspect] = {}
    kept: list[Suspect] = []
    alike: list[Alike] = []
    left: list[LeftOut] = []
    for one in sorted(table.suspects, key=lambda suspect: bool(suspect.members)):
        first = classes.setdefault(table.column(one.id), one)
        if first is not one and one.members:
            left.append(LeftOut(one.label, f"It reads like '{first.label}' in every test here."))
            continue
        if first is not one:
            if first.group != one.group:
                alike.append(Alike(first.label, one.label, would_separate(first, one)))
            one = replace(one, group=first.group)
        kept.append(one)
    return replace(table, suspects=tuple(kept)), alike, left


def would_separate(one: Suspect, other: Suspect) -> str:
    """Return the measurement that would tell two suspects apart, in words."""
    ways = {suspect.id.split("_", 1)[0] for suspect in (one, other)}
    names = [suspect.component.component for suspect in (one, other)]
    if ways & {"chafe", "power", "touch", "open", "resist"}:
        wire = next(
            suspect.component.component
            for suspect in (one, other)
            if suspect.id.split("_", 1)[0] in {"chafe", "power", "touch", "open", "resist"}
        )
        return f"measuring the {wire} by itself, open at both ends"
    if "added" in ways:
        return "counting the wires there and following the one that is not drawn"
    if ways & {"wet", "poor", "leak", "parted"}:
        return f"opening {names[0]} and {names[1]} and looking at the contacts"
    return f"taking one of them off alone: {names[0]} or {names[1]}"


def unlisted_row(table: Table, test: Planned, priors: Mapping[str, float]) -> Row:
    """Return the row of the catch-all.

    Half of what is not listed is out of reach of everything done here; the rest is taken to behave like the
    average suspect. So it never proves itself by elimination and is never ruled out by one reading.
    """
    unmoved = test.reads(UNLISTED)
    if not test.needs_acting or test.id == ACTING:
        return unmoved
    rows = table.rows[test.id]
    total = sum(priors.values())
    shared: dict[Row, float] = {}
    for id, prior in priors.items():
        shared[rows[id]] = shared.get(rows[id], 0.0) + prior / total
    mean = [sum(row[place] * share for row, share in shared.items()) for place in range(len(unmoved))]
    return tuple(
        OUT_OF_REACH * stays + (1 - OUT_OF_REACH) * moves for stays, moves in zip(unmoved, mean, strict=True)
    )


def commonest(rows: Mapping[str, Row]) -> Row:
    """Return the row that most suspects have; the first of equals."""
    return Counter(rows.values()).most_common(1)[0][0]
