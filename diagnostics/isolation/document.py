"""From an `isolation-problem/1` document to a problem, with every fault of it named."""

from __future__ import annotations

import json
import math
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any

import fastjsonschema
import numpy as np
from jsonschema import Draft202012Validator

from diagnostics.isolation.problem import Fault, Floats, Problem, ProblemError, Test

SCHEMA = Path(__file__).with_name("isolation-problem.schema.json")
SUM_TOLERANCE = 1e-6
MOST_NAMED = 50  # Faults named at once; a longer list helps nobody.


def load(document: Mapping[str, Any]) -> Problem:
    """Return the problem of a document (fault-isolation.md section 14).

    Raises
    ------
    ProblemError
        With every fault found: of form, of ids that name nothing, of rows and priors that do not sum to 1,
        of cycles, of a missing `quiet` row.
    """
    faults = _faults_of_form(document) or list(_faults_of_sense(document))
    if faults:
        raise ProblemError(tuple(faults[:MOST_NAMED]))
    return _problem(document)


@cache
def _schema() -> dict[str, Any]:
    read: dict[str, Any] = json.loads(SCHEMA.read_text())
    return read


@cache
def _fast_check() -> Callable[[Any], Any]:
    # The quick checker knows an older draft; what the schema uses means the same in it.
    older = json.loads(SCHEMA.read_text().replace("$defs", "definitions"))
    older["$schema"] = "http://json-schema.org/draft-07/schema#"
    check: Callable[[Any], Any] = fastjsonschema.compile(older)
    return check


def _faults_of_form(document: Any) -> list[Fault]:
    try:
        _fast_check()(dict(document) if isinstance(document, Mapping) else document)
    except fastjsonschema.JsonSchemaException:
        found = Draft202012Validator(_schema()).iter_errors(document)
        named = [Fault(_path(error.absolute_path), error.message[:300]) for error in found]
        return named or [Fault("document", "It does not have the form isolation-problem/1.")]
    return []


def _path(steps: Any) -> str:
    words = [f"[{step}]" if isinstance(step, int) else f".{step}" for step in steps]
    return "".join(words).lstrip(".") or "document"


def _faults_of_sense(document: Mapping[str, Any]) -> Iterator[Fault]:
    zones, candidates, tests = _parts(document)
    for name, rows in (("zones", zones), ("candidates", candidates), ("tests", tests)):
        yield from _repeated(name, [row["id"] for row in rows])
    yield from _of_zones(zones)
    yield from _of_candidates(candidates, document)
    yield from _of_tests(tests, {zone["id"] for zone in zones}, candidates)


def _parts(document: Mapping[str, Any]) -> tuple[list[Any], list[Any], list[Any]]:
    return document.get("zones", []), document["candidates"], document["tests"]


def _repeated(name: str, ids: Sequence[str]) -> Iterator[Fault]:
    for repeated in sorted(each for each, times in Counter(ids).items() if times > 1):
        yield Fault(name, f"The id '{repeated}' stands there more than once.")


def _of_zones(zones: Sequence[Mapping[str, Any]]) -> Iterator[Fault]:
    inside = {zone["id"]: zone.get("inside") for zone in zones}
    for zone, outer in inside.items():
        if outer is not None and outer not in inside:
            yield Fault(f"zones.{zone}.inside", f"There is no zone '{outer}'.")
    leads_to: dict[str, list[str]] = {zone: [] for zone in inside}
    for zone, outer in inside.items():
        if outer is not None and outer in inside:
            leads_to[zone].append(outer)
    yield from _cycles("zones", leads_to)


def _of_candidates(candidates: Sequence[Mapping[str, Any]], document: Mapping[str, Any]) -> Iterator[Fault]:
    ids = {each["id"] for each in candidates}
    total = math.fsum(each["prior"] for each in candidates)
    if abs(total - 1.0) > SUM_TOLERANCE:
        yield Fault("candidates", f"The priors sum to {total:.6g}. They must sum to 1.")
    for each in candidates:
        for member in each.get("members", ()):
            if member not in ids:
                yield Fault(f"candidates.{each['id']}.members", f"There is no candidate '{member}'.")
    if circuit := document.get("circuit"):
        places = {row["id"] for row in (*circuit["nodes"], *circuit["branches"])}
        for each in candidates:
            if "at" in each and each["at"] not in places:
                yield Fault(f"candidates.{each['id']}.at", f"The circuit has no '{each['at']}'.")


def _of_tests(
    tests: Sequence[Mapping[str, Any]], zones: set[str], candidates: Sequence[Mapping[str, Any]]
) -> Iterator[Fault]:
    ids = {test["id"] for test in tests}
    named = {each["id"] for each in candidates}
    for test in tests:
        where = f"tests.{test['id']}"
        for zone in test.get("zones", ()):
            if zone not in zones:
                yield Fault(f"{where}.zones", f"There is no zone '{zone}'.")
        for other in test.get("after", ()):
            if other not in ids:
                yield Fault(f"{where}.after", f"There is no test '{other}'.")
        yield from _repeated(f"{where}.outcomes", [outcome["id"] for outcome in test["outcomes"]])
        yield from _of_rows(test, f"{where}.likelihood", named, candidates)
    yield from _cycles("tests", {t["id"]: [o for o in t.get("after", ()) if o in ids] for t in tests})


def _of_rows(
    test: Mapping[str, Any], where: str, named: set[str], candidates: Sequence[Mapping[str, Any]]
) -> Iterator[Fault]:
    rows = test["likelihood"]
    by_candidate = rows.get("by_candidate", {})
    listed = [(key, rows[key]) for key in ("default", "quiet") if key in rows]
    listed += [(f"by_candidate.{name}", row) for name, row in by_candidate.items()]
    for key, row in listed:
        if len(row) != len(test["outcomes"]):
            told = f"The row has {len(row)} entries; the test has {len(test['outcomes'])} outcomes."
            yield Fault(f"{where}.{key}", told)
        elif abs(math.fsum(row) - 1.0) > SUM_TOLERANCE:
            yield Fault(f"{where}.{key}", f"The row sums to {math.fsum(row):.6g}. It must sum to 1.")
    for name in by_candidate:
        if name not in named:
            yield Fault(f"{where}.by_candidate", f"There is no candidate '{name}'.")
    for each in candidates:
        if "default" not in rows and each["id"] not in by_candidate:
            yield Fault(where, f"The candidate '{each['id']}' has no row, and there is no default.")
        if "quiet" not in rows and _acting(each, test) < 1.0:
            told = f"'{each['id']}' is not always acting here, so a row 'quiet' is needed."
            yield Fault(f"{where}.quiet", told)


def _cycles(name: str, leads_to: Mapping[str, Sequence[str]]) -> Iterator[Fault]:
    """Name one fault for each id that comes back to itself."""
    for start in leads_to:
        seen: set[str] = set()
        open_ids = list(leads_to[start])
        while open_ids:
            current = open_ids.pop()
            if current not in seen:
                seen.add(current)
                open_ids.extend(leads_to[current])
        if start in seen:
            key = "inside" if name == "zones" else "after"
            yield Fault(f"{name}.{start}.{key}", f"'{start}' leads back to itself.")


def _acting(candidate: Mapping[str, Any], test: Mapping[str, Any]) -> float:
    """Chance that the fault acts during this test: a' = 1 - (1 - a)(1 - v) (section 2)."""
    quiet = (1.0 - candidate.get("activity", 1.0)) * (1.0 - test.get("provocation", 0.0))
    return float(1.0 - quiet)


def _problem(document: Mapping[str, Any]) -> Problem:
    zones, candidates, tests = (sorted(part, key=lambda row: str(row["id"])) for part in _parts(document))
    groups = sorted({each.get("group", each["id"]) for each in candidates})
    prior = np.array([each["prior"] for each in candidates], dtype=float)
    zone_at = {zone["id"]: place for place, zone in enumerate(zones)}
    inside = _with_outer(zones, zone_at)
    test_at = {test["id"]: place for place, test in enumerate(tests)}
    after = np.zeros((len(tests), len(tests)), dtype=bool)
    needs = np.zeros((len(tests), len(zones)), dtype=bool)
    for place, test in enumerate(tests):
        after[place, [test_at[other] for other in test.get("after", ())]] = True
        for zone in test.get("zones", ()):
            needs[place] |= inside[zone_at[zone]]
    is_open = np.zeros(len(zones), dtype=bool)
    for zone in zones:
        if zone.get("already_open", False):
            is_open |= inside[zone_at[zone["id"]]]
    return Problem(
        document=document,
        candidates=tuple(each["id"] for each in candidates),
        groups=tuple(groups),
        group_of=np.array([groups.index(each.get("group", each["id"])) for each in candidates]),
        prior=prior / math.fsum(prior),
        tests=tuple(_test(test) for test in tests),
        likelihood=_likelihood(candidates, tests),
        minutes=np.array([test["minutes"] for test in tests], dtype=float),
        max_uses=np.array([test.get("max_uses", 1) for test in tests], dtype=np.int64),
        zones=tuple(zone["id"] for zone in zones),
        needs_zone=needs,
        zone_minutes=np.array([z["open_minutes"] + z.get("close_minutes", 0) for z in zones], dtype=float),
        already_open=is_open,
        after=after,
        wrong_minutes=float(document["stop"]["wrong_minutes"]),
    )


def _test(test: Mapping[str, Any]) -> Test:
    outcomes = tuple(outcome["id"] for outcome in test["outcomes"])
    return Test(test["id"], float(test["minutes"]), outcomes, test.get("max_uses", 1))


def _with_outer(zones: Sequence[Mapping[str, Any]], zone_at: Mapping[str, int]) -> Any:
    """(z, z) row: the zone and all those it lies inside."""
    held = np.zeros((len(zones), len(zones)), dtype=bool)
    inside = {zone["id"]: zone.get("inside") for zone in zones}
    for zone in inside:
        current: str | None = zone
        while current is not None:
            held[zone_at[zone], zone_at[current]] = True
            current = inside[current]
    return held


def _likelihood(candidates: Sequence[Mapping[str, Any]], tests: Sequence[Mapping[str, Any]]) -> Floats:
    """(t, o, n) the effective likelihoods: acting and quiet rows mixed by the chance of acting."""
    most = max(len(test["outcomes"]) for test in tests)
    table = np.zeros((len(tests), most, len(candidates)))
    quiet_share = np.array([1.0 - each.get("activity", 1.0) for each in candidates])
    for place, test in enumerate(tests):
        rows, width = test["likelihood"], len(test["outcomes"])
        listed = rows.get("by_candidate", {})
        acting = np.array([listed.get(each["id"], rows.get("default")) for each in candidates], dtype=float)
        quiet = np.array(rows.get("quiet", [0.0] * width), dtype=float)
        share = (quiet_share * (1.0 - test.get("provocation", 0.0)))[:, None]
        mixed = (1.0 - share) * acting + share * quiet
        table[place, :width] = (mixed / mixed.sum(axis=1, keepdims=True)).T
    return table
