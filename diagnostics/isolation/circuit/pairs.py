"""Two faults at once: compounds of the likeliest suspects, simulated together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations

from diagnostics.isolation.circuit.built import Component, Options
from diagnostics.isolation.circuit.suspects import Suspect

PAIRED = 12  # How many of the likeliest are paired; 66 pairs at most.
PAIR_SHARE = 0.05  # Share of all pairs together. Invented.


def pairs_of(suspects: Sequence[Suspect], options: Options, priors: Mapping[str, float]) -> list[Suspect]:
    """Return compound suspects as the options ask: none, the likeliest pair, or all likely pairs."""
    if options.pairs == "none" or len(suspects) < 2:
        return []
    likely = {one.id: options.weigh.get(one.id, 0.0 if options.weigh else priors[one.id]) for one in suspects}
    ranked = sorted(suspects, key=lambda one: -likely[one.id])[:PAIRED]
    pairs = [(a, b) for a, b in combinations(ranked, 2) if _are_two(a, b)]
    if options.pairs == "best":
        pairs = sorted(pairs, key=lambda pair: -likely[pair[0].id] * likely[pair[1].id])[:1]
    return [_pair(a, b, priors[a.id] * priors[b.id]) for a, b in pairs]


def _are_two(one: Suspect, other: Suspect) -> bool:
    """Two faults lie at two places and lead to two repairs; a false belief is no fault to be paired."""
    if "assumption" in (one.kind, other.kind):
        return False
    return one.at != other.at and one.group != other.group


def _pair(one: Suspect, other: Suspect, weight: float) -> Suspect:
    parts = f"{one.component.component} and {other.component.component}"
    return Suspect(
        id=_id(one, other),
        label=f"two at once: {one.label}; {other.label}",
        kind="compound",
        at="",
        defects=one.defects + other.defects,
        group=f"both_{one.group}_{other.group}"[:64],
        component=Component(parts[:64], f"{one.component.mode}; {other.component.mode}"),
        weight=weight,
        members=(one.id, other.id),
        is_static=one.is_static and other.is_static,
    )


def _id(one: Suspect, other: Suspect) -> str:
    """Both ids where they fit, else their ends, which carry the place."""
    whole = f"both_{one.id}_{other.id}"
    return whole if len(whole) <= 64 else f"both_{one.id[-29:]}_{other.id[-29:]}"
