from datetime import UTC, date, datetime
from decimal import Decimal
from io import BytesIO

import pytest
import simplejson

from diagnostics.exchange.importing import import_jobs
from diagnostics.models import RequiredStep, Suspect, TestRun
from diagnostics.reading import (
    read_instruments,
    read_order,
    read_orders,
)
from diagnostics.snapshot import Charges, Instrument, Part, SignedReason, TrialPlan, Waiver
from shared.moments import Moment
from shop.models import Authorisation, OdometerReading, PartFitted, RepairOrder
from tests.factories import (
    ComplaintFactory,
    CustomerFactory,
    InstrumentFactory,
    LocationFactory,
    OrderFactory,
    TestRunFactory,
    VehicleFactory,
    WorkItemFactory,
)
from tests.second_opinion.generate import history

pytestmark = pytest.mark.django_db

EVENING = datetime(2026, 3, 2, 17, 5, tzinfo=UTC)


def test_the_head_of_an_order_is_read():
    row = OrderFactory(
        number="5001",
        location=LocationFactory(code="L1", time_zone="Europe/Dublin", window_days=60),
        vehicle=VehicleFactory(code="V1", plate="QR 1"),
        customer=CustomerFactory(code="K1"),
        opened_at=EVENING,
        outcome="repaired",
        total_charge="120.00",
    )

    order = read_order(row.pk)

    assert (order.id, order.location.window_days, order.vehicle.plate) == ("5001", 60, "QR 1")
    assert (order.customer.id, order.outcome) == ("K1", "repaired")
    assert order.opened == Moment(date(2026, 3, 2), EVENING)
    assert order.charges == Charges(total="120.00")


def test_what_was_not_given_is_none():
    order = read_order(OrderFactory().pk)

    assert (order.customer, order.outcome, order.returned, order.odo_in, order.charges) == (None,) * 5


def test_odometers_are_read_with_their_digits():
    row = OrderFactory()
    OdometerReading.objects.create(
        vehicle=row.vehicle,
        order=row,
        moment="in",
        value=Decimal("81000.0"),
        unit="km",
        read_on=row.opened_on,
    )

    assert str(read_order(row.pk).odo_in) == "81000.0"


def test_an_odometer_in_another_unit_is_converted():
    row = OrderFactory(odo_unit="mi")
    OdometerReading.objects.create(
        vehicle=row.vehicle,
        order=row,
        moment="out",
        value=Decimal("1609.344"),
        unit="km",
        read_on=row.opened_on,
    )

    assert read_order(row.pk).odo_out == 1000


def test_a_complaint_is_read_with_plan_steps_and_suspects():
    complaint = ComplaintFactory(ref="C1", plan_n=5, plan_conditions="cold")
    RequiredStep.objects.create(complaint=complaint, code="draw", is_waived=True, waiver_by="Ada")
    Suspect.objects.create(complaint=complaint, component="battery", evidence=["T1"])

    read = read_order(complaint.order_id).complaints[0]

    assert (read.plan, read.required[0].waiver) == (TrialPlan(5, "cold"), Waiver("", "Ada"))
    assert read.suspects[0].evidence == ("T1",)


def test_a_superseded_reading_is_left_out():
    order = OrderFactory()
    new = TestRunFactory(order=order, ref="T1", value=Decimal("12.40"))
    TestRun.objects.filter(pk=new.pk).update(position=1)
    TestRunFactory(order=order, ref="T1", superseded_by=new, superseded_reason="Misread.")

    assert [str(test.value) for test in read_order(order.pk).tests] == ["12.40"]


def test_a_disposition_without_words_is_still_one():
    run = TestRunFactory(is_disposed=True)

    assert read_order(run.order_id).tests[0].disposition == SignedReason("", "")


def test_a_part_is_read_with_its_work():
    item = WorkItemFactory()
    PartFitted.objects.create(work=item, number="B-70", condition="new")

    assert read_order(item.order_id).work[0].part == Part(number="B-70", condition="new")


def test_records_are_read_in_the_order_of_their_places():
    order = OrderFactory()
    for place in (2, 0, 1):
        Authorisation.objects.create(order=order, position=place, minutes=place, given_on=order.opened_on)

    assert [given.minutes for given in read_order(order.pk).authorisations] == [0, 1, 2]


def test_an_order_that_is_not_there_cannot_be_read():
    with pytest.raises(RepairOrder.DoesNotExist, match="no order with the key 99"):
        read_order(99)


def test_orders_come_in_the_order_of_the_queryset():
    for number in ("a", "c", "b"):
        OrderFactory(number=number)

    read = read_orders(RepairOrder.objects.order_by("-number"), chunk=2)

    assert [order.id for order in read] == ["c", "b", "a"]


def test_instruments_are_read_by_id():
    InstrumentFactory(code="M1", kind="meter", accuracy=Decimal("0.010"))

    assert read_instruments() == {"M1": Instrument("M1", "meter", accuracy=Decimal("0.010"))}


def test_a_chunk_takes_the_same_number_of_queries_whatever_its_size(django_assert_num_queries):
    lines = history(seed=31, vehicles=12)
    import_jobs(
        BytesIO("\n".join(simplejson.dumps(line, use_decimal=True) for line in lines).encode()),
        by="a test",
        at=EVENING,
        report=print,
    )
    queries = 25  # The keys, then one for each table.

    with django_assert_num_queries(queries):
        list(read_orders(RepairOrder.objects.all()))
    with django_assert_num_queries(queries):
        list(read_orders(RepairOrder.objects.all()[:1]))
