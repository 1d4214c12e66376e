import pytest

from tests.factories import AdvisorFactory, ComplaintFactory, LocationFactory, OrderFactory, TechnicianFactory


@pytest.fixture(autouse=True)
def _own_shelf(settings, tmp_path):
    settings.CAPTURES_DIR = tmp_path / "captures"


@pytest.fixture
def shop():
    return LocationFactory(time_zone="Europe/London")


@pytest.fixture
def isa(shop):
    return TechnicianFactory(username="isa", signs_as="Isa Renk", location=shop)


@pytest.fixture
def maud(shop):
    return AdvisorFactory(username="maud", signs_as="Maud Kerrow", location=shop)


@pytest.fixture
def order(shop):
    order = OrderFactory(number="1057", location=shop)
    ComplaintFactory(order=order, ref="C1")
    return order


@pytest.fixture
def technician(client, isa):
    client.force_login(isa)
    return client
