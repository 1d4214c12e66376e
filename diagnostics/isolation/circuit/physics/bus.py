"""What a data line shows: dead or alive at a point, answers of a unit, resistance across a pair.

References
----------
.. [1] fault-isolation.md section 7, the two rules of parting and unplugging. Read.
.. [2] ISO 11898-2: 120 ohm at each end of a two-wire line, 60 ohm across the pair. Common practice, memory.
"""

from __future__ import annotations

from math import inf

from diagnostics.isolation.circuit.physics.defects import PULLING, Defects, at_of
from diagnostics.isolation.circuit.physics.network import NO_CUT, Cut, Network

END_OHM = 120.0
TOUCHING_OHM = 2.0


def is_dead(network: Network, at: str, defects: Defects, cuts: frozenset[Cut] = NO_CUT) -> bool:
    """Whether the line reads dead at a point: a pulling fault in the connected part seen from there, or
    nothing there that could give it its resting level."""
    if at_of(defects, "unlisted"):
        return True
    if at in network.of_kind("tester_port") and at_of(defects, "socket_lies"):
        return True
    opens, pulling = at_of(defects, "open"), at_of(defects, *PULLING)
    talkers = network.talkers - at_of(defects, "not_fitted")
    if not pulling and at in talkers and at not in opens:
        return False
    region = network.region(at, cuts, opens)
    return bool(region & pulling) or not region & talkers


def is_silent(network: Network, unit: str, defects: Defects, cuts: frozenset[Cut] = NO_CUT) -> bool:
    """Whether a unit does not answer at the test socket: dead, absent, cut off, or the line there is down.

    A high resistance silences a unit while it acts.
    """
    if unit in at_of(defects, "dead", "unfed", "not_fitted"):
        return True
    port = network.root
    if is_dead(network, port, defects, cuts):
        return True
    return unit not in network.region(port, cuts, at_of(defects, "open", "high_resistance"))


def is_disturbed(network: Network, defects: Defects, cuts: frozenset[Cut] = NO_CUT) -> bool:
    """Whether messages are lost at the test socket, the line dead or not: something pulls, a joint is poor,
    or an end resistor is out of reach."""
    if is_dead(network, network.root, defects, cuts):
        return True
    seen = network.region(network.root, cuts)
    if seen & at_of(defects, "open", "high_resistance"):
        return True
    return network.circuit.lines == 2 and pair_ohm(network, network.root, defects, cuts) != END_OHM / 2


def leaks(network: Network, at: str, defects: Defects, cuts: frozenset[Cut] = NO_CUT) -> bool:
    """Whether one wire of a pair has a path to ground or to power at a point, asleep."""
    found = at_of(defects, "short_to_ground", "short_to_power")
    return bool(found) and bool(network.region(at, cuts, at_of(defects, "open")) & found)


def pair_ohm(network: Network, at: str, defects: Defects, cuts: frozenset[Cut] = NO_CUT) -> float:
    """Return the resistance across the two wires of a pair at a point, asleep. [ohm]

    End resistors in the connected part stand in parallel; wires or a unit that short the pair read near
    nothing; none read as open. One wire shorted to ground or power alone changes nothing across the pair.
    """
    if at in network.of_kind("tester_port") and at_of(defects, "socket_lies"):
        return inf
    region = network.region(at, cuts, at_of(defects, "open"))
    if region & at_of(defects, "pulls_bus"):
        return TOUCHING_OHM
    ends = len(region & network.of_kind("end_resistor"))
    return END_OHM / ends if ends else inf
