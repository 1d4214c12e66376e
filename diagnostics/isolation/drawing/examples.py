"""Maps of every shape in every state, as the styleguide shows them. All invented."""

from __future__ import annotations

from dataclasses import dataclass, replace

from diagnostics.isolation.circuit import Circuit, Wire, template
from diagnostics.isolation.drawing.marks import Mark, Marks


@dataclass(frozen=True, slots=True)
class Example:
    name: str
    circuit: Circuit
    marks: Marks


_STARS = template(
    "joined_stars",
    """hub A @ floor panel 20+10:
pump unit @ side locker 4+2
step unit @ step well 6+4
lamp unit @ dash 10+5
display unit @ dash
wiper unit @ cowl 6+4
horn unit @ cowl

hub B @ bench 11+8:
roof fan unit @ headliner 25+20
rear door unit @ rear trim 8+6
ramp unit ? @ rear trim
heater unit @ bench
counter unit for the load space, with its own aerial @ rear pillar 12+10""",
)
_TWO_WIRE = template(
    "two_wire",
    "engine unit\nbrake unit\nsteering unit\ndashboard unit @ dash 10+5\nseat unit ? @ seat 5+5\ntail unit",
)
_TREE = template(
    "supply_tree",
    """F1: clock, radio unit
F7: alarm unit
F14 @ rear fuse box 3+2: trailer unit, rear wash pump, tailgate control unit
F20: seat unit
F22: reading lamps""",
)
_FEED = template(
    "feed_chain",
    "battery\nF12\nwiper switch @ column cover 6+4\ntailgate plug @ tailgate trim 9+7\n"
    "rear wiper motor @ tailgate trim\nground at the left pillar",
)


def _named(circuit: Circuit, name: str) -> str:
    """The id of a place by its name."""
    return next(place.id for place in circuit.places if place.name == name)


def _wire_to(circuit: Circuit, name: str) -> str:
    return next(wire.id for wire in circuit.wires if wire.end == _named(circuit, name))


def _mid_search() -> Marks:
    cleared = {"pump unit": (1, 3), "step unit": (3,), "lamp unit": (3,), "display unit": (3,)}
    suspects = {"roof fan unit": 0.06, "rear door unit": 0.31, "ramp unit": 0.17, "heater unit": 0.12}
    places = {
        _named(_STARS, name): Mark("cleared", readings=by, href="#circuits") for name, by in cleared.items()
    }
    places |= {
        _named(_STARS, name): Mark("suspect", share, href="#circuits") for name, share in suspects.items()
    }
    places[_named(_STARS, "wiper unit")] = Mark("cleared", readings=(4,), is_parted=True, href="#circuits")
    places[_named(_STARS, "horn unit")] = Mark("untouched", href="#circuits")
    places[_named(_STARS, "hub B")] = Mark("suspect", 0.03, is_next=True, href="#circuits")
    wires = {_wire_to(_STARS, name): Mark("suspect", share / 4) for name, share in suspects.items()}
    wires |= {_wire_to(_STARS, name): Mark("cleared", readings=by[-1:]) for name, by in cleared.items()}
    wires[_wire_to(_STARS, "hub B")] = Mark("suspect", 0.02, is_parted=True)
    wires[_wire_to(_STARS, "rear door unit")] = Mark("suspect", 0.08, is_next=True)
    return Marks(places, wires, frozenset({_STARS.place_by_id[_named(_STARS, "wiper unit")].zone}))


def _found_on_the_line() -> Marks:
    places = {_named(_TWO_WIRE, "steering unit"): Mark("cleared", readings=(2,))}
    places[_named(_TWO_WIRE, "seat unit")] = Mark("untouched")
    wires = {wire.id: Mark("cleared", readings=(1,)) for wire in _TWO_WIRE.wires[:5:2]}
    wires[_wire_to(_TWO_WIRE, "splice 5")] = Mark("isolated", 0.97)
    return Marks(places, wires)


def _draw_search() -> Marks:
    shares = {"trailer unit": 0.52, "rear wash pump": 0.14, "tailgate control unit": 0.21, "F14": 0.01}
    places = {_named(_TREE, name): Mark("suspect", share) for name, share in shares.items()}
    places[_named(_TREE, "trailer unit")] = Mark("suspect", 0.52, is_next=True, href="#circuits")
    for name in ("F1", "clock", "radio unit", "F7", "alarm unit", "F20", "F22"):
        places[_named(_TREE, name)] = Mark("cleared", readings=(2,))
    return Marks(places, {_wire_to(_TREE, "F7"): Mark("untouched", is_parted=True)})


def _feed_search() -> Marks:
    return Marks(
        {
            _named(_FEED, "tailgate plug"): Mark("suspect", 0.4),
            _named(_FEED, "F12"): Mark("cleared", readings=(1,)),
        },
        {
            _FEED.wires[1].id: Mark("cleared", readings=(1, 2)),
            _FEED.wires[2].id: Mark("suspect", 0.35, is_next=True),
            _FEED.wires[4].id: Mark("suspect", 0.05),
        },
    )


def _ring() -> Circuit:
    """Three hubs joined in a ring."""
    three = template("joined_stars", "radio unit\ndoor unit\n\nseat unit\n\nmirror unit\nroof unit")
    ends = [place.id for place in three.of_kind("hub")]
    return replace(three, wires=(*three.wires, Wire("back", ends[2], ends[0], "return link")))


def _ring_search() -> Marks:
    return Marks({}, {"back": Mark("suspect", 0.6, is_next=True)})


EXAMPLES = (
    Example("Joined stars, in the middle of a search", _STARS, _mid_search()),
    Example("Joined stars, as drawn", _STARS, Marks()),
    Example("A two-wire line, the fault found", _TWO_WIRE, _found_on_the_line()),
    Example("A supply tree", _TREE, _draw_search()),
    Example("A feed", _FEED, _feed_search()),
    Example("Hubs in a ring", _ring(), _ring_search()),
    Example("An empty map", Circuit("bus"), Marks()),
)
