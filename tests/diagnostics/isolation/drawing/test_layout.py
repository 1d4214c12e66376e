import time
from itertools import combinations

import pytest
from hypothesis import HealthCheck, given, settings

from diagnostics.isolation.circuit import Circuit, Place, Wire, template
from diagnostics.isolation.drawing import Mark, Marks, Rect, lay_out, rows
from diagnostics.isolation.drawing.examples import EXAMPLES
from tests.diagnostics.isolation.drawing.shapes import marked

ROOM = {"phone": 344, "tablet": 760}
FEWER = settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))


def overlapping(boxes):
    """The pairs that overlap, found by a sweep from top to bottom."""
    found, near = [], []
    for key, box in sorted(boxes, key=lambda pair: pair[1].y):
        near = [other for other in near if other[1].bottom > box.y]
        found += [(key, name) for name, other in near if box.meets(other)]
        near.append((key, box))
    return found


def test_boxes_that_share_an_edge_do_not_overlap():
    assert overlapping([("a", Rect(0, 0, 10, 10)), ("b", Rect(10, 0, 5, 5)), ("c", Rect(9, 9, 5, 5))]) == [
        ("c", "a")
    ]


@pytest.mark.parametrize("width", ROOM.values(), ids=ROOM)
@FEWER
@given(marked())
def test_no_two_labels_overlap(width, drawn):
    picture = lay_out(*drawn, width)

    assert overlapping([(text.words, text.box) for text in picture.texts]) == []


@pytest.mark.parametrize("width", ROOM.values(), ids=ROOM)
@FEWER
@given(marked())
def test_no_two_places_overlap_and_no_foreign_label_lies_on_a_place(width, drawn):
    picture = lay_out(*drawn, width)
    boxes = [(place.id, place.box) for place in picture.places]
    own = {text for place in picture.places for text in place.texts}
    foreign = [(text.words, text.box) for text in picture.texts if text not in own]

    assert overlapping(boxes) == []
    assert [
        pair for pair in overlapping(boxes + foreign) if {pair[0], pair[1]} & {id for id, _ in boxes}
    ] == []


@pytest.mark.parametrize("width", ROOM.values(), ids=ROOM)
@FEWER
@given(marked())
def test_words_of_a_place_stand_inside_its_outline(width, drawn):
    picture = lay_out(*drawn, width)

    assert [
        (place.id, text.words)
        for place in picture.places
        for text in place.texts
        if not (place.box.x <= text.box.x and text.box.right <= place.box.right + 0.01)
        or not (place.box.y <= text.box.y and text.box.bottom <= place.box.bottom)
    ] == []


@FEWER
@given(marked(30))
def test_every_place_and_every_wire_is_drawn_once_in_the_order_of_the_table(drawn):
    circuit, marks = drawn
    drawn_ids = [item.id for item in lay_out(circuit, marks, 760).items]

    assert sorted(drawn_ids) == sorted([*circuit.place_by_id, *circuit.wire_by_id])
    assert [row.id for row in rows(circuit, marks)] == [
        id for id in drawn_ids if id in {row.id for row in rows(circuit, marks)}
    ]


@FEWER
@given(marked(30))
def test_links_stand_in_the_same_order_in_both_sizes_and_in_the_table(drawn):
    circuit, marks = drawn
    orders = [
        [item.id for item in lay_out(circuit, marks, width).items if item.href] for width in ROOM.values()
    ]
    table = [row.id for row in rows(circuit, marks) if row.href]

    assert orders[0] == orders[1] == table


@FEWER
@given(marked(20))
def test_the_same_map_gives_the_same_drawing(drawn):
    assert lay_out(*drawn, 760) == lay_out(*drawn, 760)


@pytest.mark.parametrize("width", ROOM.values(), ids=ROOM)
@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: example.name)
def test_the_usual_shapes_keep_within_their_room(example, width):
    assert lay_out(example.circuit, example.marks, width).width <= width


@FEWER
@given(marked())
def test_every_box_is_high_and_wide_enough_for_a_finger(drawn):
    """WCAG 2.2, target size enhanced (2.5.5): 44 by 44 px. From memory."""
    assert all(min(place.box.width, place.box.height) >= 44 for place in lay_out(*drawn, 344).places)


@pytest.mark.slow  # a busy machine would fail it
def test_sixty_places_are_laid_out_in_twenty_milliseconds():
    groups = [f"hub {h}:\n" + "\n".join(f"unit {h}{n} @ zone {n % 4} 3+2" for n in range(19)) for h in "ABC"]
    circuit = template("joined_stars", "\n\n".join(groups))
    took = []
    for _ in range(5):
        begun = time.process_time()
        lay_out(circuit, Marks(), 760)
        took.append(time.process_time() - begun)

    assert len(circuit.places) >= 60
    assert min(took) < 0.02


def test_hubs_stand_below_each_other_and_their_legs_on_both_sides():
    circuit = template("joined_stars", "a\nb\nc\n\nd\ne\nf")
    boxes = {place.id: place.box for place in lay_out(circuit, width=760).places}
    hubs = [boxes[place.id] for place in circuit.of_kind("hub")]
    units = [boxes[place.id] for place in circuit.of_kind("module")]

    assert hubs[0].x == hubs[1].x
    assert hubs[0].bottom < hubs[1].y
    assert {box.x < hubs[0].x for box in units} == {True, False}


def test_a_two_wire_line_runs_from_end_resistor_to_end_resistor():
    circuit = template("two_wire", "engine unit\nbrake unit\ntail unit")
    boxes = {place.id: place.box for place in lay_out(circuit, width=344).places}
    first, last = (boxes[place.id] for place in circuit.of_kind("end_resistor"))
    splices = [boxes[place.id] for place in circuit.of_kind("splice")]

    assert first.y < min(box.y for box in splices)
    assert max(box.bottom for box in splices) < last.y
    assert [box.y for box in splices] == sorted(box.y for box in splices)


def test_a_unit_stands_level_with_the_splice_it_hangs_on():
    circuit = template("two_wire", "engine unit\nseat unit ? @ seat 5+5\ntail unit")
    picture = lay_out(circuit, width=760)
    boxes = {place.id: place.box for place in picture.places}
    stub = next(wire for wire in circuit.wires if circuit.place_by_id[wire.end].name == "seat unit")

    assert boxes[stub.end].middle == pytest.approx(boxes[stub.start].middle)


def test_a_feed_runs_from_supply_to_ground():
    circuit = template("feed_chain", "battery\nF12\nwiper motor\nground")
    boxes = [place.box for place in lay_out(circuit, width=344).places]

    assert [box.y for box in boxes] == sorted(box.y for box in boxes)


def test_loads_of_a_supply_stand_outside_of_their_fuses_where_there_is_room():
    circuit = template("supply_tree", "F1: clock, radio unit\nF2: lamp")
    boxes = {place.id: place.box for place in lay_out(circuit, width=760).places}

    for wire in circuit.wires:
        if circuit.place_by_id[wire.start].kind == "fuse":
            assert boxes[wire.end].x > boxes[wire.start].right


def test_a_loop_is_an_extra_link_clear_of_every_place():
    ring = next(example for example in EXAMPLES if "ring" in example.name)
    picture = lay_out(ring.circuit, ring.marks, 344)
    link = next(wire for wire in picture.wires if wire.is_loop)

    assert link.id == "back"
    assert max(place.box.right for place in picture.places) < picture.width - 2


def test_an_empty_map_has_no_height():
    assert (lay_out(Circuit("bus")).height, lay_out(Circuit("bus")).said) == (0, "The map is empty.")


def test_a_half_drawn_map_is_drawn_without_the_wire_that_ends_nowhere():
    half = Circuit("bus", (Place("a", "hub"), Place("b", "module")), (Wire("w", "a", "nowhere"),))

    assert {item.id for item in lay_out(half).items} == {"a", "b"}


def test_the_stronger_suspicion_has_the_heavier_line_and_the_higher_hatch():
    circuit = template("single_star", "door unit\nroof unit")
    weak, strong = (place.id for place in circuit.of_kind("module"))
    marks = Marks({weak: Mark("suspect", 0.1), strong: Mark("suspect", 0.4)})
    drawn = {place.id: place for place in lay_out(circuit, marks).places}

    assert drawn[weak].weight < drawn[strong].weight
    assert drawn[weak].hatch.height == pytest.approx(drawn[weak].box.height / 4)
    assert drawn[strong].hatch.height == pytest.approx(drawn[strong].box.height)


def test_every_state_differs_in_shape_not_only_in_words():
    circuit = template("single_star", "a\nb\nc\nd")
    ids = [place.id for place in circuit.of_kind("module")]
    states = ("untouched", "suspect", "cleared", "isolated")
    marks = Marks({id: Mark(state, 0.2) for id, state in zip(ids, states, strict=True)})
    drawn = {place.id: place for place in lay_out(circuit, marks).places}
    shapes = [(drawn[id].weight, bool(drawn[id].hatch), bool(drawn[id].strike)) for id in ids]

    assert all(one != other for one, other in combinations(shapes, 2))


def test_an_unplugged_unit_opens_the_end_of_its_wire_and_a_parted_wire_its_start():
    """Parting opens the start of a wire, unplugging the end: reference note on fault isolation, section 7."""
    circuit = template("single_star", "door unit")
    unit = circuit.of_kind("module")[0].id
    wire = next(one for one in circuit.wires if one.end == unit)
    unplugged = lay_out(circuit, Marks({unit: Mark(is_parted=True)}), 344)
    parted = lay_out(circuit, Marks(wires={wire.id: Mark(is_parted=True)}), 344)
    cuts = [next(one.cut for one in picture.wires if one.id == wire.id) for picture in (unplugged, parted)]
    at = [float(cut[1:].split()[0]) for cut in cuts]
    box = next(place.box for place in parted.places if place.id == unit)

    assert box.x - at[0] < 30
    assert box.x - at[1] > 50
