from datetime import UTC, datetime

import pytest

from diagnostics import recording
from diagnostics.recording.searches import Posed
from tests.diagnostics.searching.example import components, example, listens
from tests.factories import (
    AdvisorFactory,
    ComplaintFactory,
    LocationFactory,
    OrderFactory,
    OwnerFactory,
    TechnicianFactory,
    VehicleFactory,
)

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)


@pytest.fixture
def shop():
    return LocationFactory(code="QRG", time_zone="Europe/London")


@pytest.fixture
def tobin(shop):
    return TechnicianFactory(signs_as="Tobin Marl", location=shop)


@pytest.fixture
def maud(shop):
    return AdvisorFactory(signs_as="Maud Kerrow", location=shop)


@pytest.fixture
def gwen(shop):
    return OwnerFactory(signs_as="Gwen Oakes", location=shop)


@pytest.fixture
def order(shop):
    vehicle = VehicleFactory(make="Norvane", model="Tarn")
    return OrderFactory(number="1057", location=shop, vehicle=vehicle)


@pytest.fixture
def complaint(order):
    return ComplaintFactory(
        order=order,
        ref="C1",
        text="Several functions drop out together.",
        system="network",
        symptom="single_wire_bus_fault",
        pattern="constant",
    )


@pytest.fixture
def pose():
    """Make a posed problem of the example document."""

    def posed(*, hard=True, **more):
        document = example(hard=hard)
        return Posed(document=document, components=components(document), listens=listens(document), **more)

    return posed


@pytest.fixture
def search(complaint, tobin, pose):
    """A search on the hard fault of the example."""
    return recording.start_search(complaint, by=tobin, at=NOON, posed=pose())


@pytest.fixture
def technician(client, tobin):
    client.force_login(tobin)
    return client


@pytest.fixture
def read(tobin):
    """Record one outcome of a test of a search, as its button does."""

    def take(search, test, outcome, **more):
        one = search.listens[test]
        values = {
            "code": one["code"],
            "point": one["point"],
            "kind": "attribute",
            "result": one["says"][outcome],
            "observation": one["observation"][outcome],
            "repeatable": False,
        }
        return recording.take_reading(search, by=tobin, at=NOON, test=test, **values | more)

    return take
