"""What to warn of before a test is offered: by what is done and by the names of the places.

Common practice of the trade; the maker's procedure and local rules come first. The planner does not weigh
safety against minutes (fault-isolation.md 12, pitfall 12).
"""

from __future__ import annotations

import re

from diagnostics.isolation.circuit.planned.plan import Bench, Planned

_BY_NAME: tuple[tuple[str, str], ...] = (
    (
        r"\b(airbag|air bag|restraint|belt tensioner|seat belt|squib|occupant|curtain bag)",
        "Restraint system, yellow plugs: ignition off, battery ground off, wait the maker's time (at least 3 "
        "minutes) and follow the maker's procedure before unplugging anything.",
    ),
    (
        r"\b(hybrid|traction|inverter|high voltage|high-voltage|charger|orange)",
        "High voltage, orange cables: only a person qualified for it, isolated by the maker's procedure.",
    ),
    (
        r"\b(fuel|petrol|diesel|gas tank|gas pump)",
        "Fuel near: no sparks, ventilate, extinguisher at hand; follow the maker's procedure.",
    ),
)
_KEY_OFF = "Key off before parting a connector."
_SETUP = "A swapped unit may need coding or may keep what it has learned: check the maker's procedure first."
_BRIDGE = "Use a fused lead, and never bridge a unit, a fuse or a restraint circuit."
_ASLEEP = "Key off and the network asleep: a unit that is awake falsifies the reading."
_WAKES = "Opening doors and unplugging wakes units: let the car fall asleep again before reading."


def caution_of(bench: Bench, planned: Planned) -> str:
    """Return the warnings of one test as sentences, the dangerous first; "" where there are none."""
    texts = [text for words, text in _BY_NAME if re.search(words, _named(bench, planned), re.IGNORECASE)]
    texts += [planned.caution] if planned.caution else []
    if planned.code == "draw_branch_off" and not planned.caution:
        texts.append(_WAKES)
    if planned.code in ("can_termination", "can_pair_isolation"):
        texts.append(_ASLEEP)
    if planned.kind in ("remove_bar", "unplug") or (planned.kind == "jumper" and planned.probe):
        texts.append(_KEY_OFF)
    if planned.kind == "swap":
        texts += [_KEY_OFF, _SETUP]
    if planned.kind == "jumper" and planned.probe is None:
        texts.append(_BRIDGE)
    return " ".join(dict.fromkeys(texts))


def _named(bench: Bench, planned: Planned) -> str:
    """The words a hazard can stand in: the label and the zones with what they are inside."""
    words = [planned.label, planned.point]
    for id in planned.zones:
        zone = bench.circuit.zone_by_id.get(id)
        seen: set[str] = set()
        while zone and zone.id not in seen:
            seen.add(zone.id)
            words.append(zone.label or zone.id)
            zone = bench.circuit.zone_by_id.get(zone.inside)
    return " ".join(words)
