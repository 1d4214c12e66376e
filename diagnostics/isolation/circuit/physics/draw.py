"""What a standing draw shows: current over a fuse, and the total with a branch out.

References
----------
.. [1] fault-isolation.md section 7, `draw`. Read.
"""

from __future__ import annotations

from diagnostics.isolation.circuit.physics.defects import Defects, at_of
from diagnostics.isolation.circuit.physics.network import NO_CUT, Cut, Network


def flows_over(network: Network, fuse: str, defects: Defects, cuts: frozenset[Cut] = NO_CUT) -> bool:
    """Whether the current that should not be there passes a fuse. In a ring both fuses carry a share."""
    guilty = at_of(defects, "draw", "extra_unit")
    return any(network.lies_between(fuse, network.root, at, cuts) for at in guilty)


def still_draws(network: Network, defects: Defects, cuts: frozenset[Cut] = NO_CUT) -> bool:
    """Whether the total current is still too high: the guilty branch still hangs on the source."""
    return bool(network.region(network.root, cuts) & at_of(defects, "draw", "extra_unit"))
