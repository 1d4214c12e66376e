"""Two faults at once: compounds of the likeliest suspects, simulated together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations

from diagnostics.isolation.circuit.built import Component, Options
from diagnostics.isolation.circuit.names import as_id
from diagnostics.isolation.circuit.physics import Network
from diagnostics.isolation.circuit.suspects import Suspect, explains, short

PAIRED = 12  # How many of the likeliest are paired; 66 pairs at most.
PAIR_SHARE = 0.05  # Share of all pairs together. Invented.
PAIR_SHARE_OF_PARTS = 0.85  # The same where no single suspect explains the whole symptom. Invented.


def pairs_of(
    network: Network, suspects: Sequence[Suspect], options: Options, priors: Mapping[str, float]
) -> list[Suspect]:
    """Return compound suspects as the options ask: none, the likeliest pair, or all likely pairs.

    Where no single suspect explains the whole symptom, all pairs that do are made without being asked for.
    """
    are_parts = explain_parts(suspects)
    asked = "all" if are_parts else options.pairs
    if asked == "none":
        return []
    likely = {one.id: options.weigh.get(one.id, 0.0 if options.weigh else priors[one.id]) for one in suspects}
    ranked = sorted(suspects, key=lambda one: -likely[one.id])[:PAIRED]
    pairs = [
        (one, other)
        for one, other in combinations(ranked, 2)
        if _are_two(one, other, are_parts) and explains(network, one.defects + other.defects, options.symptom)
    ]
    if asked == "best":
        pairs = sorted(pairs, key=lambda pair: -likely[pair[0].id] * likely[pair[1].id])[:1]
    return [_pair(one, other, priors[one.id] * priors[other.id]) for one, other in pairs]


def explain_parts(suspects: Sequence[Suspect]) -> bool:
    """Whether each suspect by itself explains only a part of the symptom."""
    singles = [one for one in suspects if not one.members]
    return bool(singles) and all(one.is_part for one in singles)


def share_of_pairs(suspects: Sequence[Suspect]) -> float:
    """Return the share of all pairs together, 0 to 1."""
    return PAIR_SHARE_OF_PARTS if explain_parts(suspects) else PAIR_SHARE


def _are_two(one: Suspect, other: Suspect, are_parts: bool) -> bool:
    """Two faults lie at two places and lead to two repairs. A false belief is no fault to be paired with one,
    but two units that do not answer may both not be fitted."""
    if "assumption" in (one.kind, other.kind) and not are_parts:
        return False
    return one.at != other.at and one.group != other.group


def _pair(one: Suspect, other: Suspect, weight: float) -> Suspect:
    parts = f"{one.component.component} and {other.component.component}"
    return Suspect(
        id=as_id(f"both_{one.id}_{other.id}"),
        label=f"two at once: {one.label}; {other.label}",
        kind="compound",
        at="",
        defects=one.defects + other.defects,
        group=as_id(f"both_{one.group}_{other.group}"),
        component=Component(short(parts), f"{one.component.mode}; {other.component.mode}"),
        weight=weight,
        members=(one.id, other.id),
        is_static=one.is_static and other.is_static,
    )
