import pytest

from diagnostics.circuits.reading import circuit_of, keep, overrides_of
from diagnostics.isolation.circuit import SHAPES, Circuit, Override, Place, Zone, check, template
from tests.factories import CircuitMapFactory, MapTestFactory

pytestmark = pytest.mark.django_db

STARS = "hub A:\ndoor unit @ left sill 6+4\nseat unit ?\n\nhub B:\nroof unit\nrear unit @ boot trim 12+8"
NAMES = {
    "single_star": "door unit\nseat unit ?",
    "joined_stars": STARS,
    "two_wire": "brake unit\ntest socket\nsteering unit",
    "feed_chain": "battery\nF12\nswitch\nwiper motor\nground",
    "supply_tree": "F14: trailer unit, rear wash\nF15: radio",
}


def kept(circuit: Circuit):
    drawn = CircuitMapFactory(topology=circuit.topology, lines=circuit.lines)
    keep(circuit, drawn)
    return drawn


@pytest.mark.parametrize("shape", SHAPES)
def test_a_circuit_comes_back_as_it_was_kept(shape):
    circuit = template(shape, NAMES[shape])
    assert circuit_of(kept(circuit)) == circuit


def test_zones_inside_zones_come_back():
    zones = (Zone("boot", "boot", 1.0, 1.0), Zone("trim", "boot trim", 12.5, 8.0, "boot"))
    circuit = Circuit("bus", (Place("a", "hub", "A", "trim"),), (), zones)
    assert circuit_of(kept(circuit)).zones == zones


def test_a_map_is_read_in_three_queries(django_assert_num_queries):
    drawn = kept(template("joined_stars", STARS))
    with django_assert_num_queries(3):
        assert check(circuit_of(drawn)) == ()


def test_a_half_drawn_map_can_be_read():
    assert check(circuit_of(CircuitMapFactory(topology="bus")))


def test_overrides_are_what_the_circuit_is_built_with():
    drawn = CircuitMapFactory()
    MapTestFactory(circuit_map=drawn, key="unplug_door", minutes="4.5", caution="Airbag.", is_offered=False)
    MapTestFactory(circuit_map=drawn, key="part_hub", minutes=None)
    assert overrides_of(drawn) == {"unplug_door": Override(4.5, "Airbag.", False), "part_hub": Override()}
