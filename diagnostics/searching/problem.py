"""The problem of a search as it stands now: as it was posed, with what was said along the way."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

# Kinds of test that take something apart: after the repair there is nothing to read again that way.
TAKES_APART = frozenset({"remove_bar", "unplug", "swap", "jumper", "wiggle"})


def as_it_stands(
    document: Mapping[str, Any],
    *,
    open_zones: Iterable[str] = (),
    left_out: Iterable[str] = (),
    done: Iterable[str] = (),
) -> dict[str, Any]:
    """Return the document with zones that stand open and without tests that cannot be done.

    Parameters
    ----------
    document : mapping
        The problem as it was posed.
    open_zones : zone ids
        What was said to stand open; the zones around one are open too.
    left_out : test ids
        What cannot be done. A test that must follow one of them cannot be done either.
    done : test ids
        Tests that were read already stay: their readings go on telling what they told.

    Returns
    -------
    dict
        With at least one test: where none is left, those of the document stand.
    """
    zones = _opened(document.get("zones", ()), set(open_zones))
    kept = _without(document["tests"], set(left_out), set(done))
    return {**document, "zones": zones, "tests": kept or list(document["tests"])}


def _opened(zones: Iterable[Mapping[str, Any]], told: set[str]) -> list[dict[str, Any]]:
    inside = {zone["id"]: zone.get("inside", "") for zone in zones}
    reached: set[str] = set()
    for zone in told & inside.keys():
        while zone and zone not in reached:
            reached.add(zone)
            zone = inside.get(zone, "")
    return [{**zone, "already_open": True} if zone["id"] in reached else dict(zone) for zone in zones]


def _without(
    tests: Iterable[Mapping[str, Any]], left_out: set[str], done: set[str]
) -> list[Mapping[str, Any]]:
    gone = left_out - done
    kept = list(tests)
    while waiting := {test["id"] for test in kept if test["id"] in gone or set(test.get("after", ())) & gone}:
        gone |= waiting
        kept = [test for test in kept if test["id"] not in waiting]
    return kept


def can_be_repeated(test: Mapping[str, Any]) -> bool:
    """Whether a reading of this test can be taken again after the repair (practice.md section 5, R17).

    "Bar out at hub B: the line comes up" finds the way and proves nothing afterwards; a level at the socket,
    or the voltage at a plug with everything in place, is taken again.
    """
    return test["kind"] not in TAKES_APART and not test.get("probe", {}).get("part")
