from dataclasses import replace

from diagnostics.isolation.circuit import Wire, template
from diagnostics.isolation.drawing import Mark, Marks, lay_out, rows

STAR = template("single_star", "door unit @ sill 12+8\nramp unit ?")
DOOR, RAMP = (place.id for place in STAR.of_kind("module"))
WIRE = next(wire.id for wire in STAR.wires if wire.end == DOOR)


def row_of(id, marks, circuit=STAR):
    return next(row for row in rows(circuit, marks) if row.id == id)


def test_a_row_says_what_a_place_hangs_on_and_how_it_is_reached():
    row = row_of(DOOR, Marks())

    assert (row.kind, row.hangs_on, row.access) == (
        "unit",
        "hub",
        "sill, closed: 12 min to open, 8 min to refit",
    )


def test_an_open_panel_costs_nothing_and_says_so():
    zone = STAR.place_by_id[DOOR].zone

    assert row_of(DOOR, Marks(open_zones=frozenset({zone}))).access == "sill, open"


def test_a_cleared_place_names_the_readings_in_a_column_of_their_own():
    row = row_of(DOOR, Marks({DOOR: Mark("cleared", readings=(2, 5))}))

    assert (row.state, row.cleared_by, row.chance) == ("cleared", "readings 2 and 5", "")


def test_all_that_is_known_of_a_place_stands_in_its_state():
    row = row_of(RAMP, Marks({RAMP: Mark("suspect", 0.2, is_next=True, is_parted=True)}))

    assert (row.state, row.chance) == ("suspect, is it fitted?, unplugged, next test", "20 in 100")


def test_a_wire_has_a_row_only_when_it_has_something_to_tell():
    assert WIRE not in {row.id for row in rows(STAR, Marks())}
    assert row_of(WIRE, Marks(wires={WIRE: Mark("suspect", 0.1)})).name == "wire to the door unit"


def test_a_loop_is_told_at_its_place_and_in_a_row_of_its_own():
    ring = replace(STAR, wires=(*STAR.wires, Wire("back", DOOR, RAMP)))

    assert row_of(RAMP, Marks(), ring).hangs_on == "hub, also joined to door unit"
    assert row_of("back", Marks(), ring).kind == "extra link"


def test_the_summary_says_what_is_next_and_what_is_suspected_most():
    marks = Marks(
        {DOOR: Mark("suspect", 0.6, is_next=True), RAMP: Mark("cleared")}, {WIRE: Mark("suspect", 0.3)}
    )
    said = lay_out(STAR, marks).said.replace("\u00a0", " ")

    assert said == (
        "A map of 1 hub, 2 units and 1 test socket, joined by 3 wires. Next test: door unit. "
        "2 suspects, the strongest: door unit (60 in 100) and wire to the door unit (30 in 100). 1 cleared."
    )
