from datetime import UTC, datetime
from decimal import Decimal

import pytest

from diagnostics.models import Caution, RequiredStep, TestKind
from tests.factories import (
    AdvisorFactory,
    ComplaintFactory,
    InstrumentFactory,
    LocationFactory,
    OrderFactory,
    OwnerFactory,
    TechnicianFactory,
)


@pytest.fixture
def now():
    return datetime.now(UTC)


@pytest.fixture
def shop():
    return LocationFactory(code="QRG", time_zone="Europe/London", distance_unit="mi")


@pytest.fixture
def tobin(shop):
    return TechnicianFactory(signs_as="Tobin Marl", location=shop)


@pytest.fixture
def maud(shop):
    return AdvisorFactory(signs_as="Maud Kerrow", location=shop)


@pytest.fixture
def bram(shop):
    return OwnerFactory(signs_as="Bram Quill", location=shop)


@pytest.fixture
def meter():
    return InstrumentFactory(code="meter 2", kind="multimeter", cal_required=False)


@pytest.fixture
def order(shop):
    return OrderFactory(number="1057", location=shop, odo_unit="mi")


@pytest.fixture
def complaint(order):
    return ComplaintFactory(
        order=order,
        ref="C1",
        text="It is flat after two nights.",
        system="battery",
        symptom="flat",
        pattern="constant",
    )


@pytest.fixture
def draw_kind():
    Caution.objects.create(code="battery", title="Battery", text="Wear eye protection.")
    return TestKind.objects.create(
        code="standing_draw",
        system="battery",
        name="Draw on the battery lead, asleep",
        kind="numeric",
        unit="A",
        hi=Decimal("0.05"),
        limit_says="shop limit",
        minutes=6,
        point="battery lead",
        how="Clamp round the ground lead, lock, wait.",
        cautions=["battery"],
    )


@pytest.fixture
def look_kind():
    return TestKind.objects.create(
        code="case_check",
        system="battery",
        name="Battery case",
        kind="attribute",
        minutes=5,
        how="Look at it.",
    )


@pytest.fixture
def step(complaint, draw_kind):
    return RequiredStep.objects.create(
        complaint=complaint, code="standing_draw", phase="before", critical=True
    )


@pytest.fixture
def signed_in(client):
    """Give the client of a person who is signed in."""

    def sign_in(person):
        client.force_login(person)
        return client

    return sign_in


@pytest.fixture
def technician(signed_in, tobin):
    return signed_in(tobin)
