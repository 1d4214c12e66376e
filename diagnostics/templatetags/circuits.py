"""Circuit maps on pages.

{% load circuits %}
{% circuit_map circuit marks %}                 the drawing for wide and narrow room, and its table twin
{% circuit_map circuit marks table=False %}     the drawing alone, where the rows stand elsewhere
{% circuit_map circuit marks uid="b" %}         a second map on one page
{% circuit_table circuit marks %}               the table alone

`circuit` is a map of `diagnostics.isolation.circuit`, `marks` are of `diagnostics.isolation.drawing`. The
page loads css/circuit.css in its head.
"""

from __future__ import annotations

from django import template

from diagnostics.isolation.drawing import Marks, examples, lay_out, rows

register = template.Library()

WIDE, NARROW = 760, 344  # px of room: a tablet held upright, a phone


@register.inclusion_tag("diagnostics/_circuit.html")
def circuit_map(circuit, marks=None, *, caption="Map of the circuit", table=True, uid="map"):
    """A map with what is known of it; which of the two drawings shows is decided by the room there is."""
    marks = marks or Marks()
    pictures = [
        {"size": size, "uid": f"{uid}-{size}", "drawn": lay_out(circuit, marks, width)}
        for size, width in (("wide", WIDE), ("narrow", NARROW))
    ]
    return {
        "pictures": pictures if circuit.places else [],
        "caption": caption,
        "rows": rows(circuit, marks) if table else (),
    }


@register.inclusion_tag("diagnostics/_circuit_table.html")
def circuit_table(circuit, marks=None, *, caption="The same as a table"):
    """The places and wires of a map with their states, in the order of the drawing."""
    return {"rows": rows(circuit, marks or Marks()), "caption": caption}


@register.simple_tag
def circuit_examples():
    """Maps of every shape in every state, for the styleguide."""
    return examples.EXAMPLES
