"""The drawing as a page carries it."""

import re
from xml.etree import ElementTree

import pytest
from django.template import engines

from diagnostics.isolation.circuit import Circuit, template
from diagnostics.isolation.drawing import Mark, Marks
from diagnostics.isolation.drawing.examples import EXAMPLES

STAR = template("single_star", "door <unit>\nroof unit")
DOOR, ROOF = (place.id for place in STAR.of_kind("module"))


def drawn(circuit, marks=None):
    text = "{% load circuits %}{% circuit_map circuit marks %}"
    return engines["django"].from_string(text).render({"circuit": circuit, "marks": marks})


def pictures(html):
    return [ElementTree.fromstring(svg) for svg in re.findall(r"<svg.*?</svg>", html, re.DOTALL)]


@pytest.mark.parametrize("example", EXAMPLES[:-1], ids=lambda example: example.name)
def test_every_example_is_drawn_for_wide_and_for_narrow_room(example):
    sizes = [picture.get("data-size") for picture in pictures(drawn(example.circuit, example.marks))]

    assert sizes == ["wide", "narrow"]


def test_names_are_escaped():
    html = drawn(STAR)

    assert "<unit>" not in html
    assert "door &lt;unit&gt;" in html


def test_a_drawing_without_links_is_one_image_with_its_words():
    picture = pictures(drawn(STAR))[0]
    title, said = picture.get("aria-labelledby").split()

    assert picture.get("role") == "img"
    assert picture.find(f"./title[@id='{title}']").text == "Map of the circuit"
    assert "2\u00a0units" in picture.find(f"./desc[@id='{said}']").text


def test_places_with_an_address_are_links_in_the_order_of_the_table():
    marks = Marks({ROOF: Mark(href="/roof"), DOOR: Mark(href="/door")})
    html = drawn(STAR, marks)
    picture = pictures(html)[0]
    table = re.findall(r'<a href="(/\w+)"', html[html.index("<table") :])

    assert picture.get("role") == "group"
    assert [link.get("href") for link in picture.iter("a")] == table == ["/door", "/roof"]


def test_an_empty_map_says_what_to_expect():
    assert "Nothing is drawn yet." in drawn(Circuit("bus"))
