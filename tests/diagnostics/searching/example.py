"""The two-hub star line of the reference note, as a search holds it."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

# fault-isolation.md, isolation-example.json: read. Kept beside the tests of the map.
EXAMPLE = Path(__file__).parents[1] / "isolation/circuit/isolation-example.json"
SAYS = {"alive": "fail", "dead": "pass", "fine": "pass", "wrong": "fail", "quiet": "pass", "reacts": "fail"}
# Tests that measure say "dead" against the line; those that part something say "alive" against what is off.
MEASURES = {"measure": {"alive": "pass", "dead": "fail"}, "jumper": {"alive": "pass", "dead": "fail"}}


@cache
def _text() -> str:
    return EXAMPLE.read_text("utf-8")


def example(*, hard: bool = False) -> dict[str, Any]:
    """Return the document. `hard`: its variant without activity, looks and wiggles (section 13.6)."""
    document = json.loads(_text())
    if hard:
        for candidate in document["candidates"]:
            candidate.pop("activity", None)
        document["tests"] = [test for test in document["tests"] if test["kind"] not in ("inspect", "wiggle")]
    return document


def listens(document: dict[str, Any]) -> dict[str, Any]:
    """Return how test runs are heard: each test has a point of its own."""
    return {test["id"]: _listens(test) for test in document["tests"]}


def _listens(test: dict[str, Any]) -> dict[str, Any]:
    says = {one["id"]: (SAYS | MEASURES.get(test["kind"], {}))[one["id"]] for one in test["outcomes"]}
    seen = {one["id"]: f"{test['label']}: {one['id']}." for one in test["outcomes"]}
    return {
        "code": test["kind"],
        "point": test["id"],
        "unit": "",
        "lo": None,
        "hi": None,
        "says": says,
        "observation": seen,
        "label": test["label"],
        "how": "",
    }


def components(document: dict[str, Any]) -> dict[str, Any]:
    """Return component and failure mode of each suspect that is one."""
    nodes = {each["id"]: each.get("label", each["id"]) for each in document["circuit"]["nodes"]}
    branches = {
        each["id"]: each.get("label", f"wire {each['id']}") for each in document["circuit"]["branches"]
    }
    names = nodes | branches
    return {
        each["id"]: {"component": names[each["at"]], "mode": each["kind"].replace("_", " ")}
        for each in document["candidates"]
        if each["kind"] != "catch_all"
    }
