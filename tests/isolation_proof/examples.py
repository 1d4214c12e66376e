"""The worked examples of fault-isolation.md, section 13, as problem documents."""

import heapq
import json
from collections.abc import Collection, Mapping, Sequence
from pathlib import Path
from typing import Any

TWO_HUBS = Path(__file__).with_name("isolation-example.json")
DEAR = 1000.0
GOOD_BAD = ("good", "bad")


def problem(
    priors: Mapping[str, float], tests: Sequence[dict[str, Any]], *, zones: Sequence[dict[str, Any]] = ()
) -> dict[str, Any]:
    """A document of plain suspects, in which a wrong call is dear."""
    total = sum(priors.values())
    return {
        "format": "isolation-problem/1",
        "id": "example",
        "title": "worked example",
        "zones": list(zones),
        "candidates": [
            {"id": name, "kind": "dead", "prior": prior / total} for name, prior in priors.items()
        ],
        "tests": list(tests),
        "stop": {"wrong_minutes": DEAR},
    }


def check(
    name: str, bad: Collection[str], *, minutes: float = 1, zones: Sequence[str] = ()
) -> dict[str, Any]:
    """A sure test that reads bad for these suspects."""
    return {
        "id": name,
        "kind": "measure",
        "minutes": minutes,
        "zones": list(zones),
        "outcomes": [{"id": outcome} for outcome in GOOD_BAD],
        "likelihood": {"default": [1, 0], "by_candidate": {suspect: [0, 1] for suspect in bad}},
    }


def polybox() -> dict[str, Any]:
    """13.1: three multipliers, two adders; what X, Y and Z read under each minimal diagnosis."""
    # The chance that the other parts are sound is taken for 1: so the printed bits and minutes come out.
    one, two = 0.01, 0.01**2
    reads = {"X": (6, 4, 6, 6), "Y": (6, 6, 4, 4), "Z": (6, 6, 6, 8)}
    names = ("A1", "M1", "A2_M2", "M2_M3")
    tests = []
    for point, values in reads.items():
        seen = sorted(set(values))
        rows = {
            name: [float(value == one_of) for one_of in seen]
            for name, value in zip(names, values, strict=True)
        }
        likelihood = {"default": rows["A1"], "by_candidate": rows}
        outcomes = [{"id": f"v{value}"} for value in seen]
        tests.append({**check(point, ()), "outcomes": outcomes, "likelihood": likelihood})
    return problem(dict(zip(names, (one, one, two, two), strict=True)), tests)


def line(stages: int, names: Sequence[str]) -> dict[str, Any]:
    """13.2 and 13.3: equal stages in a row; a check is bad when the fault lies before it."""
    suspects = [f"s{place}" for place in range(1, stages + 1)]
    tests = [check(name, suspects[:place]) for place, name in enumerate(names, start=1)]
    return problem(dict.fromkeys(suspects, 1.0), tests)


HUFFMAN = (0.20, 0.18, 0.10, 0.10, 0.10, 0.06, 0.06, 0.04, 0.04, 0.04, 0.04, 0.03, 0.01)


def huffman_length(shares: Sequence[float]) -> float:
    """Expected questions of Huffman's tree: the sum of all merged weights."""
    heap, total = list(shares), 0.0
    heapq.heapify(heap)
    while len(heap) > 1:
        merged = heapq.heappop(heap) + heapq.heappop(heap)
        total += merged
        heapq.heappush(heap, merged)
    return total


def questions() -> dict[str, Any]:
    """13.4: yes/no questions at one price: those of a Huffman tree, and each likely suspect."""
    suspects = {f"s{place:02}": share for place, share in enumerate(HUFFMAN)}
    heap = [(share, (name,)) for name, share in suspects.items()]
    asked = {frozenset([name]) for name in list(suspects)[:3]}
    heapq.heapify(heap)
    while len(heap) > 1:
        (one, left), (two, right) = heapq.heappop(heap), heapq.heappop(heap)
        asked.add(frozenset(left))
        heapq.heappush(heap, (one + two, left + right))
    ordered = sorted(sorted(names) for names in asked)
    return problem(suspects, [check(f"q{place}", names) for place, names in enumerate(ordered)])


UNITS = tuple(f"u{place}" for place in range(1, 12))


def hub_or_easy_ones(*, unplug: float = 8, routes: Collection[str] = ("hub", "easy")) -> dict[str, Any]:
    """13.5: eleven equal units, each to unplug; or the hub under a floor panel, and any cut there."""
    tests = []
    if "easy" in routes:
        tests += [check(f"unplug_{unit}", [unit], minutes=unplug) for unit in UNITS]
    if "hub" in routes:
        cuts = range(1, len(UNITS))
        tests += [check(f"cut_{place}", UNITS[:place], minutes=2, zones=["panel"]) for place in cuts]
    panel = {"id": "panel", "open_minutes": 20, "close_minutes": 10}
    return problem(dict.fromkeys(UNITS, 1.0), tests, zones=[panel])


def two_hubs() -> dict[str, Any]:
    """13.7: the example document as it stands."""
    return json.loads(TWO_HUBS.read_text(encoding="utf-8"))


def two_hubs_hard_fault() -> dict[str, Any]:
    """13.6: activity removed, inspection and wiggle tests removed."""
    document = two_hubs()
    document["tests"] = [test for test in document["tests"] if test["kind"] not in ("inspect", "wiggle")]
    for candidate in document["candidates"]:
        candidate.pop("activity", None)
    return document


# Probability, observation minutes and repair minutes of five components; the rest is a hair.
COMPONENTS = {
    "a": (0.1, 4, 30),
    "b": (0.35, 10, 12),
    "c": (0.2, 3, 45),
    "d": (0.3, 12, 8),
    "e": (0.05, 1, 60),
}
HAIR = 1e-9


def observe_and_repair() -> dict[str, Any]:
    """13.8: look at one component after the other until the faulty one is seen."""
    priors = {name: share for name, (share, _, _) in COMPONENTS.items()}
    tests = [check(f"see_{name}", [name], minutes=minutes) for name, (_, minutes, _) in COMPONENTS.items()]
    document = problem({**priors, "other": HAIR}, tests)
    # So dear that even the hair is worth a look: the last component is looked at as well.
    document["stop"]["wrong_minutes"] = 1e12
    return document


def cost_of_repair(order: Sequence[str]) -> float:
    """Heckerman, Breese and Rommelse: expected minutes of observation and repair in this order."""
    total, left = 0.0, 1.0
    for name in order:
        share, observe, repair = COMPONENTS[name]
        total += left * observe + share * repair
        left -= share
    return total
