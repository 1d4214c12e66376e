"""What is wrong with a drawn map is said in words, with the place named."""

from dataclasses import replace

import pytest

from diagnostics.isolation.circuit import Circuit, CircuitError, Place, Wire, Zone, check
from diagnostics.isolation.circuit.checking import insist

STAR = Circuit(
    "bus",
    (
        Place("H", "hub", "hub"),
        Place("P", "tester_port", "test socket"),
        Place("U1", "module", "pump unit", "locker"),
        Place("U2", "module", "step unit"),
    ),
    (Wire("wP", "H", "P"), Wire("w1", "H", "U1"), Wire("w2", "H", "U2")),
    (Zone("locker", "side locker", 10, 8),),
)
FEED = Circuit(
    "feed",
    (Place("B", "source"), Place("F", "fuse"), Place("L", "load", "rear lamp"), Place("G", "ground")),
    (Wire("w1", "B", "F"), Wire("w2", "F", "L"), Wire("w3", "L", "G")),
)


def _messages(circuit):
    return " ".join(wrong.message for wrong in check(circuit))


@pytest.mark.parametrize(
    "circuit", [STAR, FEED, replace(FEED, topology="draw", places=FEED.places[:3], wires=FEED.wires[:2])]
)
def test_a_whole_map_has_nothing_wrong(circuit):
    assert check(circuit) == ()


def _without(circuit, *ids):
    return replace(
        circuit,
        places=tuple(place for place in circuit.places if place.id not in ids),
        wires=tuple(wire for wire in circuit.wires if wire.end not in ids and wire.start not in ids),
    )


def _with(circuit, place):
    return replace(
        circuit, places=(*circuit.places, place), wires=(*circuit.wires, Wire("w9", "H", place.id))
    )


SLIPS = [
    (replace(STAR, places=()), "The map is empty"),
    (replace(STAR, topology="ring"), "'ring' is no kind of circuit. Choose bus, feed, draw"),
    (replace(STAR, wires=(*STAR.wires, Wire("w9", "H", "U9"))), "'w9' ends at 'U9', which is not a place"),
    (replace(STAR, wires=(*STAR.wires, Wire("w9", "U1", "U1"))), "begins and ends at 'pump unit'"),
    (replace(STAR, wires=(*STAR.wires, Wire("w9", "U1", "H"))), "Two wires join 'pump unit' and 'hub'"),
    (replace(STAR, wires=(*STAR.wires, Wire("w1", "U1", "U2"))), "The id 'w1' is used for 2 places or wires"),
    (replace(STAR, wires=STAR.wires[:2]), "No wire leads from 'test socket' to 'step unit'"),
    (replace(STAR, wires=(Wire("wP", "H", "P", zone="attic"), *STAR.wires[1:])), "lies in zone 'attic'"),
    (replace(STAR, zones=()), "'pump unit' lies in zone 'locker', which is not on this map"),
    (replace(STAR, zones=(Zone("locker", inside="van"),)), "inside 'van', which is not a zone"),
    (
        replace(STAR, zones=(Zone("locker", inside="van"), Zone("van", inside="locker"))),
        "Zone 'locker' is inside itself",
    ),
    (replace(STAR, zones=(Zone("locker", "side locker", -1),)), "Zone 'side locker' has -1 minutes"),
    (replace(STAR, zones=(Zone("locker", "side locker", float("nan")),)), "has nan minutes"),
    (replace(STAR, zones=(*STAR.zones, *STAR.zones)), "The id 'locker' is used for 2 zones"),
    (replace(STAR, places=(*STAR.places, Place("9x", "module"))), "'9x' cannot be an id"),
    (replace(STAR, places=(*STAR.places, Place("x" * 41, "module"))), "at most 40"),
    (replace(STAR, places=(*STAR.places, Place("F", "fuse"))), "'F' is a fuse, which has no part in"),
    (replace(STAR, places=(*STAR.places, Place("F", "lamp"))), "'F' is of no known kind"),
    (replace(STAR, places=(*STAR.places[:3], Place("U2", "module", fitted="maybe"))), "fitted is one of"),
    (_without(STAR, "P"), "There is no test socket on the map. Draw one."),
    (_without(STAR, "U1", "U2"), "There is not a unit on the map"),
    (
        _with(STAR, Place("P2", "tester_port")),
        "more than one test socket: 'test socket', 'P2'",
    ),
    (_without(FEED, "B"), "There is no source on the map"),
    (_without(FEED, "G"), "There is not a ground on the map"),
    (_without(FEED, "L"), "There is not a load on the map"),
    (_without(replace(FEED, topology="draw"), "G", "F"), "There is not a fuse on the map"),
    (replace(STAR, lines=2), "an end resistor at each end; there are 0 on the map"),
    (replace(STAR, lines=3), "3 wires a line does not do"),
    (
        _with(STAR, Place("R", "end_resistor", "end")),
        "'end': end resistors belong to a two-wire bus",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("circuit", "says"), SLIPS, ids=[says[:40] for _, says in SLIPS])
def test_what_is_wrong_is_said_with_the_place_named(circuit, says):
    assert says in _messages(circuit)


def test_every_fault_of_a_map_is_named_at_once():
    with pytest.raises(CircuitError, match="not a place") as caught:
        insist(replace(STAR, wires=(Wire("a", "H", "X"), Wire("b", "H", "Y"))))

    assert [fault.where for fault in caught.value.faults] == ["a", "b"]


def test_a_wire_without_a_label_is_called_by_what_it_leads_to():
    assert STAR.name_of("w1") == "wire to the pump unit"
    assert FEED.name_of("w2") == "wire from F to rear lamp"
    assert STAR.name_of("U2") == "step unit"
