"""What a feed shows from its source over the load to ground: voltages, works or not, a short.

References
----------
.. [1] fault-isolation.md section 7, `feed`. Read.
"""

from __future__ import annotations

from diagnostics.isolation.circuit.physics.defects import Defect, Defects, at_of
from diagnostics.isolation.circuit.physics.network import NO_CUT, NOTHING, Cut, Network


def with_blown(network: Network, defects: Defects) -> Defects:
    """Return the defects, and for each short to ground on the supply side the fuse that it blows.

    A feed without a fuse is held down where the short is: that counts as broken there.
    """
    added: list[Defect] = []
    for at in sorted(at_of(defects, "short_to_ground")):
        fuses = fuses_before(network, at)
        added += [Defect("open", fuse) for fuse in fuses or (at,)] if is_fed_side(network, at) else []
    return (*defects, *added)


def fuses_before(network: Network, at: str) -> tuple[str, ...]:
    """Return the fuses next to a point on its way to the source."""
    if at not in network.fuses_before:
        network.fuses_before[at] = _fuses_before(network, at)
    return network.fuses_before[at]


def _fuses_before(network: Network, at: str) -> tuple[str, ...]:
    fuses = network.of_kind("fuse")
    closed = network.loads | network.grounds
    if at in closed:
        return ()
    steps = network.steps_from_root
    inside = network.region(at, NO_CUT, closed | (fuses - {at}))
    nearest = {fuse for fuse in fuses for beside in network.neighbours(fuse) if beside in inside}
    return tuple(sorted(fuse for fuse in nearest if steps[fuse] < steps[at]))


def is_fed_side(network: Network, at: str) -> bool:
    """Whether a point of the sound circuit lies between source and load."""
    return at in network.region(network.root, NO_CUT, network.loads | network.grounds)


def lacks_supply(network: Network, at: str, broken: frozenset[str], cuts: frozenset[Cut] = NO_CUT) -> bool:
    """Whether supply is missing at the far side of a point: a break between source and point, or in it."""
    return at not in network.region(network.root, cuts, broken | (network.loads | network.grounds) - {at})


def lacks_ground(network: Network, at: str, broken: frozenset[str], cuts: frozenset[Cut] = NO_CUT) -> bool:
    """Whether no way leads from a point to ground without passing a load, the point itself included."""
    closed = broken | {network.root} | network.loads - {at}
    return not network.region(at, cuts, closed) & network.grounds


def is_lifted(
    network: Network, at: str, broken: frozenset[str], dead: frozenset[str], cuts: frozenset[Cut] = NO_CUT
) -> bool:
    """Whether a point behind a load carries voltage it should not have: the break lies beyond it towards
    ground, and a load that is fed reaches it."""
    if not lacks_ground(network, at, broken, cuts):
        return False
    sources = {network.root} | network.loads
    beside = network.region(at, cuts, (broken | sources) - {at})
    touching = {load for vertex in beside for load in network.neighbours(vertex) if load in network.loads}
    return any(not lacks_supply(network, load, broken, cuts) for load in touching - dead - broken)


def is_out(network: Network, load: str, defects: Defects, cuts: frozenset[Cut] = NO_CUT) -> bool:
    """Whether a load does not work."""
    broken = broken_of(network, defects)
    if load in broken or load in at_of(defects, "dead", "not_fitted"):
        return True
    return lacks_supply(network, load, broken, cuts) or lacks_ground(network, load, broken, cuts)


def broken_of(network: Network, defects: Defects) -> frozenset[str]:
    """Return what does not pass the load's current: opens, blown fuses, high resistances."""
    if defects not in network.broken:
        opens = at_of(with_blown(network, defects), "open")
        network.broken[defects] = opens | at_of(defects, "high_resistance")
    return network.broken[defects]


def has_current(network: Network, at: str, broken: frozenset[str]) -> bool:
    """Whether current would flow through a part if it passed any: fed on one side, grounded behind a load."""
    others = broken - {at}
    if is_fed_side(network, at):
        return not lacks_supply(network, at, others)
    return is_lifted(network, at, broken, NOTHING)


def is_shorted(network: Network, at: str, defects: Defects, cuts: frozenset[Cut] = NO_CUT) -> bool:
    """Whether the supply side reads near nothing to ground at a point, loads unplugged."""
    closed = network.loads | network.grounds | {network.root}
    if at in closed:
        return False
    return bool(network.region(at, cuts, closed) & at_of(defects, "short_to_ground"))
