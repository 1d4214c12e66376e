import math
import re
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.captures import drawing
from diagnostics.captures.drawing import Lane, Picture

SVG = "{http://www.w3.org/2000/svg}"
FLAT = Lane("supply", "V", (12.0, 12.0), (12.0, 12.0))


def picture(*lanes, since=0.0, until=0.002):
    return Picture(since, until, lanes or (Lane("coil", "V", (0.0, 1.0, None, 2.0), (0.5, 4.0, None, 2.0)),))


values = st.none() | st.floats(-1e6, 1e6, allow_nan=False)


@st.composite
def lanes(draw):
    low = draw(st.lists(values, min_size=1, max_size=30))
    high = [None if one is None else one + draw(st.floats(0, 10)) for one in low]
    return Lane(draw(st.text(max_size=20)), draw(st.sampled_from(["V", "", "°C"])), tuple(low), tuple(high))


def is_xml(text):
    return ElementTree.fromstring(text.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1))


@given(st.lists(lanes(), min_size=1, max_size=5))
def test_a_picture_of_anything_is_well_formed(made):
    for svg in (drawing.fluid_svg(picture(*made), "x"), drawing.paper_svg(picture(*made), "x")):
        root = is_xml(svg)

        assert root.get("role") == "img"
        for part in root.iter():
            assert not re.search("nan|inf", part.get("d", "") + part.get("y", "") + part.get("y1", ""))


def test_text_is_escaped():
    lane = Lane('<script>alert("x")</script>', "V", (1.0,), (2.0,))

    for svg in (drawing.fluid_svg(picture(lane), '"><b>'), drawing.paper_svg(picture(lane), '"><b>')):
        assert "<script" not in svg
        assert "<b>" not in svg


def test_the_line_stops_at_a_gap():
    scale = drawing.Scale(0, 4, ())

    path = drawing.trace(picture().lanes[0], scale, 40, 40)

    assert path == "M5.0 40.0L5.0 35.0L15.0 0.0L15.0 30.0M35.0 20.0"


def test_a_flat_line_lies_in_the_middle_of_its_scale():
    scale = drawing.value_scale(FLAT)

    assert scale.share(12.0) == pytest.approx(0.5)


def test_a_lane_of_gaps_has_a_scale():
    assert drawing.value_scale(Lane("x", "V", (None,), (None,))).ticks


@pytest.mark.parametrize(
    ("low", "high", "count", "found"),
    [
        (0, 1, 4, (0, 0.5, 1)),
        (0, 10, 5, (0, 2, 4, 6, 8, 10)),
        (-3, 3, 3, (-2, 0, 2)),
        (0.1, 0.9, 8, (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9)),
    ],
)
def test_round_values_are_steps_of_one_two_or_five(low, high, count, found):
    assert drawing.round_values(low, high, count) == pytest.approx(found)


@given(st.floats(-1e9, 1e9), st.floats(1e-9, 1e9), st.integers(1, 10))
def test_round_values_lie_between(low, length, count):
    high = low + length
    if high > low:
        slack = 1e-6 * max(abs(low), abs(high), length)
        marked = drawing.round_values(low, high, count)
        assert len(marked) <= count + 2
        assert all(low - slack <= one <= high + slack for one in marked)


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (0.0125, "s", "12.5 ms"),
        (1500, "Hz", "1.5 kHz"),
        (0, "V", "0 V"),
        (-0.5, "V", "−500 mV"),
        (12.3456, "V", "12.35 V"),
        (1, "", "1"),
        (0.25, "%", "0.25 %"),
        (123456, "", "123456"),
        (math.nan, "V", "no value"),
    ],
)
def test_a_quantity_is_short(value, unit, text):
    assert drawing.quantity(value, unit) == text


def test_the_picture_is_said_in_a_sentence():
    assert drawing.said(picture(), "Coil") == "Coil: 2 ms of A coil, 0 V to 4 V."


def test_an_overview_gives_the_picture_back():
    shown = picture()

    kept = drawing.as_overview(shown, samples=100)

    assert drawing.picture(kept) == shown
    assert kept["samples"] == 100


def test_what_a_channel_is_connected_to_takes_the_place_of_its_name():
    kept = drawing.as_overview(picture(), samples=100)

    assert drawing.picture(kept, ["pin 3"]).lanes[0].label == "pin 3"


def test_channels_are_told_apart_by_letter_and_mark():
    many = picture(*[Lane(f"line {n}", "V", (0.0,) * 80, (1.0,) * 80) for n in range(4)])

    root = is_xml(drawing.fluid_svg(many, "x"))

    letters = [tspan.text for tspan in root.iter(f"{SVG}tspan")]
    marks = {path.get("d") for path in root.iter(f"{SVG}path") if path.get("class") == "trace-mark"}
    assert letters == ["A", "B", "C", "D"]
    assert len(marks) == 3  # The first line is plain.


def test_a_paper_has_its_own_ink():
    svg = drawing.paper_svg(picture(FLAT), "x")

    assert "class=" not in svg
    assert 'stroke="#000"' in svg
