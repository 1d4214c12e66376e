"""The circuits that the demo shop has drawn, and the search that is under way. Invented, as all here."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

BODY_LINE = """hub A @ aisle floor panel 14+10:
step unit @ step well plate 8+6
lamp unit @ lower dash panel 9+6
wiper unit @ under the front cover 3+2
horn unit @ under the front cover 3+2
display unit @ lower dash panel 9+6
hub B @ rear bench 8+6:
roof fan unit @ rear headliner 18+14
rear door unit @ rear door trims 12+8
ramp unit ? @ rear door trims 12+8
heater unit @ rear bench 8+6
"""
TWO_WIRE = """engine unit @ engine cover 2+2
brake unit @ left front wheel-arch liner 8+7
cluster unit @ lower dash panel 9+6
body unit @ left rear trim 6+5
"""
SUPPLY = """fuse 3: radio, interior lamps
fuse 9: alarm unit @ left rear trim 6+5
fuse 14: trailer-socket module @ left rear trim 6+5, rear-wash relay, tailgate control @ tailgate trim 7+5
fuse 17: seat heating
fuse 21: door units
"""
FAN = """battery
fuse 27
fan relay @ fuse box cover 1+1
loom plug @ left headlamp out 7+6
fan motor @ undertray off 8+7
ground on the cross member @ undertray off 8+7
"""
FAN_FEED = "Radiator fan feed"


@dataclass(frozen=True, slots=True)
class DrawnMap:
    """One map: its title and platform, the shape, and the names as they were pasted."""

    shape: str
    names: str
    about: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class BegunSearch:
    """A search under way: of which story, on which map, and what was confirmed."""

    story: str
    title: str
    options: Mapping[str, Any] = field(default_factory=dict)


def maps() -> list[DrawnMap]:
    """Return the maps of the demo."""
    return [
        DrawnMap(
            "joined_stars",
            BODY_LINE,
            {
                "title": "Body line, two hubs", "make": "Haldmark", "model": "Stell saloon",
                "year_from": 2009, "year_to": 2015, "system": "network",
                "note": "Hub B carries a unit more where the ramp was added later.",
            },
        ),
        DrawnMap(
            "two_wire",
            TWO_WIRE,
            {"title": "Two-wire data line", "make": "Norvane", "system": "network"},
        ),
        DrawnMap(
            "supply_tree",
            SUPPLY,
            {
                "title": "Supply under the dash fuses", "make": "Norvane", "model": "Tarn estate",
                "system": "battery",
            },
        ),
        DrawnMap(
            "feed_chain",
            FAN,
            {"title": FAN_FEED, "make": "Haldmark", "model": "Stell saloon", "system": "cooling"},
        ),
    ]  # fmt: skip


def search() -> BegunSearch:
    """Return the search that is under way: why the fan of the radiator stands still."""
    return BegunSearch("open.half_measured", FAN_FEED, {"symptom": {"loads_dead": ["fan_motor"]}})
