"""The stories the demo tells in full, each in a module of its own."""

from __future__ import annotations

from datetime import date

from diagnostics.demo.job import Told
from diagnostics.demo.stories import (
    battery_draw,
    brake_judder,
    bus_resistor,
    charge_cable,
    warm_air,
    wet_misfire,
)

STORIES = (battery_draw, charge_cable, wet_misfire, bus_resistor, warm_air, brake_judder)
VEHICLES = tuple(vehicle for story in STORIES for vehicle in story.VEHICLES)


def tell(last: date) -> list[Told]:
    """Return the orders of all stories; nothing in them is later than `last`."""
    return [told for story in STORIES for told in story.tell(last)]
