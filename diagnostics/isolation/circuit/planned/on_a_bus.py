"""The tests of a data line."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf

from diagnostics.isolation.circuit.physics import OHM_BANDS, Defects, Probe, pair_row
from diagnostics.isolation.circuit.planned.looking import alone, fitted_looks, looks
from diagnostics.isolation.circuit.planned.plan import MINUTES, Bench, Outcome, Planned, Reader, Row, two
from diagnostics.isolation.circuit.planned.taking_off import bars, bypasses, legs_off, swaps, unplugs

END_OHM = (100.0, 140.0)
PAIR_OHM = (50.0, 70.0)
ONE_END_OHM = (70.0, 200.0)  # The band in which a reading counts as one end resistor.
MOST_CALLS = 12
SEEN_ACROSS = ("open", "pulls_bus", "socket_lies")  # What can change the resistance across a pair.
LEAK_KOHM = 1.0  # A few ohms is a short; the maker's figure wins. Common practice.
_BAND_WORDS = {
    "touching": "below 20 ohm: the wires touch",
    "about_40": "about 40 ohm: one end resistor too many",
    "about_60": "about 60 ohm: both end resistors seen",
    "about_120": "about 120 ohm: one end resistor seen",
    "open": "above 200 ohm or open: none seen",
}


def tests_of_bus(bench: Bench) -> list[Planned]:
    """Return the tests worth thinking of for the confirmed symptom."""
    if bench.watch.probe.quantity == "answers":
        return [test for unit in bench.options.symptom.silent for test in _for_a_silent_unit(bench.at(unit))]
    units = [place.id for place in bench.circuit.of_kind("module") if place.fitted != "no"]
    joints = [place.id for place in bench.circuit.of_kind("hub", "splice", "connector", "end_resistor")]
    fixed = [wire.id for wire in bench.circuit.wires if not wire.removable]
    made = [*_socket_level(bench), *bars(bench), *legs_off(bench), *unplugs(bench), *looks(bench, joints)]
    made += [*fitted_looks(bench), *swaps(bench, units), *alone(bench, fixed)]
    if bench.circuit.lines == 2:
        made += [*pair_readings(bench), *end_resistors(bench)]
    if bench.circuit.lines == 2 and bench.watch.probe.quantity == "disturbed":
        made += leaks(bench)
    if bench.watch.probe.quantity == "disturbed":
        made += calls(bench, units[:MOST_CALLS])
    return made


def _for_a_silent_unit(bench: Bench) -> list[Planned]:
    unit = bench.watch.probe.at
    way = [id for id in way_to(bench, unit) if id not in (unit, bench.network.root)]
    wires = [id for id in way if id in bench.circuit.wire_by_id]
    joints = [id for id in way if id in bench.circuit.place_by_id]
    made = [*fitted_looks(bench), *_plug_level(bench, unit), _supply(bench, unit), *looks(bench, joints)]
    made += [*bypasses(bench, way), *alone(bench, wires), *swaps(bench, [unit])]
    if bench.circuit.lines == 2:
        made += [pair_at_plug(bench, unit)]
    return made


def way_to(bench: Bench, unit: str) -> list[str]:
    """Return a shortest way from the root to a unit, places and wires."""
    steps = bench.network.steps_from_root
    way = [unit]
    while way[-1] != bench.network.root:
        way.append(min(bench.network.neighbours(way[-1]), key=lambda id: (steps[id], id)))
    return way[::-1]


def _level_outcomes(where: str) -> tuple[Outcome, Outcome]:
    return two(
        ("alive", "line is alive there", f"Line level at {where}: moves between its levels."),
        ("dead", "line is dead there", f"Line level at {where}: does not move."),
    )


def _socket_level(bench: Bench) -> list[Planned]:
    """Read the line at the joint next to the socket: does the socket show what the line does?"""
    if bench.watch.probe.quantity != "bus_state":
        return []
    root = bench.network.root
    wire = bench.circuit.wires_at[root][0]
    joint = wire.start if wire.end == root else wire.end
    name = bench.name(joint)
    probe = Probe("bus_state", joint, false_alarm=bench.error, miss=bench.error)
    return [
        Planned(
            f"level_{joint}",
            f"Line level at {name} itself",
            "measure",
            MINUTES["level"],
            bench.zones(joint),
            _level_outcomes(name),
            "line_state",
            name,
            bench.reader(probe),
            probe,
        )
    ]


def _plug_level(bench: Bench, unit: str) -> list[Planned]:
    """Read the line at the plug of a silent unit, unplugged: does the line reach it?"""
    name = bench.name(unit)
    made: list[Planned] = []
    for wire in bench.circuit.wires_at[unit]:
        probe = Probe("bus_state", wire.id, (unit,), false_alarm=bench.error, miss=bench.error)
        made.append(
            Planned(
                f"level_{wire.id}",
                f"Line level at the plug of the {name}, unplugged ({bench.name(wire.id)})",
                "measure",
                MINUTES["level"] + MINUTES["unplug"],
                bench.zones(unit),
                _level_outcomes(f"the plug of the {name}"),
                "line_state",
                f"{bench.name(wire.id)}, at the plug",
                bench.reader(probe),
                probe,
            )
        )
    return made


def _supply(bench: Bench, unit: str) -> Planned:
    name = bench.name(unit)
    probe = Probe("voltage", unit, false_alarm=bench.error, miss=bench.error)
    return Planned(
        f"supply_{unit}",
        f"Supply and ground of the {name}, plugged in and loaded",
        "measure",
        MINUTES["supply"],
        bench.zones(unit),
        two(
            ("good", "both within limits", f"{name}: supply and ground hold under load."),
            ("lost", "one of them is lost", f"{name}: supply or ground lost under load."),
        ),
        "unit_feed",
        name,
        bench.reader(probe),
        probe,
    )


def calls(bench: Bench, units: Sequence[str]) -> list[Planned]:
    """Call single units from the socket: what lies beyond an open line is silent."""
    made: list[Planned] = []
    for unit in units:
        name = bench.name(unit)
        probe = Probe("answers", unit, false_alarm=bench.error, miss=bench.error)
        made.append(
            Planned(
                f"call_{unit}",
                f"Call the {name}",
                "read_out",
                MINUTES["call"],
                bench.zones(bench.network.root),
                two(
                    ("answers", "it answers", f"{name} called: it answers."),
                    ("silent", "it is silent", f"{name} called: no answer."),
                ),
                "network_roll_call",
                name,
                bench.reader(probe),
                probe,
            )
        )
    return made


def pair_readings(bench: Bench) -> list[Planned]:
    """Resistance across the pair at the socket, and again with each parting on the way between the ends.

    Two end resistors of 120 ohm read 60, one 120, none open (ISO 11898-2, common practice).
    """
    root = bench.network.root
    made = [_pair(bench, "pair", "", Probe("bus_state", root), PAIR_OHM)]
    ends = [place.id for place in bench.circuit.of_kind("end_resistor")]
    for wire in bench.circuit.wires:
        if wire.removable and bench.network.lies_between(wire.id, ends[0], ends[1]):
            name = f"{bench.name(wire.id)} parted"
            made.append(
                _pair(bench, f"pair_{wire.id}", name, Probe("bus_state", root, (wire.id,)), ONE_END_OHM)
            )
    for place in bench.circuit.of_kind("module"):
        probe = Probe("bus_state", root, (place.id,))
        made.append(_pair(bench, f"pair_{place.id}", f"{place.name} unplugged", probe, PAIR_OHM))
    return made


def leaks(bench: Bench) -> list[Planned]:
    """Each wire of the pair to ground, asleep, whole and with each removable wire parted."""
    parted = [wire.id for wire in bench.circuit.wires if wire.removable and wire.end != bench.network.root]
    return [_leak(bench, ""), *(_leak(bench, wire) for wire in parted)]


def _leak(bench: Bench, wire: str) -> Planned:
    root = bench.network.root
    part = (wire,) if wire else ()
    probe = Probe("resistance_to_ground", root, part, false_alarm=bench.error, miss=bench.error)
    done = f", {bench.name(wire)} parted" if wire else ""
    what = f"Each wire of the pair to ground at the {bench.name(root)}{done}"
    return Planned(
        f"leak_{wire}" if wire else "leak",
        f"{what}, asleep",
        "measure",
        MINUTES["pair"] + (MINUTES["leg"] if wire else 0.0),
        bench.zones(root, *part),
        (
            Outcome("none", f"above {LEAK_KOHM:g} kohm", "pass", f"{what}: no path.", LEAK_KOHM),
            Outcome("path", f"below {LEAK_KOHM:g} kohm", "fail", f"{what}: a path.", 0.0, LEAK_KOHM),
        ),
        "can_pair_isolation",
        f"{bench.name(root)}{done}",
        bench.reader(probe),
        probe,
        unit="kohm",
        lo=LEAK_KOHM,
    )


def pair_at_plug(bench: Bench, unit: str) -> Planned:
    """Resistance across the pair at the plug of a unit that is unplugged."""
    wire = bench.circuit.wires_at[unit][0]
    probe = Probe("bus_state", wire.id, (unit,))
    return _pair(bench, f"pair_{wire.id}", f"at the plug of the {bench.name(unit)}", probe, PAIR_OHM)


def _pair(bench: Bench, id: str, done: str, probe: Probe, limits: tuple[float, float]) -> Planned:
    extra = MINUTES["unplug"] if probe.part else 0.0
    place = bench.name(bench.network.root)
    where = f"{done}" if done.startswith("at ") else f"at the {place}" + (f", {done}" if done else "")
    return Planned(
        id,
        f"Resistance across the pair {where}, asleep",
        "measure",
        MINUTES["pair"] + extra,
        bench.zones(bench.network.root, *probe.part),
        tuple(_band(band, where, limits) for band in OHM_BANDS),
        "can_termination",
        where.removeprefix("at the ").removeprefix("at "),
        pair_reader(bench, probe),
        None,
        unit="ohm",
        lo=limits[0],
        hi=limits[1],
    )


def pair_reader(bench: Bench, probe: Probe) -> Reader:
    """Return the row of the bands of resistance under a probe."""
    read = Probe(probe.quantity, probe.at, probe.part, miss=2 * bench.error)

    network = bench.network
    seen = network.region(probe.at, network.cuts(probe.part))
    sound = pair_row(network, (), read)

    def reads(defects: Defects) -> Row:
        if any(defect.kind == "unlisted" for defect in defects):
            return tuple(1 / len(OHM_BANDS) for _ in OHM_BANDS)
        if not any(defect.kind in SEEN_ACROSS and defect.at in seen for defect in defects):
            return sound
        return pair_row(network, defects, read)

    return reads


def _band(band: tuple[str, float, float], where: str, limits: tuple[float, float]) -> Outcome:
    id, low, high = band
    is_sound = low <= (limits[0] + limits[1]) / 2 < high
    return Outcome(
        id,
        _BAND_WORDS[id],
        "pass" if is_sound else "fail",
        f"Resistance across the pair {where}: {_BAND_WORDS[id]}.",
        low,
        None if high == inf else high,
    )


def end_resistors(bench: Bench) -> list[Planned]:
    """Measure each end resistor by itself."""
    made: list[Planned] = []
    for place in bench.circuit.of_kind("end_resistor"):
        probe = Probe("alone", place.id, false_alarm=bench.error, miss=bench.error)
        made.append(
            Planned(
                f"ohm_{place.id}",
                f"Resistance of the {place.name} by itself",
                "measure",
                MINUTES["pair"],
                bench.zones(place.id),
                (
                    Outcome(
                        "low", "below 100 ohm", "fail", f"{place.name} alone: below 100 ohm.", 0.0, END_OHM[0]
                    ),
                    Outcome(
                        "sound", "about 120 ohm", "pass", f"{place.name} alone: about 120 ohm.", *END_OHM
                    ),
                    Outcome(
                        "open", "above 140 ohm or open", "fail", f"{place.name} alone: open.", END_OHM[1]
                    ),
                ),
                "end_resistor_alone",
                place.name,
                _three(bench.reader(probe)),
                None,
                unit="ohm",
                lo=END_OHM[0],
                hi=END_OHM[1],
            )
        )
    return made


def _three(reads: Reader) -> Reader:
    """A sound or wrong reading as low, sound, open; what is misread is spread over both sides."""

    def spread(defects: Defects) -> Row:
        sound, wrong = reads(defects)
        if sound >= wrong:
            return (wrong / 2, sound, wrong / 2)
        return (sound / 2, sound / 2, wrong)

    return spread
