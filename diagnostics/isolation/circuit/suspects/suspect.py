"""One suspect: a complete explanation of the confirmed symptom, before it becomes a candidate."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from diagnostics.isolation.circuit.built import Component
from diagnostics.isolation.circuit.physics import Defect, Defects
from diagnostics.isolation.circuit.physics.defects import DefectKind

CandidateKind = Literal[
    "open",
    "short_to_ground",
    "short_to_power",
    "high_resistance",
    "pulls_bus",
    "dead",
    "draw",
    "assumption",
    "compound",
    "catch_all",
]

LONGEST_COMPONENT = 64

# How likely one kind of fault is against another before the first test. Invented: a bench habit in rough
# numbers, to be replaced by the shop's own history. Coarse priors suffice (fault-isolation.md 12, pitfall 3).
WEIGHTS: Mapping[str, float] = {
    "pull": 6.0,
    "dead": 4.0,
    "unfed": 4.0,
    "chafe": 2.5,
    "power": 0.5,
    "touch": 2.0,
    "open": 1.5,
    "resist": 1.5,
    "wet": 5.0,
    "poor": 4.0,
    "parted": 3.0,
    "blown": 6.0,
    "contact": 3.0,
    "lost": 5.0,
    "stuck": 3.0,
    "missing": 6.0,
    "nofeed": 1.0,
    "awake": 6.0,
    "left_on": 3.0,
    "leak": 1.0,
    "not_fitted": 5.0,
    "added": 3.0,
    "socket": 4.0,
    "other": 0.0,
}


@dataclass(frozen=True, slots=True)
class Suspect:
    """`group` names the repair it leads to; `weight` is its prior before scaling; `is_static`: it cannot come
    and go; `is_part`: it explains only a part of the symptom."""

    id: str
    label: str
    kind: CandidateKind
    at: str
    defects: Defects
    group: str
    component: Component
    weight: float
    claim: str = ""
    members: tuple[str, ...] = ()
    is_static: bool = False
    is_part: bool = False


def suspect(
    way: str,
    at: str,
    label: str,
    defect: DefectKind,
    component: str,
    mode: str,
    *,
    kind: CandidateKind | None = None,
    group: str = "",
    claim: str = "",
    is_static: bool = False,
) -> Suspect:
    """Return a suspect called `way`_`at`; without a kind of its own it has that of its defect."""
    return Suspect(
        id=f"{way}_{at}",
        label=label,
        kind=kind or _kind_of(defect),
        at=at,
        defects=(Defect(defect, at),),
        group=group or f"repair_{at}",
        component=Component(short(component), mode),
        weight=WEIGHTS[way],
        claim=claim,
        is_static=is_static,
    )


def _kind_of(defect: DefectKind) -> CandidateKind:
    kinds: dict[DefectKind, CandidateKind] = {
        "open": "open",
        "short_to_ground": "short_to_ground",
        "short_to_power": "short_to_power",
        "high_resistance": "high_resistance",
        "pulls_bus": "pulls_bus",
        "dead": "dead",
        "unfed": "dead",
        "draw": "draw",
        "unlisted": "catch_all",
    }
    return kinds.get(defect, "assumption")


def short(text: str, longest: int = LONGEST_COMPONENT) -> str:
    """Return a text that fits the record, cut at a word."""
    if len(text) <= longest:
        return text
    return text[: longest - 1].rsplit(" ", 1)[0].rstrip(",;:") + "…"
