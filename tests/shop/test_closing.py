from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from shared.models import AuditEntry
from shop import closing
from shop.closing import LeftOpen, ReturnAgreed, hand_back
from shop.models import OdometerReading, PlannedReturn, RepairOrder
from tests.factories import AdvisorFactory, LocationFactory, OrderFactory

pytestmark = pytest.mark.django_db

EVENING = datetime(2026, 3, 2, 17, tzinfo=UTC)
GAP = LeftOpen("R1", "C1", "The complaint was not verified.")


@pytest.fixture(autouse=True)
def checks(monkeypatch):
    """No other room is asked; a test says itself what is open."""
    asked = []
    monkeypatch.setattr(closing, "closing_checks", asked)
    return asked


@pytest.fixture
def one_gap(checks):
    checks.append(lambda order, *, at: [GAP])


@pytest.fixture
def maud():
    return AdvisorFactory(signs_as="Maud Kerrow")


@pytest.fixture
def order():
    return OrderFactory(location=LocationFactory(time_zone="America/Chicago"), waiting_on="advisor")


def read_in(order, value):
    OdometerReading.objects.create(
        vehicle=order.vehicle, order=order, moment="in", value=value, unit="km", read_on=date(2026, 3, 2)
    )


def test_an_order_without_gaps_closes_without_a_reason(order, maud):
    hand_back(order, by=maud, at=EVENING, outcome="repaired")

    order.refresh_from_db()
    assert (order.returned_on, order.outcome, order.closed_by) == (
        date(2026, 3, 2),
        "repaired",
        "Maud Kerrow",
    )
    assert (order.waiting_on, order.waiting_since) == ("", None)


def test_the_day_of_hand_over_is_the_shops(order, maud):
    hand_back(order, by=maud, at=datetime(2026, 3, 3, 3, tzinfo=UTC), outcome="repaired")

    order.refresh_from_db()
    assert order.returned_on == date(2026, 3, 2)


def test_gaps_need_a_reason(order, maud, one_gap):
    with pytest.raises(ValidationError, match="Write why 1 gap stays open"):
        hand_back(order, by=maud, at=EVENING, outcome="repaired", reason=" ")

    assert RepairOrder.objects.open().get() == order


def test_gaps_do_not_block_and_are_kept_with_name_and_reason(order, maud, one_gap):
    hand_back(order, by=maud, at=EVENING, outcome="repaired", reason="Needed it for work")

    order.refresh_from_db()
    entry = AuditEntry.objects.get(action="hand back")
    assert order.closing_reason == "Needed it for work"
    assert (entry.actor, entry.reason) == (maud, "Needed it for work")
    assert entry.after["left_open"] == [{"rule": "R1", "subject": "C1", "text": GAP.text}]


def test_an_order_closes_once(order, maud):
    hand_back(order, by=maud, at=EVENING, outcome="repaired")

    with pytest.raises(ValidationError, match="handed back already"):
        hand_back(order, by=maud, at=EVENING, outcome="monitor")


def test_an_outcome_is_chosen(order, maud):
    with pytest.raises(ValidationError, match="Choose the outcome"):
        hand_back(order, by=maud, at=EVENING, outcome="")


def test_the_odometer_is_read_at_hand_over(order, maud):
    read_in(order, Decimal(1000))
    hand_back(order, by=maud, at=EVENING, outcome="repaired", odometer_out=Decimal(1012))

    reading = OdometerReading.objects.get(moment="out")
    assert (reading.value, reading.read_on, reading.is_backwards) == (Decimal(1012), date(2026, 3, 2), False)


@pytest.mark.parametrize(
    ("value", "says"), [(999, "less than 1000 km at arrival"), (2001, "1001 km more than")]
)
def test_an_unlikely_odometer_is_asked_about(order, maud, value, says):
    read_in(order, Decimal(1000))

    with pytest.raises(ValidationError, match=says):
        hand_back(order, by=maud, at=EVENING, outcome="repaired", odometer_out=Decimal(value))

    order.refresh_from_db()
    assert order.is_open


def test_an_explained_odometer_that_went_back_is_kept_and_marked(order, maud):
    read_in(order, Decimal(1000))
    hand_back(
        order,
        by=maud,
        at=EVENING,
        outcome="repaired",
        odometer_out=Decimal(10),
        odometer_explanation="instrument panel replaced",
    )

    reading = OdometerReading.objects.get(moment="out")
    assert (reading.is_backwards, reading.explanation) == (True, "instrument panel replaced")


def test_a_return_agreed_is_on_record_by_hand_over(order, maud):
    planned = ReturnAgreed("look at the cable again", date(2026, 6, 1))
    hand_back(order, by=maud, at=EVENING, outcome="repaired", planned=planned)

    record = PlannedReturn.objects.get()
    assert (record.recorded_on, record.due_on, record.ref) == (date(2026, 3, 2), date(2026, 6, 1), "P1")


def test_a_hand_over_that_is_written_down_later_keeps_its_own_moment(order, maud):
    earlier = datetime(2026, 3, 2, 15, 30, tzinfo=UTC)

    hand_back(order, by=maud, at=EVENING, left_at=earlier, outcome="repaired")

    order.refresh_from_db()
    assert (order.returned_on, order.returned_at) == (date(2026, 3, 2), earlier)


def test_a_vehicle_does_not_leave_before_it_came(order, maud):
    day_before = datetime(2026, 3, 1, 15, 30, tzinfo=UTC)

    with pytest.raises(ValidationError, match="cannot leave on 01 Mar 2026 before it came in on 02 Mar 2026"):
        hand_back(order, by=maud, at=EVENING, left_at=day_before, outcome="repaired")


def test_nor_at_an_earlier_hour_of_the_same_day(order, maud):
    order.opened_at = datetime(2026, 3, 2, 16, 0, tzinfo=UTC)
    order.save()

    with pytest.raises(ValidationError, match="Check day and time of the hand-over"):
        hand_back(
            order, by=maud, at=EVENING, left_at=datetime(2026, 3, 2, 15, 59, tzinfo=UTC), outcome="repaired"
        )
