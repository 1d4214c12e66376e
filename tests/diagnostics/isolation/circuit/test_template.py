"""A pasted list of names becomes a map."""

import pytest
from hypothesis import given, reject
from hypothesis import strategies as st

from diagnostics.isolation.circuit import CircuitError, check, template
from diagnostics.isolation.circuit.names import read_groups, read_names, slug

PASTED = """
1. pump unit
2)\tstep unit
- lamp unit
• lamp unit
4 - wiper unit
  (5) horn   unit
7\tdisplay unit
2nd row fan unit
12 V socket unit
"""


def _names(circuit, *kinds):
    return [place.name for place in circuit.of_kind(*kinds)]


def test_numbers_bullets_and_tabs_are_stripped_and_duplicates_numbered():
    assert [named.name for named in read_names(PASTED)] == [
        "pump unit", "step unit", "lamp unit", "lamp unit 2", "wiper unit", "horn unit", "display unit",
        "2nd row fan unit", "12 V socket unit",
    ]  # fmt: skip


def test_a_duplicate_takes_the_next_number_that_is_free():
    assert [named.name for named in read_names("lamp 2\nlamp\nlamp")] == ["lamp 2", "lamp", "lamp 2 2"]


def test_a_zone_gives_minutes_to_open_and_to_refit_once_for_all_behind_it():
    circuit = template(
        "single_star", "pump unit @ side locker 10+8\nstep unit @ side locker\nlamp unit @ dash 9,5"
    )

    zones = circuit.zone_by_id
    assert (zones["side_locker"].open_minutes, zones["side_locker"].close_minutes) == (10, 8)
    assert (zones["dash"].open_minutes, zones["dash"].close_minutes) == (9.5, 0)
    assert [place.zone for place in circuit.of_kind("module")] == ["side_locker", "side_locker", "dash"]


def test_a_question_mark_says_that_nobody_has_seen_it():
    circuit = template("single_star", "pump unit\nramp unit ?")

    assert {place.name: place.fitted for place in circuit.of_kind("module")} == {
        "pump unit": "verified",
        "ramp unit": "assumed",
    }


def test_a_single_star_hangs_everything_on_one_hub():
    circuit = template("single_star", "pump unit\nstep unit")

    assert [(wire.start, wire.end) for wire in circuit.wires] == [
        ("hub", "test_socket"), ("hub", "pump_unit"), ("hub", "step_unit"),
    ]  # fmt: skip
    assert all(wire.removable for wire in circuit.wires)


@pytest.mark.parametrize("names", ["front hub:\npump unit\nstep unit\nrear hub:\nramp unit", "a\nb\n\nc"])
def test_stars_are_split_by_headings_or_blank_lines_and_joined_by_a_bridge(names):
    circuit = template("joined_stars", names)

    hubs = [place.id for place in circuit.of_kind("hub")]
    assert len(hubs) == 2
    assert [wire.end for wire in circuit.wires if wire.start == hubs[0] and wire.end == hubs[1]] == [hubs[1]]
    assert len(circuit.wires_at[hubs[1]]) == 2


def test_a_blank_line_after_a_heading_begins_no_new_group():
    assert [(group.heading, len(group.names)) for group in read_groups("hub A:\n\na\nb\n\nc")] == [
        ("hub A", 2), ("", 1),
    ]  # fmt: skip


def test_a_two_wire_line_has_an_end_resistor_at_both_ends_and_a_splice_for_each_unit():
    circuit = template("two_wire", "engine unit\nbrake unit\ndash unit")

    assert circuit.lines == 2
    assert _names(circuit, "end_resistor") == [
        "end resistor at the engine unit",
        "end resistor at the dash unit",
    ]
    assert _names(circuit, "splice") == ["splice 1", "splice 2", "splice 3"]
    assert _names(circuit, "tester_port") == ["test socket"]


def test_a_test_socket_named_in_the_line_is_put_where_it_is_named():
    circuit = template("two_wire", "engine unit\ndiagnostic connector\ndash unit")

    port = circuit.of_kind("tester_port")[0]
    assert circuit.wires_at[port.id][0].start == "splice_2"


def test_a_feed_runs_from_the_battery_to_ground_and_names_tell_the_kinds():
    circuit = template("feed_chain", "F12\nX3\nwasher switch\nwasher pump\nplug at the pillar\nG4")

    assert [place.kind for place in circuit.places] == [
        "source", "fuse", "connector", "switch", "load", "connector", "ground",
    ]  # fmt: skip
    assert len(circuit.wires) == 6


def test_a_supply_tree_hangs_loads_under_their_fuses():
    circuit = template("supply_tree", "F14: trailer unit, rear wash\nF2 @ fuse box 1+1:\nradio\nhorn")

    assert _names(circuit, "fuse") == ["F14", "F2"]
    assert [place.kind for place in circuit.of_kind("module", "load")] == ["module", "load", "module", "load"]
    assert len(circuit.wires_at["f2"]) == 3
    assert circuit.place_by_id["f2"].zone == "fuse_box"


SLIPS = [
    ("single_star", "", "The list is empty"),
    ("single_star", " \n\t\n", "The list is empty"),
    ("single_star", "\n".join(f"unit {n}" for n in range(61)), "The list has 61 names; a map takes 60"),
    ("single_star", "@ dash 3", "has no name in it"),
    ("single_star", "pump @ 12+8", "names no zone"),
    ("single_star", "pump @ dash 9999", "has 9999 minutes"),
    ("single_star", "x" * 61, "is too long"),
    ("joined_stars", "a\nb", "Joined stars need two groups"),
    ("two_wire", "a", "at least two units"),
    ("feed_chain", "F1\nG1", "No load is named"),
    ("supply_tree", "radio", "'radio' stands under no fuse"),
    ("supply_tree", "F1:", "Nothing is named under 'F1'"),
    ("supply_tree", ": radio", "names no fuse"),
    ("supply_tree", "", "The list is empty"),
    ("ring", "a", "'ring' is no shape. Choose single_star"),
]


@pytest.mark.parametrize(("shape", "names", "says"), SLIPS)
def test_a_list_that_makes_no_map_is_refused_in_words(shape, names, says):
    with pytest.raises(CircuitError, match=says):
        template(shape, names)


def test_a_name_in_other_letters_still_gets_an_id():
    assert slug("насос", "m") == "m"
    assert slug("12 V socket", "m") == "m_12_v_socket"
    assert slug("Türsteuergerät", "m") == "tursteuergerat"


NAME = st.text("abcÄß 19.-_@?()", min_size=1, max_size=12).filter(lambda name: "@" not in name)


@given(
    shape=st.sampled_from(["single_star", "two_wire", "feed_chain"]),
    names=st.lists(NAME, min_size=2, max_size=8),
)
def test_any_list_makes_a_whole_map_or_is_refused_in_words(shape, names):
    try:
        circuit = template(shape, names)
    except CircuitError:
        reject()

    assert check(circuit) == ()
    assert len({place.name for place in circuit.places}) == len(circuit.places)
