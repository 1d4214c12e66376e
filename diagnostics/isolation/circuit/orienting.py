"""Wires turned so that they lead away from where the work starts, whichever way they were drawn."""

from __future__ import annotations

from dataclasses import replace

from diagnostics.isolation.circuit.physics import Network
from diagnostics.isolation.circuit.places import Circuit, Wire


def oriented(circuit: Circuit) -> Circuit:
    """Return the map with every wire leading away from the test socket's hub, or from the source.

    The two rules of parting and unplugging go by the direction of a wire; who draws on a tablet should not
    have to think of it. The leg of the test socket leads to the socket. A wire between two places equally far
    stays.
    """
    steps = Network(circuit).steps_from_root
    root = circuit.of_kind("tester_port", "source")[0].id
    is_bus = circuit.topology == "bus"

    def turned(wire: Wire) -> Wire:
        goes_back = steps[wire.start] > steps[wire.end]
        if is_bus and root in (wire.start, wire.end):
            goes_back = wire.start == root
        return replace(wire, start=wire.end, end=wire.start) if goes_back else wire

    return replace(circuit, wires=tuple(turned(wire) for wire in circuit.wires))
