"""From a map and what was confirmed at the vehicle to the problem that a search works on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import asdict, replace
from typing import Any

from diagnostics.circuits.reading import circuit_of, overrides_of
from diagnostics.isolation.circuit.building import build
from diagnostics.isolation.circuit.built import Options, Symptom
from diagnostics.isolation.priors import from_history, with_priors
from diagnostics.isolation.wording.terms import CATCH_ALL
from diagnostics.models import CircuitMap
from diagnostics.recording.searches import Posed
from diagnostics.searching.earlier import jobs_like
from shop.models import Complaint, RepairOrder

# What the comeback costs where a wrong part is named: four hours. Our choice, no source found; each search
# can have its own.
WRONG_MINUTES = 240


def pose(
    order: RepairOrder,
    complaint: Complaint,
    drawn: CircuitMap,
    *,
    options: Mapping[str, Any],
    weigh: Mapping[str, float] | None = None,
) -> Posed:
    """Return the problem of one complaint on one map.

    Parameters
    ----------
    options : mapping
        `symptom` (bus, level, silent, loads_dead), `intermittent`, `pairs` ("none", "best", "all"), `open`
        (zones that stand open), `wrong_minutes`, `symptom_runs` (readings that show the symptom).
    weigh : mapping
        The belief so far, by suspect: of two faults at once the likeliest are put together.

    Raises
    ------
    CircuitError
        If the map cannot be used for this symptom; it says why.
    """
    asked = Options(
        id=f"map-{drawn.pk}",
        title=drawn.title,
        complaint=complaint.text[:1000],
        symptom=_symptom(options.get("symptom", {})),
        intermittent=bool(options.get("intermittent")),
        acting=None,
        tests=overrides_of(drawn),
        pairs=options.get("pairs", "none"),
        weigh=dict(weigh or {}),
        wrong_minutes=float(options.get("wrong_minutes") or WRONG_MINUTES),
        times_from="technician",
    )
    built = build(opened(circuit_of(drawn), options.get("open", ())), asked)
    components = {name: asdict(part) for name, part in built.components.items()}
    document, priors = _with_history(order, complaint, built.document, components)
    return Posed(
        document=document,
        components=components,
        listens={name: _plain(asdict(one)) for name, one in built.listens.items()},
        priors=priors,
        left_out=[asdict(one) for one in built.left_out],
        options=dict(options),
        circuit_map=drawn,
    )


def opened(circuit: Any, zones: Iterable[str]) -> Any:
    """Return the circuit with zones that stand open already, those around them too."""
    reached: set[str] = set()
    for name in zones:
        while name and name not in reached and name in circuit.zone_by_id:
            reached.add(name)
            name = circuit.zone_by_id[name].inside
    made = [replace(zone, already_open=True) if zone.id in reached else zone for zone in circuit.zones]
    return replace(circuit, zones=tuple(made))


def _symptom(given: Mapping[str, Any]) -> Symptom:
    return Symptom(
        bus=given.get("bus", ""),
        level=given.get("level", ""),
        silent=tuple(given.get("silent", ())),
        loads_dead=tuple(given.get("loads_dead", ())),
    )


def _with_history(
    order: RepairOrder, complaint: Complaint, document: dict[str, Any], components: Mapping[str, Any]
) -> tuple[dict[str, Any], dict[str, Any]]:
    """The document with the shop's own history in its priors, and where each comes from."""
    weights = {each["id"]: float(each["prior"]) for each in document["candidates"]}
    catch_all = next(each["id"] for each in document["candidates"] if each["kind"] == CATCH_ALL)
    jobs = jobs_like(order, complaint, {"document": document, "components": components})
    priors = from_history(weights, jobs, catch_all=catch_all)
    kept = {name: {**asdict(prior), "shown": prior.shown} for name, prior in priors.items()}
    return with_priors(document, priors), kept


def _plain(listens: dict[str, Any]) -> dict[str, Any]:
    return {**listens, "says": dict(listens["says"]), "observation": dict(listens["observation"])}
