"""Tests of any circuit: look at a place, is it fitted, work a loom, is it acting up, try a part alone."""

from __future__ import annotations

from diagnostics.isolation.circuit.physics import Defects, Probe
from diagnostics.isolation.circuit.planned.plan import (
    LOOK_ALARM,
    LOOK_MISS,
    MINUTES,
    WIGGLE_ALARM,
    WIGGLE_CAUGHT,
    Bench,
    Outcome,
    Planned,
    Reader,
    Row,
    two,
)

ACTING = "acting_now"
ABSENT = 0.3  # How often what is only assumed to be fitted is not there. Invented.


def looks(bench: Bench, ids: list[str], *, what: str = "for water, green and loose pins") -> list[Planned]:
    """Look at each place for what can be seen."""
    made: list[Planned] = []
    for id in ids:
        name = bench.name(id)
        probe = Probe("look", id, false_alarm=LOOK_ALARM, miss=LOOK_MISS)
        made.append(
            Planned(
                f"look_{id}",
                f"Look at {name} {what}",
                "inspect",
                MINUTES["look"],
                bench.zones(id),
                two(
                    ("fine", "nothing wrong to see", f"{name} looked over: nothing wrong to see."),
                    ("wrong", "something wrong to see", f"{name} looked over: something wrong to see."),
                ),
                "place_look",
                name,
                bench.reader(probe),
                probe,
                needs_acting=False,
            )
        )
    return made


def fitted_looks(bench: Bench) -> list[Planned]:
    """See whether each assumed unit or load is there at all."""
    made: list[Planned] = []
    for place in bench.circuit.of_kind("module", "load"):
        if place.fitted != "assumed":
            continue
        probe = Probe("look", place.id)
        made.append(
            Planned(
                f"fitted_{place.id}",
                f"See whether the {place.name} is fitted at all",
                "inspect",
                MINUTES["fitted"],
                bench.zones(place.id),
                two(
                    ("there", "it is there", f"{place.name}: seen, it is fitted."),
                    ("absent", "it is not there", f"{place.name}: not fitted to this vehicle."),
                ),
                "fitted_look",
                place.name,
                _presence(place.id),
                probe,
                needs_acting=False,
            )
        )
    return made


def _presence(id: str) -> Reader:
    """A unit that does harm is there; where the fault lies elsewhere it may be missing all the same."""

    def reads(defects: Defects) -> Row:
        kinds = {defect.kind for defect in defects if defect.at == id}
        if "not_fitted" in kinds:
            return (0.0, 1.0)
        return (1.0, 0.0) if kinds else (1 - ABSENT, ABSENT)

    return reads


def wiggles(bench: Bench, ids: list[str]) -> list[Planned]:
    """Work each joint and stretch of loom while the symptom is watched."""
    made: list[Planned] = []
    for id in ids:
        name = bench.name(id)
        made.append(
            Planned(
                f"wiggle_{id}",
                f"Work the {name} by hand and watch",
                "wiggle",
                MINUTES["wiggle"],
                bench.zones(id, bench.network.root),
                two(
                    ("steady", "nothing changes", f"{name} worked by hand: nothing changed."),
                    ("reacts", "it comes or goes", f"{name} worked by hand: the symptom came or went."),
                ),
                "harness_wiggle",
                name,
                _reaction(id),
                None,
                max_uses=2,
                provocation=1.0,
                needs_acting=False,
            )
        )
    return made


def _reaction(id: str) -> Reader:
    def reads(defects: Defects) -> Row:
        caught = WIGGLE_CAUGHT if any(defect.at == id for defect in defects) else WIGGLE_ALARM
        return (1 - caught, caught)

    return reads


def acting_now(bench: Bench) -> Planned:
    """The pre-check of an intermittent fault: nothing can be split while it rests."""
    watch = bench.watch
    error = bench.error
    return Planned(
        ACTING,
        "Is it acting up now?",
        "read_out",
        MINUTES["acting"],
        bench.zones(bench.network.root),
        (
            Outcome(
                "resting", "not now", "pass", f"Checked before splitting: {watch.gone}, it is not acting."
            ),
            Outcome(
                "acting", "yes, it acts", "fail", f"Checked before splitting: {watch.there}, it is acting."
            ),
        ),
        "acting_now",
        bench.name(watch.probe.at or bench.network.root),
        lambda defects: (error, 1 - error) if defects else (1 - error, error),
        None,
        max_uses=3,
    )


def alone(bench: Bench, ids: list[str]) -> list[Planned]:
    """Measure each wire by itself, open at both ends: to ground, to power and through."""
    made: list[Planned] = []
    for id in ids:
        wire, name = bench.circuit.wire_by_id[id], bench.name(id)
        probe = Probe("alone", id, false_alarm=bench.error, miss=bench.error)
        made.append(
            Planned(
                f"alone_{id}",
                f"Measure the {name} by itself, open at both ends",
                "measure",
                MINUTES["alone"],
                bench.zones(wire.start, wire.end),
                two(
                    (
                        "sound",
                        "sound through and to ground",
                        f"{name} alone: through, no path to ground or power.",
                    ),
                    (
                        "faulty",
                        "open, resisting or leaking",
                        f"{name} alone: open, resisting or with a path out.",
                    ),
                ),
                "wire_alone",
                name,
                bench.reader(probe),
                None,
            )
        )
    return made
