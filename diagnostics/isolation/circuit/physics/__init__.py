"""What a test would read if a suspect were true: the map as a graph that is cut, broken and searched."""

from diagnostics.isolation.circuit.physics.defects import Defect, Defects, defects_of
from diagnostics.isolation.circuit.physics.network import Network
from diagnostics.isolation.circuit.physics.reading import (
    OHM_BANDS,
    Probe,
    pair_row,
    probe_of,
    reader,
    reads_wrong,
    row,
    simulate,
)

__all__ = [
    "OHM_BANDS",
    "Defect",
    "Defects",
    "Network",
    "Probe",
    "defects_of",
    "pair_row",
    "probe_of",
    "reader",
    "reads_wrong",
    "row",
    "simulate",
]
