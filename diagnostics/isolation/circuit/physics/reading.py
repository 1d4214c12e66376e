"""What a test would read if a suspect were true: the circuit simulated under one probe.

References
----------
.. [1] fault-isolation.md section 7. Read.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from math import inf
from typing import Any, Literal

from diagnostics.isolation.circuit.physics import bus, draw, feed
from diagnostics.isolation.circuit.physics.defects import HIDDEN, Defect, Defects, at_of, defects_of
from diagnostics.isolation.circuit.physics.network import Network
from diagnostics.isolation.circuit.places import Circuit

Quantity = Literal[
    "bus_state",
    "answers",
    "voltage",
    "resistance_to_ground",
    "current",
    "look",
    "disturbed",
    "drop",
    "alone",
]

PULLING_FROM_ONE_PLACE = frozenset(("pulls_bus", "short_to_ground", "short_to_power"))
DISTURBING_FROM_ONE_PLACE = PULLING_FROM_ONE_PLACE | {"open", "high_resistance"}
STAYS_AFTER_SWAP = ("unfed", "unlisted")  # A new unit in a plug without supply is silent too.
UNLOADED_MISS = 0.3  # A high resistance reads as good without load. Common practice, fault-isolation.md 7.
UNIT_SHORT_SHOWN = 0.5  # A unit that holds the pair shows it asleep about every second time. Invented.
OHM_BANDS: tuple[tuple[str, float, float], ...] = (
    ("touching", 0.0, 20.0),
    ("about_40", 20.0, 50.0),
    ("about_60", 50.0, 70.0),
    ("about_120", 70.0, 200.0),
    ("open", 200.0, inf),
)


@dataclass(frozen=True, slots=True)
class Probe:
    """What is done to the circuit and what is read.

    Beyond the quantities of the document: `disturbed`, messages lost at the test socket; `drop`, the voltage
    over one part with the load on; `alone`, one part tried by itself.
    `part`: wires parted and places unplugged; `bridge`: wires joined back; `swapped`: places whose fault goes
    with the old part; `is_loaded`: whether current flows while a voltage is read; `false_alarm`, `miss`:
    chances of reading it wrong.
    """

    quantity: Quantity
    at: str = ""
    part: tuple[str, ...] = ()
    bridge: tuple[str, ...] = ()
    swapped: tuple[str, ...] = ()
    is_loaded: bool = True
    false_alarm: float = 0.0
    miss: float = 0.0


def probe_of(written: Mapping[str, Any]) -> Probe:
    """Return the probe that a test of a document carries."""
    return Probe(
        written["quantity"],
        written.get("at", ""),
        tuple(written.get("part", ())),
        tuple(written.get("bridge", ())),
        false_alarm=written.get("false_alarm", 0.0),
        miss=written.get("miss", 0.0),
    )


def reads_wrong(network: Network, defects: Defects, probe: Probe) -> bool:
    """Whether an error-free reading is not that of a sound circuit."""
    left = _left(network, defects, probe)
    if probe.quantity == "look":
        return _is_seen(network, left, probe.at)
    if probe.quantity == "alone":
        return any(defect.at == probe.at for defect in left)
    if at_of(left, "unlisted"):
        return True
    cuts = network.cuts(probe.part, probe.bridge)
    match network.circuit.topology:
        case "bus":
            return _bus(network, left, probe, cuts)
        case "feed":
            return _feed(network, left, probe, cuts)
        case _:
            if probe.at in ("", network.root):
                return draw.still_draws(network, left, cuts)
            return draw.flows_over(network, probe.at, left, cuts)


def _left(network: Network, defects: Defects, probe: Probe) -> Defects:
    """What is still wrong after swapping parts and taking bars out."""
    if not defects or (not probe.swapped and len(probe.part) < 2):
        return defects
    return tuple(
        defect
        for defect in defects
        if (defect.at not in probe.swapped or defect.kind in STAYS_AFTER_SWAP)
        and not _leaves_with_bar(network, defect, probe.part)
    )


def _is_seen(network: Network, defects: Defects, at: str) -> bool:
    """Whether looking at a place shows it: not what is inside a unit, but a fuse that a short has blown."""
    shown = feed.with_blown(network, defects) if network.circuit.topology == "feed" else defects
    return any(defect.at == at and defect.kind not in HIDDEN for defect in shown)


def _leaves_with_bar(network: Network, defect: Defect, part: tuple[str, ...]) -> bool:
    """Whether a unit that is not drawn hangs on a leg that comes off with the bar of its hub."""
    return defect.kind == "extra_unit" and len(part) > 1 and network.is_bar_out(defect.at, part)


def _bus(network: Network, defects: Defects, probe: Probe, cuts: frozenset[tuple[str, str]]) -> bool:
    if probe.quantity == "answers":
        return probe.at in probe.part or bus.is_silent(network, probe.at, defects, cuts)
    if probe.quantity == "voltage":
        return probe.at in at_of(defects, "unfed")
    if probe.quantity == "resistance_to_ground":
        return bus.leaks(network, probe.at, defects, cuts)
    if probe.quantity == "disturbed":
        return bus.is_disturbed(network, defects, cuts)
    return bus.is_dead(network, probe.at or network.root, defects, cuts)


def _feed(network: Network, defects: Defects, probe: Probe, cuts: frozenset[tuple[str, str]]) -> bool:
    if probe.quantity == "answers":
        return feed.is_out(network, probe.at, defects, cuts)
    if probe.quantity == "resistance_to_ground":
        return feed.is_shorted(network, probe.at, defects, cuts)
    broken = feed.broken_of(network, defects)
    if probe.quantity == "drop":
        return probe.at in broken and feed.has_current(network, probe.at, broken)
    if feed.is_fed_side(network, probe.at):
        return feed.lacks_supply(network, probe.at, broken, cuts)
    return feed.is_lifted(network, probe.at, broken, at_of(defects, "dead"), cuts)


def row(network: Network, defects: Defects, probe: Probe) -> tuple[float, float]:
    """Return the chances of the sound and of the wrong reading; they sum to 1."""
    if not reads_wrong(network, defects, probe):
        return (1 - probe.false_alarm, probe.false_alarm)
    miss = probe.miss
    if not probe.is_loaded and not reads_wrong(network, _without_resistances(defects), probe):
        miss = max(miss, UNLOADED_MISS)
    return (miss, 1 - miss)


def reader(network: Network, probe: Probe) -> Callable[[Defects], tuple[float, ...]]:
    """Return `row` of one probe for many suspects.

    Most suspects of a data line pull or disturb it from one place: for them the connected part is searched
    once, and the reading is wrong when the place lies in it.
    """
    if probe.quantity == "alone":
        lots = ((1 - probe.false_alarm, probe.false_alarm), (probe.miss, 1 - probe.miss))
        return lambda defects: lots[any(defect.at == probe.at for defect in defects)]
    if network.circuit.topology != "bus" or probe.quantity not in ("bus_state", "disturbed"):
        return lambda defects: row(network, defects, probe)
    is_disturbed = probe.quantity == "disturbed"
    at = network.root if is_disturbed else probe.at or network.root
    kinds = DISTURBING_FROM_ONE_PLACE if is_disturbed else PULLING_FROM_ONE_PLACE
    seen = network.region(at, network.cuts(probe.part, probe.bridge)) - set(probe.swapped)
    sound, wrong = (1 - probe.false_alarm, probe.false_alarm), (probe.miss, 1 - probe.miss)
    is_always_wrong = reads_wrong(network, (), probe)

    def reads(defects: Defects) -> tuple[float, ...]:
        if len(defects) == 1 and defects[0].kind in kinds:
            return wrong if is_always_wrong or defects[0].at in seen else sound
        return row(network, defects, probe)

    return reads


def _without_resistances(defects: Defects) -> Defects:
    return tuple(defect for defect in defects if defect.kind != "high_resistance")


def pair_row(network: Network, defects: Defects, probe: Probe) -> tuple[float, ...]:
    """Return the chances of each band of `OHM_BANDS` for the resistance across a pair; they sum to 1.

    The probe's `miss` is spread over the other bands. A unit that holds the line shows it part of the time.
    """
    left = _left(network, defects, probe)
    cuts = network.cuts(probe.part, probe.bridge)
    units = network.of_kind("module")
    sound = tuple(d for d in left if not (d.kind == "pulls_bus" and d.at in units))
    seen = _band_row(bus.pair_ohm(network, probe.at, left, cuts), probe.miss)
    if sound == left:
        return seen
    hidden = _band_row(bus.pair_ohm(network, probe.at, sound, cuts), probe.miss)
    share = UNIT_SHORT_SHOWN
    return tuple(share * one + (1 - share) * other for one, other in zip(seen, hidden, strict=True))


def _band_row(ohm: float, miss: float) -> tuple[float, ...]:
    at = next(place for place, (_, _, high) in enumerate(OHM_BANDS) if ohm < high or high == inf)
    rest = miss / (len(OHM_BANDS) - 1)
    return tuple(1 - miss if place == at else rest for place in range(len(OHM_BANDS)))


def simulate(
    circuit: Circuit,
    candidates: Iterable[Mapping[str, Any]],
    probe: Mapping[str, Any],
) -> dict[str, tuple[float, float]]:
    """Return the likelihood row of every candidate of a document under the probe of one of its tests."""
    by_id = {candidate["id"]: candidate for candidate in candidates}
    network = Network(circuit)
    asked = probe_of(probe)
    return {id: row(network, defects_of(circuit, one, by_id), asked) for id, one in by_id.items()}


def quiet_row(network: Network, probe: Probe) -> tuple[float, float]:
    """Return the row of a sound circuit: what is read while the fault rests."""
    return row(network, (), probe)
