"""The isolation problem written as the document isolation-problem/1."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from diagnostics.isolation.circuit.built import Options, Symptom
from diagnostics.isolation.circuit.checking import TOPOLOGY_WORDS
from diagnostics.isolation.circuit.likelihoods import Table, commonest, unlisted_row
from diagnostics.isolation.circuit.physics import Probe
from diagnostics.isolation.circuit.places import Circuit
from diagnostics.isolation.circuit.planned import ASLEEP, Outcome, Planned
from diagnostics.isolation.circuit.suspects import Suspect
from diagnostics.isolation.circuit.writing import as_dict, zones_as_list

FORMAT = "isolation-problem/1"
IN_THE_FORM = ("bus_state", "answers", "voltage", "resistance_to_ground", "current", "look")
LONGEST_TITLE = 200


def document_of(
    circuit: Circuit,
    options: Options,
    table: Table,
    priors: Mapping[str, float],
    candidates: Sequence[dict[str, Any]],
) -> dict[str, Any]:
    """Return the whole document."""
    title = (
        options.title or f"{TOPOLOGY_WORDS[circuit.topology].capitalize()} with {len(circuit.places)} places"
    )
    written: dict[str, Any] = {"format": FORMAT, "id": options.id, "title": title[:LONGEST_TITLE]}
    if options.complaint:
        written["complaint"] = options.complaint[:2000]
    return written | {
        "provenance": {
            "generator": "circuit map, likelihoods simulated",
            "priors_from": options.priors_from,
            "times_from": options.times_from,
        },
        "circuit": as_dict(circuit) | _symptom(options.symptom),
        "zones": zones_as_list(circuit) + _asleep(circuit, options),
        "candidates": list(candidates),
        "tests": [_test(table, test, priors, options) for test in table.tests],
        "stop": {"wrong_minutes": options.wrong_minutes},
    }


def _symptom(symptom: Symptom) -> dict[str, Any]:
    written: dict[str, Any] = {}
    if symptom.bus:
        written["bus"] = symptom.bus
    if symptom.silent:
        written["silent"] = list(symptom.silent)
    if symptom.loads_dead:
        written["loads_dead"] = list(symptom.loads_dead)
    return {"symptom": written} if written else {}


def _asleep(circuit: Circuit, options: Options) -> list[dict[str, Any]]:
    """The wait for sleep, paid once by whatever needs a sleeping car and wakes nothing."""
    if circuit.topology != "draw" or ASLEEP in circuit.zone_by_id:
        return []
    label = "doors latched, car fallen asleep"
    return [{"id": ASLEEP, "label": label, "open_minutes": options.sleep_minutes, "close_minutes": 0.0}]


def candidate_as_dict(suspect: Suspect, prior: float, options: Options) -> dict[str, Any]:
    """Return one candidate."""
    written: dict[str, Any] = {"id": suspect.id, "label": suspect.label, "kind": suspect.kind, "prior": prior}
    if suspect.at:
        written["at"] = suspect.at
    if suspect.members:
        written["members"] = list(suspect.members)
    if suspect.claim:
        written["claim"] = suspect.claim
    if options.intermittent and not suspect.is_static:
        written["activity"] = options.activity
    return written | {"group": suspect.group}


def catch_all_as_dict(id: str, options: Options) -> dict[str, Any]:
    """Return the candidate for everything that is not listed; it is never left out and never 0."""
    written: dict[str, Any] = {
        "id": id,
        "label": "none of these",
        "kind": "catch_all",
        "prior": options.catch_all,
    }
    return written | ({"activity": options.activity} if options.intermittent else {})


def _test(table: Table, test: Planned, priors: Mapping[str, float], options: Options) -> dict[str, Any]:
    written: dict[str, Any] = {
        "id": test.id,
        "label": test.label,
        "kind": test.kind,
        "minutes": test.minutes,
        "zones": list(test.zones),
        "outcomes": [_outcome(outcome, test.unit) for outcome in test.outcomes],
        "likelihood": _likelihood(table, test, priors, options),
        # A fault that is always there reads the same again: that is one reading, not two.
        "max_uses": test.max_uses if options.intermittent else 1,
    }
    if test.after:
        written["after"] = list(dict.fromkeys(test.after))
    if options.intermittent and test.provocation:
        written["provocation"] = test.provocation
    if test.probe and test.probe.quantity in IN_THE_FORM and not test.probe.swapped:
        written["probe"] = _probe(test.probe)
    return written | ({"caution": test.caution} if test.caution else {})


def _outcome(outcome: Outcome, unit: str) -> dict[str, Any]:
    written: dict[str, Any] = {"id": outcome.id, "label": outcome.label}
    if unit:
        written["unit"] = unit
        written |= {"from": outcome.low} if outcome.low is not None else {}
        written |= {"to": outcome.high} if outcome.high is not None else {}
    return written


def _likelihood(table: Table, test: Planned, priors: Mapping[str, float], options: Options) -> dict[str, Any]:
    rows = {one.id: table.rows[test.id][one.id] for one in table.suspects}
    rows["other"] = unlisted_row(table, test, priors)
    default = commonest(rows)
    likelihood: dict[str, Any] = {
        "default": list(default),
        "by_candidate": {id: list(row) for id, row in rows.items() if row != default},
    }
    return likelihood | ({"quiet": list(test.reads(()))} if options.intermittent else {})


def _probe(probe: Probe) -> dict[str, Any]:
    written: dict[str, Any] = {"quantity": probe.quantity}
    if probe.at:
        written["at"] = probe.at
    if probe.part:
        written["part"] = list(probe.part)
    if probe.bridge:
        written["bridge"] = list(probe.bridge)
    return written | {"false_alarm": probe.false_alarm, "miss": probe.miss}
