"""The checks of a document: its shape, then what the schema cannot say (fault-isolation.md, 14)."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from diagnostics.isolation.faults import Fault

FORMAT = "isolation-problem/1"
ID = re.compile(r"[A-Za-z][A-Za-z0-9_.-]{0,63}")
TOLERANCE = 1e-6
MOST_OUTCOMES, MOST_USES = 8, 9


def faults_of(document: Any) -> tuple[Fault, ...]:
    """Return every fault of a document; cross checks only where the shape is right."""
    if not isinstance(document, Mapping):
        return (Fault("", "A problem must be an object."),)
    return tuple(_shape(document)) or tuple(_crossings(document))


def activity_of(candidate: Mapping[str, Any], test: Mapping[str, Any]) -> float:
    """Chance that the fault acts while the test looks: a' = 1 - (1 - a)(1 - v), section 2."""
    return float(1 - (1 - candidate.get("activity", 1)) * (1 - test.get("provocation", 0)))


def _shape(document: Mapping[str, Any]) -> Iterator[Fault]:
    if document.get("format") != FORMAT:
        yield Fault("format", f"The format must be {FORMAT}.")
    stop = document.get("stop")
    if not isinstance(stop, Mapping):
        yield Fault("stop", "Give the minutes of a wrong call: {'wrong_minutes': …}.")
    else:
        yield from _number(stop, "stop", "wrong_minutes", above=0, needed=True)
    for key, least in (("candidates", 2), ("tests", 1), ("zones", 0)):
        entries = document.get(key, [] if key == "zones" else None)
        if not isinstance(entries, list) or len(entries) < least:
            yield Fault(key, f"There must be a list of at least {least} here.")
            continue
        for place, entry in enumerate(entries):
            where = f"{key}[{place}]"
            if not isinstance(entry, Mapping):
                yield Fault(where, "This must be an object.")
                continue
            if not isinstance(entry.get("id"), str) or not ID.fullmatch(entry["id"]):
                yield Fault(f"{where}.id", "Give an id: a letter, then letters, digits, '_', '.' or '-'.")
            yield from _ENTRIES[key](entry, where)


def _candidate(entry: Mapping[str, Any], where: str) -> Iterator[Fault]:
    yield from _number(entry, where, "prior", least=0, most=1, needed=True)
    yield from _number(entry, where, "activity", above=0, most=1)
    if not isinstance(entry.get("group", ""), str):
        yield Fault(f"{where}.group", "A group is named by an id.")
    yield from _names(entry, where, "members")


def _zone(entry: Mapping[str, Any], where: str) -> Iterator[Fault]:
    yield from _number(entry, where, "open_minutes", least=0, needed=True)
    yield from _number(entry, where, "close_minutes", least=0)
    if not isinstance(entry.get("inside", ""), str):
        yield Fault(f"{where}.inside", "Name the zone around this one by its id.")
    if not isinstance(entry.get("already_open", False), bool):
        yield Fault(f"{where}.already_open", "This must be true or false.")


def _test(entry: Mapping[str, Any], where: str) -> Iterator[Fault]:
    yield from _number(entry, where, "minutes", above=0, needed=True)
    yield from _number(entry, where, "provocation", least=0, most=1)
    uses = entry.get("max_uses", 1)
    if not isinstance(uses, int) or isinstance(uses, bool) or not 1 <= uses <= MOST_USES:
        yield Fault(f"{where}.max_uses", f"This must be a whole number from 1 to {MOST_USES}.")
    yield from _names(entry, where, "zones")
    yield from _names(entry, where, "after")
    outcomes = entry.get("outcomes")
    if not isinstance(outcomes, list) or not 2 <= len(outcomes) <= MOST_OUTCOMES:
        yield Fault(f"{where}.outcomes", f"There must be 2 to {MOST_OUTCOMES} outcomes.")
    elif not all(isinstance(each, Mapping) and isinstance(each.get("id"), str) for each in outcomes):
        yield Fault(f"{where}.outcomes", "Each outcome must have an id.")
    likelihood = entry.get("likelihood")
    if not isinstance(likelihood, Mapping) or not isinstance(likelihood.get("by_candidate", {}), Mapping):
        yield Fault(f"{where}.likelihood", "Give rows: 'default', 'quiet' or 'by_candidate'.")
        return
    for name, row in _rows(likelihood):
        if not isinstance(row, list) or not all(_is_number(each) and 0 <= each <= 1 for each in row):
            yield Fault(f"{where}.likelihood.{name}", "A row is a list of probabilities from 0 to 1.")


_ENTRIES = {"candidates": _candidate, "zones": _zone, "tests": _test}


def _crossings(document: Mapping[str, Any]) -> Iterator[Fault]:
    candidates, tests = document["candidates"], document["tests"]
    zones = document.get("zones", [])
    for key, entries in (("candidates", candidates), ("tests", tests), ("zones", zones)):
        yield from _twice(key, [entry["id"] for entry in entries])
    total = math.fsum(entry["prior"] for entry in candidates)
    if abs(total - 1) > TOLERANCE:
        yield Fault("candidates", f"The priors sum to {total:.6g}; they must sum to 1.")
    known = {entry["id"] for entry in candidates}
    for place, entry in enumerate(candidates):
        yield from _unknown(f"candidates[{place}].members", entry.get("members", ()), known, "candidate")
    yield from _paths("zones", zones, "inside", "zone")
    yield from _paths("tests", tests, "after", "test")
    rooms = {entry["id"] for entry in zones}
    for place, entry in enumerate(tests):
        yield from _unknown(f"tests[{place}].zones", entry.get("zones", ()), rooms, "zone")
        yield from _likelihood(f"tests[{place}]", entry, candidates, known)


def _likelihood(
    where: str, test: Mapping[str, Any], candidates: Sequence[Mapping[str, Any]], known: set[str]
) -> Iterator[Fault]:
    likelihood, count = test["likelihood"], len(test["outcomes"])
    yield from _twice(f"{where}.outcomes", [each["id"] for each in test["outcomes"]])
    listed = likelihood.get("by_candidate", {})
    yield from _unknown(f"{where}.likelihood.by_candidate", listed, known, "candidate")
    for name, row in _rows(likelihood):
        at = f"{where}.likelihood.{name}"
        if len(row) != count:
            yield Fault(at, f"The row has {len(row)} entries for {count} outcomes.")
        elif abs(math.fsum(row) - 1) > TOLERANCE:
            yield Fault(at, f"The row sums to {math.fsum(row):.6g}; it must sum to 1.")
    if "default" not in likelihood:
        without = [each["id"] for each in candidates if each["id"] not in listed]
        if without:
            yield Fault(f"{where}.likelihood", f"Give a row for '{without[0]}', or a 'default' row.")
    if "quiet" not in likelihood:
        quiet = [each["id"] for each in candidates if activity_of(each, test) < 1]
        if quiet:
            yield Fault(f"{where}.likelihood", f"'{quiet[0]}' comes and goes: give the 'quiet' row.")


def _paths(key: str, entries: Sequence[Mapping[str, Any]], link: str, what: str) -> Iterator[Fault]:
    """Names that do not resolve, and circles; a circle is named once, at the first that stands in it."""
    parents = {}
    for entry in entries:
        given = entry.get(link, ())
        parents[entry["id"]] = [given] if isinstance(given, str) else list(given)
    for place, entry in enumerate(entries):
        yield from _unknown(f"{key}[{place}].{link}", parents[entry["id"]], set(parents), what)
    seen: set[str] = set()
    for place, entry in enumerate(entries):
        if entry["id"] in seen:
            continue
        circle = _circle(entry["id"], parents)
        if circle:
            seen |= circle
            yield Fault(f"{key}[{place}].{link}", f"'{entry['id']}' leads back to itself by '{link}'.")


def _circle(start: str, parents: Mapping[str, Sequence[str]]) -> set[str]:
    """Everything that the start leads to, if that includes the start itself."""
    found: set[str] = set()
    todo = list(parents[start])
    while todo:
        at = todo.pop()
        if at not in found:
            found.add(at)
            todo.extend(parents.get(at, ()))
    return found if start in found else set()


def _rows(likelihood: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    for name in ("default", "quiet"):
        if name in likelihood:
            yield name, likelihood[name]
    for name, row in likelihood.get("by_candidate", {}).items():
        yield f"by_candidate.{name}", row


def _unknown(where: str, names: Any, known: set[str], what: str) -> Iterator[Fault]:
    for name in names:
        if name not in known:
            yield Fault(where, f"There is no {what} '{name}'.")


def _twice(where: str, names: Sequence[str]) -> Iterator[Fault]:
    seen: set[str] = set()
    for name in names:
        if name in seen:
            yield Fault(where, f"The id '{name}' stands here twice.")
        seen.add(name)


def _names(entry: Mapping[str, Any], where: str, key: str) -> Iterator[Fault]:
    names = entry.get(key, [])
    if not isinstance(names, list) or not all(isinstance(name, str) for name in names):
        yield Fault(f"{where}.{key}", "This must be a list of ids.")


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def _number(
    entry: Mapping[str, Any],
    where: str,
    key: str,
    *,
    above: float = -math.inf,
    least: float = -math.inf,
    most: float = math.inf,
    needed: bool = False,
) -> Iterator[Fault]:
    if key not in entry:
        if needed:
            yield Fault(f"{where}.{key}", "This number is missing.")
        return
    value = entry[key]
    if not _is_number(value):
        yield Fault(f"{where}.{key}", "This must be a number.")
    elif value <= above or value < least or value > most:
        low = f"above {above:g}" if above > -math.inf else f"at least {least:g}"
        high = f" and at most {most:g}" if most < math.inf else ""
        yield Fault(f"{where}.{key}", f"This must be {low}{high}.")
