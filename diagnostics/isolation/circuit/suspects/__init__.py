"""The suspects of a map: by topology, then by what can produce the confirmed symptom."""

from __future__ import annotations

from diagnostics.isolation.circuit.built import LeftOut, Options
from diagnostics.isolation.circuit.physics import Network
from diagnostics.isolation.circuit.places import Circuit
from diagnostics.isolation.circuit.suspects.on_a_bus import suspects_of_bus
from diagnostics.isolation.circuit.suspects.on_a_feed import suspects_of_draw, suspects_of_feed
from diagnostics.isolation.circuit.suspects.suspect import WEIGHTS, Suspect, short, suspect
from diagnostics.isolation.circuit.suspects.symptom import (
    dead_loads,
    explaining,
    explains,
    refuse_symptom,
    watched,
)

MAKERS = {"bus": suspects_of_bus, "feed": suspects_of_feed, "draw": suspects_of_draw}


def suspects_of(circuit: Circuit, network: Network, options: Options) -> tuple[list[Suspect], list[LeftOut]]:
    """Return the suspects that can produce the confirmed symptom, and the ones left out with the reason."""
    refuse_symptom(circuit, options.symptom)
    return explaining(network, MAKERS[circuit.topology](circuit), options)


__all__ = ["WEIGHTS", "Suspect", "dead_loads", "explains", "short", "suspect", "suspects_of", "watched"]
