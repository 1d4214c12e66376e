"""The one positive reading at the named part that shows it is the cause.

A planner without it proves the last suspect guilty by elimination (fault-isolation.md 12, pitfall 5).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from diagnostics.isolation.circuit.built import Listens
from diagnostics.isolation.circuit.places import Circuit
from diagnostics.isolation.circuit.planned.on_a_bus import END_OHM
from diagnostics.isolation.circuit.planned.on_a_feed import CONNECTOR_V, GROUND_V, SWITCH_V
from diagnostics.isolation.circuit.planned.plan import LONGEST_POINT
from diagnostics.isolation.circuit.suspects import short

GOOD, BAD = "sound", "shown"


def confirming(circuit: Circuit, candidate: Mapping[str, Any]) -> Listens | None:
    """Return the reading at the named part that shows a candidate of a built document.

    Parameters
    ----------
    circuit : Circuit
        The map the document was built from.
    candidate : mapping
        One of its candidates: id, kind, at.

    Returns
    -------
    Listens or None
        Outcome "shown" (fail) confirms, "sound" (pass) does not. None for "none of these", which names no
        part, and for two faults at once, whose members are confirmed one by one.
    """
    kind, at = candidate["kind"], candidate.get("at", "")
    if kind in ("catch_all", "compound") or not at:
        return None
    name = circuit.name_of(at)
    if kind == "assumption":
        return _belief(circuit, at, name)
    if at in circuit.wire_by_id:
        return _listens(
            "wire_alone",
            name,
            f"Measure the {name} by itself",
            f"Part the {name} at both ends. Measure it through, each end to ground and to power, and between "
            "the wires of a pair; move it while you read.",
            f"{name} by itself, both ends open: the fault shows.",
        )
    way = str(candidate.get("id", "")).split("_", 1)[0]
    return _of_place(circuit, at, name, kind, way)


def _of_place(circuit: Circuit, at: str, name: str, kind: str, way: str) -> Listens:
    place = circuit.place_by_id[at].kind
    if circuit.topology == "draw":
        return _draw(name)
    if place == "end_resistor":
        return _end_resistor(name)
    if way == "unfed":
        return _listens(
            "unit_feed",
            name,
            f"Supply and ground of the {name}, loaded",
            "Back-probe each supply and ground pin with the unit plugged in, and load the pin with a lamp. "
            "Note the pin that does not hold.",
            f"{name}: supply or ground lost under load.",
        )
    if place in ("module", "load"):
        return _unit(circuit, at, name, kind)
    if circuit.topology == "bus":
        return _seen(name, "for water, green, spread and loose pins")
    return _contact(place, name, kind)


def _unit(circuit: Circuit, at: str, name: str, kind: str) -> Listens:
    if circuit.topology == "feed":
        return _listens(
            "load_direct",
            name,
            f"Feed the {name} directly",
            f"Unplug the {name} and feed it by a fused lead and a ground of its own.",
            f"{name} fed directly: does not work.",
        )
    if kind == "pulls_bus":
        return _listens(
            "unit_unplugged",
            f"{name} unplugged",
            f"Unplug the {name}, plug it in again, twice",
            f"The line must come up each time the {name} is unplugged and go down with it plugged in.",
            f"{name} unplugged and plugged in twice: the symptom goes and comes with it.",
        )
    return _listens(
        "swap_try",
        name,
        f"Put a known-good {name} in",
        f"Supply, ground and line at the plug are good. Put a known-good {name} in and see whether it "
        "answers; put the old one back to see it silent again.",
        f"Known-good {name} in: the symptom is gone, with the old one it is back.",
    )


def _contact(place: str, name: str, kind: str) -> Listens:
    """Over one contact with the load on, or for a blown fuse its test points."""
    if place == "fuse" and kind == "open":
        return _listens(
            "fuse_state",
            name,
            f"Test {name} on both test points",
            "Measure from each test point to ground with the circuit on, then pull it and look at it.",
            f"{name}: voltage on one test point only, blown.",
        )
    if place == "source":
        return _number("supply_drop", name, 0.2, f"Voltage lost up to {name}")
    if place == "ground":
        return _number("ground_drop", name, GROUND_V, f"Drop from {name} to the battery negative post")
    code, limit = ("switch_drop", SWITCH_V) if place == "switch" else ("connector_drop", CONNECTOR_V)
    return _number(code, name, limit, f"Drop over {name}, load on")


def _number(code: str, name: str, limit: float, what: str) -> Listens:
    return Listens(
        code,
        short(name, LONGEST_POINT),
        "V",
        None,
        limit,
        {GOOD: "pass", BAD: "fail"},
        {GOOD: f"{what}: at most {limit:g} V.", BAD: f"{what}: more than {limit:g} V."},
        what,
        "Switch the load on, or put a lamp of like power in its place. Measure over the part itself, and "
        "move it gently while you read.",
    )


def _end_resistor(name: str) -> Listens:
    return Listens(
        "end_resistor_alone",
        short(name, LONGEST_POINT),
        "ohm",
        *END_OHM,
        {GOOD: "pass", BAD: "fail"},
        {GOOD: f"{name} alone: about 120 ohm.", BAD: f"{name} alone: not 120 ohm."},
        f"Resistance of the {name} by itself",
        "Unplug it and measure over its own two pins; look at the pins too. One end reads 120 ohm.",
    )


def _draw(name: str) -> Listens:
    return _listens(
        "draw_branch_off",
        f"{name} unplugged",
        f"Unplug the {name}, let the car sleep, read the total current",
        f"The current must fall to normal with the {name} unplugged and rise again with it plugged in, each "
        "time after the car has fallen asleep.",
        f"{name} unplugged: the current falls to normal.",
    )


def _belief(circuit: Circuit, at: str, name: str) -> Listens:
    if at in circuit.wire_by_id:
        port = circuit.of_kind("tester_port")[0].name
        return _listens(
            "swap_try",
            f"{port} and lead",
            f"Read the line past the {port}, with another lead",
            "Read the line at the hub itself and at the socket with another lead, at the same moment.",
            f"The line is alive at the hub, and at the {port} only with another lead or pin.",
        )
    if circuit.place_by_id[at].kind in ("module", "load"):
        return _listens(
            "fitted_look",
            name,
            f"See whether the {name} is fitted at all",
            "Look at its place and for its plug, and ask the equipment list of this very vehicle.",
            f"{name}: not fitted to this vehicle.",
        )
    return _seen(name, "and count its wires: follow the one that is not drawn to what it feeds")


def _seen(name: str, what: str) -> Listens:
    return _listens(
        "place_look",
        name,
        f"Look at {name} {what}",
        f"Open {name} and look {what}. Take a photo before anything is cleaned.",
        f"{name} looked over: something wrong to see.",
    )


def _listens(code: str, point: str, label: str, how: str, shown: str) -> Listens:
    return Listens(
        code,
        short(point, LONGEST_POINT),
        says={GOOD: "pass", BAD: "fail"},
        observation={GOOD: f"{label}: sound.", BAD: shown},
        label=label,
        how=how,
    )
