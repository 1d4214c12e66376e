"""Which suspects can produce the confirmed symptom, and why the others cannot."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from diagnostics.isolation.circuit.built import LeftOut, Options, Symptom
from diagnostics.isolation.circuit.checking import CircuitError, Wrong
from diagnostics.isolation.circuit.physics import Defects, Network, Probe
from diagnostics.isolation.circuit.physics.bus import is_dead, is_disturbed, is_silent
from diagnostics.isolation.circuit.physics.draw import still_draws
from diagnostics.isolation.circuit.physics.feed import is_out
from diagnostics.isolation.circuit.places import Circuit
from diagnostics.isolation.circuit.suspects.suspect import Suspect

Reason = Callable[[Defects], str]


def watched(circuit: Circuit, symptom: Symptom) -> Probe:
    """Return the probe that shows the confirmed symptom: it reads wrong as long as the fault acts."""
    if circuit.topology == "draw":
        return Probe("current", "")
    if circuit.topology == "feed":
        return Probe("answers", dead_loads(circuit, symptom)[0])
    port = circuit.of_kind("tester_port")[0].id
    if symptom.bus == "dead" or (not symptom.bus and not symptom.silent):
        return Probe("bus_state", port)
    if symptom.silent:
        return Probe("answers", symptom.silent[0])
    return Probe("disturbed", port)


def dead_loads(circuit: Circuit, symptom: Symptom) -> tuple[str, ...]:
    """Return the loads that do not work; all of them where nobody said which."""
    loads = tuple(place.id for place in circuit.of_kind("load", "module") if place.fitted != "no")
    return symptom.loads_dead or loads


def refuse_symptom(circuit: Circuit, symptom: Symptom) -> None:
    """Raise where the symptom names what is not on the map or contradicts itself."""
    for ids, kinds, word in (
        (symptom.silent, ("module",), "unit"),
        (symptom.loads_dead, ("load", "module"), "load"),
    ):
        for id in ids:
            place = circuit.place_by_id.get(id)
            if place is None or place.kind not in kinds:
                raise CircuitError([Wrong(id, f"The symptom names '{id}', which is no {word} of this map.")])
    if symptom.bus == "alive" and not symptom.silent:
        message = "The line is alive; say which unit does not answer, or that messages are lost (noisy)."
        raise CircuitError([Wrong("", message)])


def explaining(
    network: Network, suspects: Iterable[Suspect], options: Options
) -> tuple[list[Suspect], list[LeftOut]]:
    """Return the suspects that can produce the symptom, and those left out with the reason.

    Where no single suspect silences all units that are silent (or kills all loads that are dead), those that
    explain a part stay on the list: then there are two faults, or the catch-all is right.
    """
    listed = list(suspects)
    reason = _reason(network, options.symptom, is_whole=True)
    kept, left = _sift(listed, reason, options)
    if not kept:
        kept, left = _sift(listed, _reason(network, options.symptom, is_whole=False), options)
        kept = [replace(one, is_part=True) for one in kept]
    return kept, left


def explains(network: Network, defects: Defects, symptom: Symptom) -> bool:
    """Whether defects, together, produce the whole symptom."""
    return not _reason(network, symptom, is_whole=True)(defects)


def _sift(
    suspects: Sequence[Suspect], reason: Reason, options: Options
) -> tuple[list[Suspect], list[LeftOut]]:
    kept: list[Suspect] = []
    left: list[LeftOut] = []
    for one in suspects:
        why = "It cannot come and go." if options.intermittent and one.is_static else reason(one.defects)
        if why:
            left.append(LeftOut(one.label, why))
        else:
            kept.append(one)
    return kept, left


def _reason(network: Network, symptom: Symptom, *, is_whole: bool) -> Reason:
    if network.circuit.topology == "draw":
        return lambda defects: "" if still_draws(network, defects) else "It takes no current from the source."
    if network.circuit.topology == "feed":
        dead = dead_loads(network.circuit, symptom)
        others = [id for id in sorted(network.loads) if id not in dead]
        return lambda defects: _mismatch(
            network, dead, others, lambda load: is_out(network, load, defects), "stops", "working", is_whole
        )
    if symptom.bus == "dead":
        return lambda defects: _not_dead(network, defects, symptom)
    if symptom.silent:
        return lambda defects: _not_silent(network, defects, symptom, is_whole)
    if symptom.bus == "noisy":
        return lambda defects: _not_noisy(network, defects)
    return lambda defects: _nothing(network, defects)


def _not_dead(network: Network, defects: Defects, symptom: Symptom) -> str:
    if not is_dead(network, network.root, defects):
        return "It would not hold the line down at the test socket."
    kinds = {defect.kind for defect in defects}
    if symptom.level == "low" and kinds == {"short_to_power"}:
        return "The line stays low; a short to power would hold it high."
    if symptom.level == "high" and kinds == {"short_to_ground"}:
        return "The line stays high; a path to ground would hold it low."
    return ""


def _not_silent(network: Network, defects: Defects, symptom: Symptom, is_whole: bool) -> str:
    if is_dead(network, network.root, defects):
        return "It would take the whole line down, and the line is alive."
    units = [place.id for place in network.circuit.of_kind("module") if place.fitted != "no"]
    others = [id for id in units if id not in symptom.silent]
    return _mismatch(
        network,
        symptom.silent,
        others,
        lambda unit: is_silent(network, unit, defects),
        "silences",
        "answering",
        is_whole,
    )


def _mismatch(
    network: Network,
    wanted: Sequence[str],
    others: Sequence[str],
    is_off: Callable[[str], bool],
    verb: str,
    state: str,
    is_whole: bool,
) -> str:
    """Say how what a suspect switches off differs from what is off."""
    still_on = [id for id in wanted if not is_off(id)]
    too_much = [id for id in others if is_off(id)]
    if still_on and (is_whole or len(still_on) == len(wanted)):
        return f"It would leave the {network.circuit.name_of(still_on[0])} {state}."
    if too_much:
        return f"It also {verb} the {network.circuit.name_of(too_much[0])}, which is {state}."
    return ""


def _not_noisy(network: Network, defects: Defects) -> str:
    if {defect.kind for defect in defects} <= {"dead", "unfed", "not_fitted"}:
        return "A unit that does not talk disturbs nobody."
    return "" if is_disturbed(network, defects) else "It would not disturb the line."


def _nothing(network: Network, defects: Defects) -> str:
    units = [place.id for place in network.circuit.of_kind("module")]
    if is_disturbed(network, defects) or any(is_silent(network, unit, defects) for unit in units):
        return ""
    return "Nothing would be noticed of it."
