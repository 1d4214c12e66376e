"""Reads a document of the form isolation-problem/1 into a problem."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any

import numpy as np

from diagnostics.isolation.checking import faults_of
from diagnostics.isolation.faults import Fault, ProblemError
from diagnostics.isolation.problem import Bools, Floats, Problem, reach

# Problems whose plans are kept, by the content of their documents.
MOST_KEPT = 6


def load(document: Mapping[str, Any]) -> Problem:
    """Return the problem of a document; the same one, with its plans, while it is among the last few.

    Raises
    ------
    ProblemError
        With every fault of the document: where it is, and what to do.
    """
    faults = faults_of(document)
    if faults:
        raise ProblemError(faults)
    try:
        text = json.dumps(document, sort_keys=True, default=dict)
    except (TypeError, ValueError) as error:
        raise ProblemError((Fault("", f"A problem must be plain JSON: {error}."),)) from None
    return _read(text)


@lru_cache(maxsize=MOST_KEPT)
def _read(text: str) -> Problem:
    document = json.loads(text)
    candidates, tests = _by_id(document["candidates"]), _by_id(document["tests"])
    zones = _by_id(document.get("zones", []))
    names = tuple(test["id"] for test in tests)
    # A candidate of its own may bear the name of a group; the two stay apart.
    named = {each["group"] for each in candidates if "group" in each}
    alone = {name: f"={name}" if name in named else name for name in (each["id"] for each in candidates)}
    of_candidate = [each.get("group", alone[each["id"]]) for each in candidates]
    groups = tuple(sorted(set(of_candidate)))
    prior = np.array([float(each["prior"]) for each in candidates])
    opened = np.array([bool(zone.get("already_open", False)) for zone in zones], dtype=bool)
    price = np.array([zone["open_minutes"] + zone.get("close_minutes", 0) for zone in zones], dtype=float)
    return Problem(
        document=document,
        candidates=tuple(each["id"] for each in candidates),
        tests=names,
        zones=tuple(zone["id"] for zone in zones),
        groups=groups,
        outcomes=tuple(tuple(each["id"] for each in test["outcomes"]) for test in tests),
        prior=prior / prior.sum(),
        group=np.array([groups.index(name) for name in of_candidate]),
        likelihood=_likelihood(tests, candidates),
        minutes=np.array([float(test["minutes"]) for test in tests]),
        max_uses=np.array([test.get("max_uses", 1) for test in tests], dtype=np.int64),
        needs=_needs(tests, zones),
        zone_minutes=np.where(opened, 0.0, price),
        already_open=opened,
        after=reach(names, {test["id"]: test.get("after", ()) for test in tests}),
        wrong_minutes=float(document["stop"]["wrong_minutes"]),
    )


def _by_id(entries: Sequence[Mapping[str, Any]]) -> list[Mapping[str, Any]]:
    return sorted(entries, key=lambda entry: str(entry["id"]))


def _needs(tests: Sequence[Mapping[str, Any]], zones: Sequence[Mapping[str, Any]]) -> Bools:
    names = [zone["id"] for zone in zones]
    around = reach(names, {zone["id"]: [zone["inside"]] for zone in zones if zone.get("inside")})
    around |= np.eye(len(names), dtype=bool)
    needs = np.zeros((len(tests), len(names)), dtype=bool)
    for place, test in enumerate(tests):
        for zone in test.get("zones", ()):
            needs[place] |= around[names.index(zone)]
    return needs


def _likelihood(tests: Sequence[Mapping[str, Any]], candidates: Sequence[Mapping[str, Any]]) -> Floats:
    """Section 2: the acting row and the quiet row, mixed by the activity that the test raises."""
    most = max(len(test["outcomes"]) for test in tests)
    place = {candidate["id"]: at for at, candidate in enumerate(candidates)}
    calm = 1 - np.array([float(candidate.get("activity", 1)) for candidate in candidates])
    found = np.zeros((most, len(tests), len(candidates)))
    for number, test in enumerate(tests):
        rows, count = test["likelihood"], len(test["outcomes"])
        acting = np.zeros((len(candidates), count))
        if "default" in rows:
            acting[:] = rows["default"]
        for name, row in rows.get("by_candidate", {}).items():
            acting[place[name]] = row
        activity = (1 - calm * (1 - test.get("provocation", 0)))[:, None]
        mixed = activity * acting + (1 - activity) * np.array(rows.get("quiet", np.zeros(count)))
        found[:count, number] = (mixed / mixed.sum(axis=1, keepdims=True)).T
    return found
