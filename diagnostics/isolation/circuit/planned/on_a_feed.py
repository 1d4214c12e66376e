"""The tests of a feed from source to ground, and of a standing draw."""

from __future__ import annotations

from diagnostics.isolation.circuit.names import as_id
from diagnostics.isolation.circuit.physics import Probe
from diagnostics.isolation.circuit.physics.feed import is_fed_side
from diagnostics.isolation.circuit.places import Place
from diagnostics.isolation.circuit.planned.looking import alone, fitted_looks, looks
from diagnostics.isolation.circuit.planned.plan import (
    DROP_ERROR,
    MINUTES,
    Bench,
    Outcome,
    Planned,
    Reader,
    two,
)
from diagnostics.isolation.circuit.planned.taking_off import swaps, unplugs, watching
from diagnostics.isolation.circuit.suspects import dead_loads

# Limits as in the catalogue: common practice, the maker's figure wins.
SUPPLY_V, GROUND_V, CONNECTOR_V, SWITCH_V = 0.2, 0.1, 0.1, 0.3
FUSE_MV = 0.385
ASLEEP = "asleep"


def tests_of_feed(bench: Bench) -> list[Planned]:
    """Return the tests of a feed, with the load switched on where a voltage is read."""
    loads = list(dead_loads(bench.circuit, bench.options.symptom))
    joints = [place.id for place in bench.circuit.of_kind("connector", "splice", "hub", "ground")]
    made = [*_voltages(bench), *_drops(bench), *_fuses(bench), *_shorts(bench)]
    made += [
        *_direct(bench, loads),
        *(one for load in loads for one in swaps(bench.at(load), [load])),
        *fitted_looks(bench),
        *looks(bench, joints),
    ]
    return [*made, *alone(bench, [wire.id for wire in bench.circuit.wires])]


def _voltages(bench: Bench) -> list[Planned]:
    """Voltage lost up to each point: on the supply side from the source, on the ground side to ground."""
    made: list[Planned] = []
    for id in _points(bench):
        is_supply = is_fed_side(bench.network, id)
        made.append(_voltage(bench, id, is_supply))
    return made


def _points(bench: Bench) -> list[str]:
    """Every place that is no load and no source, and the wires at a load for its own terminals."""
    skipped = bench.network.loads | {bench.network.root}
    places = [place.id for place in bench.circuit.places if place.id not in skipped]
    wires = [wire.id for wire in bench.circuit.wires if {wire.start, wire.end} & bench.network.loads]
    return [*places, *wires]


def _voltage(bench: Bench, id: str, is_supply: bool) -> Planned:
    side, limit = ("supply", SUPPLY_V) if is_supply else ("ground", GROUND_V)
    where = _point_name(bench, id)
    probe = Probe("voltage", id, false_alarm=bench.error, miss=bench.error)
    what = f"{side.capitalize()} drop at {where}, load on"
    return Planned(
        f"{side}_{id}",
        what,
        "measure",
        MINUTES["supply"],
        bench.zones(_end_at_load(bench, id)),
        two(
            ("held", f"at most {limit:g} V lost", f"{what}: at most {limit:g} V."),
            ("lost", f"more than {limit:g} V lost", f"{what}: more than {limit:g} V."),
            limit=limit,
            unit="V",
        ),
        f"{side}_drop",
        where,
        bench.reader(probe),
        probe,
        unit="V",
        hi=limit,
    )


def _end_at_load(bench: Bench, id: str) -> str:
    wire = bench.circuit.wire_by_id.get(id)
    if wire is None:
        return id
    return wire.start if wire.start in bench.network.loads else wire.end


def _point_name(bench: Bench, id: str) -> str:
    wire = bench.circuit.wire_by_id.get(id)
    if wire is None:
        return bench.name(id)
    load = _end_at_load(bench, id)
    side = "supply" if wire.end == load else "ground"
    is_alone = (
        sum(1 for other in bench.circuit.wires_at[load] if (other.end == load) == (wire.end == load)) == 1
    )
    pin = f"{side} pin of the {bench.name(load)}"
    return pin if is_alone else f"{pin} ({bench.name(id)})"


def _drops(bench: Bench) -> list[Planned]:
    """Voltage over one part alone: each contact that can lose it."""
    made: list[Planned] = []
    for place in bench.circuit.of_kind("fuse", "connector", "splice", "hub", "switch"):
        is_switch = place.kind == "switch"
        limit = SWITCH_V if is_switch else CONNECTOR_V
        probe = Probe("drop", place.id, false_alarm=bench.error, miss=bench.error)
        what = f"Drop over {place.name}, load on"
        made.append(
            Planned(
                f"drop_{place.id}",
                what,
                "measure",
                MINUTES["drop"],
                bench.zones(place.id),
                two(
                    ("small", f"at most {limit:g} V", f"{what}: at most {limit:g} V."),
                    ("large", f"more than {limit:g} V", f"{what}: more than {limit:g} V."),
                    limit=limit,
                    unit="V",
                ),
                "switch_drop" if is_switch else "connector_drop",
                place.name,
                bench.reader(probe),
                None,
                unit="V",
                hi=limit,
            )
        )
    return made


def _fuses(bench: Bench) -> list[Planned]:
    made: list[Planned] = []
    for fuse in bench.circuit.of_kind("fuse"):
        probe = Probe("look", fuse.id, false_alarm=bench.error, miss=bench.error)
        made.append(
            Planned(
                f"fuse_{fuse.id}",
                f"Test {fuse.name} in place, on both test points",
                "inspect",
                MINUTES["fuse"],
                bench.zones(fuse.id),
                two(
                    ("whole", "fed on both sides", f"{fuse.name}: voltage on both test points."),
                    ("blown", "blown", f"{fuse.name}: voltage on one test point only, blown."),
                ),
                "fuse_state",
                fuse.name,
                _open_only(bench, probe),
                probe,
            )
        )
    return made


def _open_only(bench: Bench, probe: Probe) -> Reader:
    """A poor contact does not show at the test points of a fuse."""
    reads = bench.reader(probe)
    return lambda defects: reads(tuple(defect for defect in defects if defect.kind != "high_resistance"))


def _shorts(bench: Bench) -> list[Planned]:
    """Path to ground behind each fuse, loads unplugged, whole and with each connector parted."""
    made: list[Planned] = []
    for fuse in bench.circuit.of_kind("fuse"):
        first = next((wire.id for wire in bench.circuit.wires_at[fuse.id] if wire.start == fuse.id), "")
        if not first:
            continue
        made.append(_short(bench, fuse, first, None))
        parted = (p for p in bench.circuit.of_kind("connector", "switch") if _is_behind(bench, p, fuse))
        made += [_short(bench, fuse, first, place) for place in parted]
    return made


def _is_behind(bench: Bench, place: Place, fuse: Place) -> bool:
    return place.id not in bench.network.region(bench.network.root, broken=frozenset((fuse.id,)))


def _short(bench: Bench, fuse: Place, first: str, parted: Place | None) -> Planned:
    part = (fuse.id, parted.id) if parted else (fuse.id,)
    probe = Probe("resistance_to_ground", first, part, false_alarm=bench.error, miss=bench.error)
    done = f"{parted.name} parted" if parted else "loads unplugged"
    return Planned(
        as_id(f"short_{fuse.id}_{parted.id}") if parted else f"short_{fuse.id}",
        f"Path to ground behind {fuse.name}, {done}",
        "measure",
        MINUTES["short"] + (MINUTES["unplug"] if parted else 0.0),
        bench.zones(fuse.id, *([parted.id] if parted else [])),
        two(
            ("none", "no path to ground", f"Behind {fuse.name}, {done}: no path to ground."),
            ("path", "a path to ground", f"Behind {fuse.name}, {done}: a path to ground."),
        ),
        "short_search",
        f"{fuse.name}, {done}",
        bench.reader(probe),
        probe,
    )


def _direct(bench: Bench, loads: list[str]) -> list[Planned]:
    """Feed each load from a supply of its own: does it work at all?"""
    made: list[Planned] = []
    for load in loads:
        name = bench.name(load)
        probe = Probe("alone", load, false_alarm=bench.error, miss=bench.error)
        made.append(
            Planned(
                f"direct_{load}",
                f"Feed the {name} directly, by a fused lead of its own",
                "jumper",
                MINUTES["direct"],
                bench.zones(load),
                two(
                    ("works", "it works", f"{name} fed directly: works."),
                    ("out", "it does not work", f"{name} fed directly: does not work."),
                ),
                "load_direct",
                name,
                bench.reader(probe),
                None,
            )
        )
    return made


def tests_of_draw(bench: Bench) -> list[Planned]:
    """Return the tests of a standing draw: drops over fuses wake nothing, whatever is pulled does."""
    wait = bench.options.sleep_minutes
    fuses = [place.id for place in bench.circuit.of_kind("fuse")]
    pulled = [place.id for place in bench.circuit.of_kind("fuse", "connector", "switch")]
    made = [_fuse_drop(bench, fuse) for fuse in fuses]
    made += [_branch_out(bench, id, wait) for id in pulled]
    made += unplugs(bench, code="draw_branch_off", extra_minutes=wait)
    return [*made, *fitted_looks(bench), *looks(bench, fuses, what="and what hangs on it: count the wires")]


def _fuse_drop(bench: Bench, fuse: str) -> Planned:
    name = bench.name(fuse)
    probe = Probe("current", fuse, false_alarm=DROP_ERROR, miss=DROP_ERROR)
    return Planned(
        f"fuse_drop_{fuse}",
        f"Drop over {name}, car asleep, fuse left in",
        "measure",
        MINUTES["fuse"],
        (*bench.zones(fuse), ASLEEP),
        two(
            ("small", f"at most {FUSE_MV} mV: no current", f"Drop over {name}: at most {FUSE_MV} mV."),
            ("large", f"more than {FUSE_MV} mV: current flows", f"Drop over {name}: more than {FUSE_MV} mV."),
            limit=FUSE_MV,
            unit="mV",
        ),
        "fuse_drop",
        name,
        bench.reader(probe),
        probe,
        unit="mV",
        hi=FUSE_MV,
    )


def _branch_out(bench: Bench, id: str, wait: float) -> Planned:
    name = bench.name(id)
    probe = watching(bench, part=(id,))
    watch = bench.watch
    return Planned(
        f"out_{id}",
        f"Part {name}, wait for sleep and read the total current",
        "unplug",
        MINUTES["pull"] + wait,
        bench.zones(id),
        (
            Outcome(watch.gone_id, watch.gone, "fail", f"{name} out: {watch.gone}."),
            Outcome(watch.there_id, watch.there, "pass", f"{name} out: {watch.there}."),
        ),
        "draw_branch_off",
        f"{name} out",
        bench.reader(probe),
        probe,
        caution="Pulling a fuse wakes units: let the car fall asleep again before reading.",
    )
