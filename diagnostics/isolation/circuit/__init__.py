"""From a drawn map of a circuit to a complete isolation problem. Plain values, no Django."""

from diagnostics.isolation.circuit.building import build
from diagnostics.isolation.circuit.built import (
    Alike,
    Built,
    Component,
    LeftOut,
    Listens,
    Options,
    Override,
    Symptom,
)
from diagnostics.isolation.circuit.checking import CircuitError, Wrong, check
from diagnostics.isolation.circuit.confirming import confirming
from diagnostics.isolation.circuit.physics import simulate
from diagnostics.isolation.circuit.places import (
    FITTED,
    KINDS,
    TOPOLOGIES,
    Circuit,
    Place,
    Wire,
    Zone,
)
from diagnostics.isolation.circuit.template import SHAPES, template
from diagnostics.isolation.circuit.writing import as_dict, from_dict, zones_as_list

__all__ = [
    "FITTED",
    "KINDS",
    "SHAPES",
    "TOPOLOGIES",
    "Alike",
    "Built",
    "Circuit",
    "CircuitError",
    "Component",
    "LeftOut",
    "Listens",
    "Options",
    "Override",
    "Place",
    "Symptom",
    "Wire",
    "Wrong",
    "Zone",
    "as_dict",
    "build",
    "check",
    "confirming",
    "from_dict",
    "simulate",
    "template",
    "zones_as_list",
]
