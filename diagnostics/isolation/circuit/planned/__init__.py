"""The tests of a map: by topology and symptom, then what the shop knows better."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from diagnostics.isolation.circuit.built import LeftOut, Options
from diagnostics.isolation.circuit.physics import Network
from diagnostics.isolation.circuit.places import Circuit
from diagnostics.isolation.circuit.planned.cautions import caution_of
from diagnostics.isolation.circuit.planned.looking import ACTING, acting_now, wiggles
from diagnostics.isolation.circuit.planned.on_a_bus import tests_of_bus
from diagnostics.isolation.circuit.planned.on_a_feed import ASLEEP, tests_of_draw, tests_of_feed
from diagnostics.isolation.circuit.planned.plan import (
    LONGEST_POINT,
    WHILE_ACTING,
    Bench,
    Outcome,
    Planned,
    Row,
    watch_of,
)
from diagnostics.isolation.circuit.suspects import short, watched

MAKERS: dict[str, Callable[[Bench], list[Planned]]] = {
    "bus": tests_of_bus,
    "feed": tests_of_feed,
    "draw": tests_of_draw,
}
SEEN_ACTING = 0.9  # It was seen acting on arrival and is likely to go on during this visit. Invented.


def bench_of(circuit: Circuit, network: Network, options: Options) -> Bench:
    """Return the map with what shows its symptom."""
    return Bench(circuit, network, options, watch_of(circuit, watched(circuit, options.symptom)))


def tests_of(bench: Bench) -> tuple[list[Planned], list[LeftOut]]:
    """Return every test worth offering, with all of it settled, and what was not offered."""
    made = _once(MAKERS[bench.circuit.topology](bench))
    if bench.options.intermittent:
        made = _for_intermittent(bench, made)
    made = _after_looks(bench, made)
    left = [LeftOut(one.label, "Not offered here.") for one in made if not _is_offered(bench, one)]
    kept = [_settled(bench, one) for one in made if _is_offered(bench, one)]
    return _with_own_points(_without_dangling(kept)), left


def _once(made: list[Planned]) -> list[Planned]:
    """Keep the first of tests that two silent units share."""
    return list({one.id: one for one in reversed(made)}.values())[::-1]


def _is_offered(bench: Bench, planned: Planned) -> bool:
    override = bench.options.tests.get(planned.id)
    return override is None or override.offered


def _for_intermittent(bench: Bench, made: list[Planned]) -> list[Planned]:
    """Put the pre-check first, unless it was seen acting, and add the tests that provoke."""
    ids = [place.id for place in bench.circuit.of_kind("hub", "splice", "connector", "switch", "ground")]
    wires = [wire.id for wire in bench.circuit.wires if wire.end != bench.network.root]
    if bench.circuit.topology != "draw":
        made = [*made, *wiggles(bench, ids + wires)]
    if bench.options.acting:
        return [_surer(one, SEEN_ACTING) for one in made]
    return [acting_now(bench), *(_behind_check(_surer(one, WHILE_ACTING)) for one in made)]


def _surer(planned: Planned, chance: float) -> Planned:
    wanted = chance if planned.needs_acting else 1.0
    return replace(planned, provocation=max(planned.provocation, wanted))


def _behind_check(planned: Planned) -> Planned:
    return replace(planned, after=(*planned.after, ACTING)) if planned.needs_acting else planned


def _after_looks(bench: Bench, made: list[Planned]) -> list[Planned]:
    """A test at a unit that is only assumed comes after the look that verifies it."""
    assumed = [place.id for place in bench.circuit.places if place.fitted == "assumed"]
    ids = {one.id for one in made}
    looks = {id: f"fitted_{id}" for id in assumed if f"fitted_{id}" in ids}
    return [
        replace(one, after=(*one.after, *(look for id, look in looks.items() if _is_at(one, id, look))))
        for one in made
    ]


def _is_at(planned: Planned, id: str, look: str) -> bool:
    """Whether a test is done at the unit itself. Calling it from the socket is not."""
    if planned.id == look or planned.kind == "read_out":
        return False
    return planned.id.split("_", 1)[-1] == id or bool(planned.probe and id in planned.probe.part)


def _settled(bench: Bench, planned: Planned) -> Planned:
    """Fill in minutes and cautions, the shop's own first."""
    override = bench.options.tests.get(planned.id)
    caution = caution_of(bench, planned)
    minutes = planned.minutes
    if override:
        caution = " ".join(dict.fromkeys(text for text in (override.caution, caution) if text))
        minutes = override.minutes if override.minutes is not None else minutes
    return replace(planned, caution=caution, minutes=minutes, point=short(planned.point, LONGEST_POINT))


def _without_dangling(kept: list[Planned]) -> list[Planned]:
    ids = {one.id for one in kept}
    return [replace(one, after=tuple(id for id in one.after if id in ids)) for one in kept]


def _with_own_points(kept: list[Planned]) -> list[Planned]:
    """Make each code and point one of a kind, so that a recorded run is heard by one test only."""
    used: set[tuple[str, str]] = set()
    made: list[Planned] = []
    for one in kept:
        point, count = one.point, 1
        while (one.code, point) in used:
            count += 1
            mark = f" ({count})"
            point = short(one.point, LONGEST_POINT - len(mark)) + mark
        used.add((one.code, point))
        made.append(replace(one, point=point))
    return made


__all__ = ["ACTING", "ASLEEP", "Bench", "Outcome", "Planned", "Row", "bench_of", "tests_of"]
