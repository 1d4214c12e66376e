import pytest

from shop.search import entered_as, find
from tests.factories import CustomerFactory, OrderFactory, VehicleFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def tarn():
    keeper = CustomerFactory(name="Hanne Orrick", phone="+44 7700 900-123")
    return VehicleFactory(
        plate="QX 4471", vin="00ZNV4T27HR104219", make="Norvane", model="Tarn", keeper=keeper
    )


@pytest.mark.parametrize(
    "text", ["qx4471", "QX 4471", "4471", "hr104219", "orrick hanne", "7700 900123", "900123", "Tarn"]
)
def test_one_field_finds_the_vehicle(tarn, text):
    assert find(text).vehicles == [tarn]


def test_a_job_number_finds_the_job():
    order = OrderFactory(number="1057")

    assert find("1057").orders == [order]


def test_a_customer_is_found_by_phone(tarn):
    assert find("900123").customers == [tarn.keeper]


def test_nothing_matches_nothing(tarn):
    assert find("zzz").is_empty


def test_an_empty_text_finds_nothing(tarn):
    assert find("   ").is_empty


def test_the_vehicle_seen_last_comes_first():
    old, new = VehicleFactory(plate="AB 1"), VehicleFactory(plate="AB 2")
    OrderFactory(vehicle=old, opened_on="2024-01-01")
    OrderFactory(vehicle=new, opened_on="2026-01-01")

    assert find("AB").vehicles == [new, old]


@pytest.mark.parametrize(
    ("text", "field"),
    [
        ("qx 4471", {"plate": "QX 4471"}),
        ("00zNV4T27HR104219", {"vin": "00ZNV4T27HR104219"}),
        ("07700 900 123", {"phone": "07700 900 123"}),
        ("+44 7700 900-123", {"phone": "+44 7700 900-123"}),
        ("Hanne  Orrick", {"name": "Hanne Orrick"}),
        ("4471", {"plate": "4471"}),
    ],
)
def test_what_was_not_found_has_a_field_in_a_new_job(text, field):
    assert entered_as(text) == field
