"""A map is written into the document and read back as it was."""

import json

import pytest

from diagnostics.isolation.circuit import as_dict, check, from_dict, template, zones_as_list
from tests.diagnostics.isolation.circuit.test_checking import FEED, STAR

LISTS = {
    "single_star": "pump unit @ locker 10+8\nstep unit ?",
    "joined_stars": "hub A:\npump unit\nhub B:\nramp unit",
    "two_wire": "engine unit\nbrake unit\ndash unit",
    "feed_chain": "F12\nwasher switch\nwasher pump",
    "supply_tree": "F14: trailer unit, rear wash\nF2: radio",
}


@pytest.mark.parametrize("circuit", [STAR, FEED, *(template(shape, names) for shape, names in LISTS.items())])
def test_a_map_comes_back_as_it_was(circuit):
    written = json.loads(json.dumps([as_dict(circuit), zones_as_list(circuit)]))

    back = from_dict(*written)

    assert as_dict(back) == as_dict(circuit)
    assert (back.places, back.wires, back.lines) == (circuit.places, circuit.wires, circuit.lines)
    assert check(back) == ()


def test_the_map_of_the_example_document_is_read_whole(example):
    circuit = from_dict(example["circuit"], example["zones"])

    assert check(circuit) == ()
    assert len(circuit.of_kind("module")) == 11
    assert circuit.zone_by_id["hub_a"].inside == "floor_panel"
    assert circuit.place_by_id["U9"].fitted == "assumed"
