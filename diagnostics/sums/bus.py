"""Resistance across a two-wire data bus: how many terminators should, and do, answer (section 3.3, 3.5)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from diagnostics.sums.care import care
from diagnostics.sums.circuit import parallel_ohms
from diagnostics.sums.figures import figure
from shared.computing import Given, Refused, computation

GROUP = "Data buses"

TERMINATOR_OHMS = 120.0  # At each end of the line: ISO 11898-2, read in several public pages.
AS_BUILT = 2
MOST_TERMINATORS = 12
# A pair reading within this share of a whole number of terminators counts as that number. Project rule: wide
# enough for 5 % resistors with some ten nodes of tens of kilohm beside them.
NEAR_SHARE = 0.12
SHORTED_BELOW_OHMS = 5.0  # Common practice.
OPEN_ABOVE_OHMS = 1000.0  # Common practice: only nodes, tens of kilohm each, are left.
ASLEEP = (
    "Measure with the network asleep or without supply, some minutes after the key is off: "
    "bias currents falsify it."
)

EACH = Given("each_ohms", "Each terminator, 120 Ω if empty", "Ω", above=0, high=10_000, optional=True)
CARE = care("network", "restraint")


@computation(
    "bus.expected_ohms",
    "What a meter should read across the two wires with so many terminators",
    Given(
        "terminators", "Terminators that are connected", kind="whole", low=0, high=MOST_TERMINATORS, example=2
    ),
    EACH,
    Given("nodes", "Nodes without a terminator", kind="whole", low=0, high=200, optional=True),
    Given("node_kohm", "Each such node, 25 kΩ if empty", "kΩ", above=0, high=10_000, optional=True),
    unit="Ω",
    formula="1 / R = n / 120 + nodes / R node",
    source="ISO 11898-2: 120 Ω at each end; a node without one has 10 to 50 kΩ (public service text)",
    mark="read",
    valid=f"High-speed CAN; a fault-tolerant low-speed bus has no such rule. {ASLEEP}",
    cautions=CARE,
    group=GROUP,
    says=lambda answer, given: (
        f"{figure(answer)} Ω across the pair; 60 Ω is the bus as built, with both ends closed."
    ),
)
def expected_ohms(
    terminators: int, each_ohms: float = TERMINATOR_OHMS, nodes: int = 0, node_kohm: float = 25.0
) -> float:
    """Return the resistance of terminators and nodes in parallel. [Ω]"""
    if terminators + nodes == 0:
        raise Refused("terminators", "With no terminator and no node the pair is open.", "one or more in all")
    return parallel_ohms([each_ohms] * terminators + [node_kohm * 1000] * nodes)


MEANINGS = {
    "as-built": "Both ends are closed and reached: the pair itself is whole.",
    "one-end": "One terminator answers: the other is missing, or a wire between here and it is open.",
    "too-many": (
        "More terminators answer than a bus has ends: one too many was fitted, or a branch "
        "lies across the pair."
    ),
    "shorted": "The two wires touch: unplug node by node or part the loom until it rises.",
    "no-end": "No terminator answers, only nodes: both are missing, or both wires are open on this side.",
    "between": (
        "This fits no whole number of terminators: corroded splice, wrong resistor, or the network was awake."
    ),
}


def _pair_says(answer: Mapping[str, Any], given: Mapping[str, Any]) -> str:
    return f"{figure(given['ohms'])} Ω. {MEANINGS[answer['meaning']]}"


@computation(
    "bus.pair_reading",
    "What a resistance read across the two wires of a bus means",
    Given("ohms", "Resistance across the pair", "Ω", low=0, high=1e9, example=119.2),
    EACH,
    answers={"meaning": "", "terminators": "", "expected_ohms": "Ω"},
    formula="n = the whole number nearest to 120 / R; it counts where R is within 12 % of 120 / n",
    source="ISO 11898-2 for 120 Ω at each end; the bands are those usual in the trade",
    mark="common practice",
    valid=f"High-speed CAN. {ASLEEP}",
    cautions=CARE,
    group=GROUP,
    says=_pair_says,
)
def pair_reading(ohms: float, each_ohms: float = TERMINATOR_OHMS) -> dict[str, str | int | float | None]:
    """Return a key of `MEANINGS`, how many terminators answer (None: no whole number), what they make. [Ω]"""
    if ohms < SHORTED_BELOW_OHMS:
        return {"meaning": "shorted", "terminators": None, "expected_ohms": each_ohms / AS_BUILT}
    if ohms > OPEN_ABOVE_OHMS:
        return {"meaning": "no-end", "terminators": 0, "expected_ohms": each_ohms / AS_BUILT}
    count = max(round(each_ohms / ohms), 1)
    if abs(ohms * count / each_ohms - 1) > NEAR_SHARE:
        return {"meaning": "between", "terminators": None, "expected_ohms": each_ohms / AS_BUILT}
    meaning = {1: "one-end", AS_BUILT: "as-built"}.get(count, "too-many")
    return {"meaning": meaning, "terminators": count, "expected_ohms": each_ohms / count}
