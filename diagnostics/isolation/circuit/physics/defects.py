"""What can be wrong at one place, and which of it a suspect of a document names."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from diagnostics.isolation.circuit.places import Circuit

DefectKind = Literal[
    "open",
    "short_to_ground",
    "short_to_power",
    "high_resistance",
    "pulls_bus",
    "dead",
    "unfed",
    "draw",
    "not_fitted",
    "extra_unit",
    "socket_lies",
    "unlisted",
]

PULLING: tuple[DefectKind, ...] = ("pulls_bus", "short_to_ground", "short_to_power", "extra_unit")
HIDDEN: tuple[DefectKind, ...] = ("pulls_bus", "dead", "unfed", "draw", "socket_lies", "unlisted")


@dataclass(frozen=True, slots=True)
class Defect:
    """One thing wrong at one place or wire.

    `unfed`: a unit without supply or ground; `extra_unit`: something not drawn hangs there; `socket_lies`:
    the test socket does not show what the line does; `unlisted`: something that no suspect names.
    """

    kind: DefectKind
    at: str = ""


Defects = tuple[Defect, ...]


def defects_of(
    circuit: Circuit, candidate: Mapping[str, Any], by_id: Mapping[str, Mapping[str, Any]] | None = None
) -> Defects:
    """Return what is wrong if this suspect of a document is the true one; a compound asks its members."""
    kind, at = candidate["kind"], candidate.get("at", "")
    if kind == "compound":
        known = by_id or {}
        members = candidate.get("members", ())
        return tuple(defect for id in members for defect in defects_of(circuit, known[id], known))
    if kind == "catch_all":
        return (Defect("unlisted"),)
    if kind == "assumption":
        return (Defect(_false_belief(circuit, at), at),)
    return (Defect(kind, at),)


def _false_belief(circuit: Circuit, at: str) -> DefectKind:
    """A belief about a unit is that it is fitted, about a wire that the socket shows the line, about a hub
    or a fuse that it carries only what is drawn."""
    place = circuit.place_by_id.get(at)
    if place is None:
        return "socket_lies"
    return "not_fitted" if place.kind in ("module", "load") else "extra_unit"


def at_of(defects: Iterable[Defect], *kinds: DefectKind) -> frozenset[str]:
    """Return where defects of these kinds are."""
    return frozenset(defect.at for defect in defects if defect.kind in kinds)
