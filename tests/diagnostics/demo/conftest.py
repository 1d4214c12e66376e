from __future__ import annotations

from datetime import date

import pytest
import simplejson

from diagnostics import demo
from diagnostics.exchange.lines import Known, read_line

TODAY = date(2026, 10, 17)


@pytest.fixture(scope="session")
def shop():
    return demo.build(TODAY)


@pytest.fixture(scope="session")
def read_shop(shop):
    """The demo as the import reads it: instruments by id and orders by id."""
    known = Known({}, {})
    instruments, orders = {}, {}
    for line in (shop.location, *shop.instruments, *shop.vehicles, *shop.orders):
        record = read_line(simplejson.dumps(line, use_decimal=True), known)
        kinds = {"location": known.locations, "vehicle": known.vehicles, "instrument": instruments}
        kinds.get(line["record"], orders)[record.id] = record
    return instruments, orders


@pytest.fixture(scope="session")
def story(shop, read_shop):
    """Return a part of a story by its name, as read."""
    return lambda name: read_shop[1][shop.story_orders[name]]


def moments(value):
    """Every date in an order except those that lie ahead by their nature."""
    ahead = {"follow_up_on", "due_on"}
    if isinstance(value, dict):
        for key, part in value.items():
            if key not in ahead:
                yield from moments(part)
    elif isinstance(value, list):
        for part in value:
            yield from moments(part)
    elif isinstance(value, str) and len(value) >= 10 and value[:4].isdigit() and value[4] == value[7] == "-":
        yield value
