import random
from datetime import UTC, date, datetime
from decimal import Decimal
from io import BytesIO

import pytest
import simplejson

from diagnostics.exchange.decoding import MAX_LINE_BYTES
from diagnostics.exchange.importing import import_jobs
from diagnostics.exchange.lines import Known, read_line, write_line
from diagnostics.models import Instrument, ReturnVisit, TestRun
from diagnostics.reading import read_locations, read_orders
from shared.models import AuditEntry
from shared.moments import Moment
from shop.models import Complaint, Customer, Location, OdometerReading, RepairOrder, Vehicle, VehicleOtherId
from tests.factories import LocationFactory, OrderFactory, TestRunFactory, VehicleFactory
from tests.second_opinion.generate import history

pytestmark = pytest.mark.django_db

NOON = datetime(2026, 6, 1, 12, tzinfo=UTC)
VIN = "00ZB1TAR0F0000017"


def order(number="R1", **given):
    return {
        "record": "order",
        "id": number,
        "vehicle": "V1",
        "opened": "2026-03-02",
        "complaints": [],
        **given,
    }


def complaint(**given):
    return {"id": "C1", "kind": "symptom", "text": "Cranks slowly.", "system": "starting", **given}


def reading(**given):
    return {
        "id": "T1",
        "code": "rest_voltage",
        "phase": "before",
        "kind": "numeric",
        "on": "2026-03-02",
        **given,
    }


def take(*lines, **options):
    """Import lines, given as records or as text, and return the summary and the refusals as text."""
    refusals = []
    written = [
        line if isinstance(line, bytes) else simplejson.dumps(line, use_decimal=True).encode()
        for line in lines
    ]
    summary = import_jobs(
        BytesIO(b"\n".join(written)),
        by="a test",
        at=NOON,
        report=lambda refusal: refusals.append(str(refusal)),
        **options,
    )
    return summary, refusals


def counts(summary):
    return summary.created, summary.updated, summary.unchanged, summary.refused


# What is kept


def test_every_order_is_on_record_as_its_line_says():
    lines = history(seed=11, vehicles=40)

    take(*lines)

    known = Known(read_locations())
    said = {
        line["id"]: write_line(read_line(simplejson.dumps(line, use_decimal=True), known), vehicle_by_id=True)
        for line in lines
        if line["record"] == "order"
    }
    kept = {kept.id: write_line(kept, vehicle_by_id=True) for kept in read_orders(RepairOrder.objects.all())}
    assert kept == said


def test_an_order_taken_twice_is_there_once():
    take(order())

    summary, _ = take(order())

    assert (counts(summary), RepairOrder.objects.count()) == ((0, 0, 1, 0), 1)


def test_an_unchanged_order_is_not_touched():
    take(order(tests=[reading()]))
    before = TestRun.objects.get().pk

    take(order(tests=[reading()]))

    assert TestRun.objects.get().pk == before
    assert AuditEntry.objects.filter(order_number="R1").count() == 1


def test_an_order_that_says_the_same_in_another_spelling_is_unchanged():
    take(order(technician="Ada"))

    summary, _ = take(order(technician="Ada", visit="symptom", odo_unit="km", tests=[], returned=None))

    assert summary.unchanged == 1


def test_an_order_that_was_entered_here_and_says_the_same_is_unchanged():
    location = LocationFactory(code="L1")
    OrderFactory(number="R1", location=location, vehicle=VehicleFactory(code="V1"))

    summary, _ = take(order(location="L1"))

    assert summary.unchanged == 1


def test_an_order_with_other_content_is_replaced_in_its_place():
    take(order(complaints=[complaint()], tests=[reading()], odo_in=81_000))
    pk = RepairOrder.objects.get().pk

    summary, _ = take(order(complaints=[complaint(text="Will not crank.")], odo_in=Decimal("81000.5")))

    assert (summary.updated, RepairOrder.objects.get().pk) == (1, pk)
    assert [c.text for c in Complaint.objects.all()] == ["Will not crank."]
    assert TestRun.objects.count() == 0
    assert [str(r.value) for r in OdometerReading.objects.all()] == ["81000.5"]


def test_a_digit_more_makes_another_reading():
    take(order(tests=[reading(value=Decimal("12.3"))]))

    summary, _ = take(order(tests=[reading(value=Decimal("12.30"))]))

    assert (summary.updated, str(TestRun.objects.get().value)) == (1, "12.30")


def test_the_audit_trail_says_where_an_order_came_from():
    take(order())

    entry = AuditEntry.objects.get(order_number="R1")
    assert (entry.actor_name, entry.action, entry.at) == ("a test", "import", NOON)


# Lines that are refused


def test_a_bad_line_is_reported_with_number_id_field_and_reason():
    _, refusals = take(order(), order("R2", odo_unit="m"))

    assert refusals == ['line 2, id "R2": odo_unit: "m" is not one of the choices. Allowed: km or mi.']


def test_good_lines_beside_a_bad_one_are_kept():
    summary, _ = take(order("R1"), order("R2", opened="2026-02-30"), order("R3"))

    assert counts(summary) == (2, 0, 0, 1)
    assert set(RepairOrder.objects.values_list("number", flat=True)) == {"R1", "R3"}


def test_each_fault_of_a_line_is_reported_and_the_line_counts_once():
    summary, refusals = take(order(odo_unit="m", outcome="mended"))

    assert (summary.refused, len(refusals)) == (1, 2)


def test_faults_come_in_the_order_of_the_file():
    _, refusals = take(b"{", order(odo_unit="m"), {"record": "vehicle"}, b"nil")

    assert [text.split(",")[0].split(":")[0] for text in refusals] == ["line 1", "line 2", "line 3", "line 4"]


def test_the_second_line_of_an_order_is_refused():
    _, refusals = take(order(), b"", order())

    assert refusals == [
        'line 3, id "R1": id: "R1" is already the order of line 1. '
        "Allowed: an order number used once in the file."
    ]


def test_a_line_without_end_is_refused_and_the_next_is_read():
    summary, refusals = take(b" " * (MAX_LINE_BYTES + 10_000_000), order())

    assert refusals == [
        "line 1: the line: is longer than 4,000,000 bytes. Allowed: one order on a line, without attachments."
    ]
    assert summary.created == 1


def test_signed_readings_are_never_replaced():
    location = LocationFactory(code="L1")
    known = OrderFactory(number="R1", location=location, vehicle=VehicleFactory(code="V1"))
    TestRunFactory(order=known, ref="T1", signed_at=NOON)

    _, refusals = take(order(location="L1", tests=[reading(value=12)]), order("R2", location="L1"))

    assert refusals == [
        'line 1, id "R1": tests: differ from the order on record, whose readings were signed here. '
        "Allowed: an order without signed readings; enter the change on its job page."
    ]
    assert set(RepairOrder.objects.values_list("number", flat=True)) == {"R1", "R2"}


def test_an_order_that_the_database_refuses_leaves_the_rest_of_its_batch():
    known = OrderFactory(number="R1", vehicle=VehicleFactory(code="V1"))
    later = TestRunFactory(order=known, ref="T1")
    TestRunFactory(order=known, ref="T1", superseded_by=later, superseded_reason="Misread.")

    summary, refusals = take(order("R0"), order("R1"), order("R2"))

    assert counts(summary) == (2, 0, 0, 1)
    assert refusals[0].startswith('line 2, id "R1": the line: could not be kept: ')
    assert TestRun.objects.filter(order=known).count() == 2


# The file around the lines


def test_blank_lines_and_line_ends_of_either_kind_are_skipped():
    summary, _ = take(b"\xef\xbb\xbf" + simplejson.dumps(order()).encode() + b"\r", b"", b"  \r", order("R2"))

    assert (summary.lines, counts(summary)) == (2, (2, 0, 0, 0))


def test_a_dry_run_changes_nothing():
    summary, refusals = take(order(), order("R2", odo_unit="m"), dry_run=True)

    assert (counts(summary), len(refusals), summary.kept) == ((1, 0, 0, 1), 1, False)
    assert (RepairOrder.objects.count(), Location.objects.count(), Vehicle.objects.count()) == (0, 0, 0)


def test_all_or_nothing_keeps_nothing_beside_a_bad_line():
    summary, _ = take({"record": "location", "id": "L1"}, order(), b"{", all_or_nothing=True)

    assert (summary.kept, RepairOrder.objects.count(), Location.objects.count()) == (False, 0, 0)


def test_all_or_nothing_keeps_everything_without_a_bad_line():
    summary, _ = take(order(), order("R2"), all_or_nothing=True)

    assert (summary.kept, RepairOrder.objects.count()) == (True, 2)


# Locations


def test_the_zone_of_a_location_further_down_decides_on_the_date():
    take(
        order(location="L1", opened="2026-06-30T23:30Z"),
        {"record": "location", "id": "L1", "time_zone": "Europe/Dublin"},
    )

    assert RepairOrder.objects.get().opened == Moment(
        date(2026, 7, 1), datetime(2026, 6, 30, 23, 30, tzinfo=UTC)
    )


def test_another_zone_in_a_later_file_moves_the_dates_of_its_orders():
    take(order(location="L1", opened="2026-06-30T23:30Z"))

    summary, _ = take(
        {"record": "location", "id": "L1", "time_zone": "Europe/Dublin"},
        order(location="L1", opened="2026-06-30T23:30Z"),
    )

    assert (summary.updated, RepairOrder.objects.get().opened_on) == (1, date(2026, 7, 1))


def test_a_location_never_described_has_the_defaults():
    take(order(location="L9"))

    place = Location.objects.get()
    assert (place.code, place.time_zone, place.window_days, place.window_km) == ("L9", "UTC", 90, 6000)


def test_a_history_that_names_no_location_belongs_to_the_one_shop_of_the_site():
    LocationFactory(code="L1")

    take(order())

    assert RepairOrder.objects.get().location.code == "L1"


def test_beside_a_location_line_an_order_without_one_has_the_defaults():
    take({"record": "location", "id": "L1", "window_days": 30}, order())

    place = RepairOrder.objects.get().location
    assert (place.code, place.window_days) == ("main", 90)


def test_with_two_shops_on_record_an_order_without_one_has_the_defaults():
    LocationFactory(code="L1")
    LocationFactory(code="L2")

    take(order())

    assert RepairOrder.objects.get().location.code == "main"


def test_a_site_without_a_location_gets_one():
    take(order())

    assert RepairOrder.objects.get().location.code == "main"


# Vehicles and customers


def test_the_same_vin_under_another_id_is_the_same_vehicle():
    take(order("R1", vehicle={"id": "V1", "vin": VIN}), order("R2", vehicle={"id": "V9", "vin": VIN.lower()}))

    assert Vehicle.objects.get().orders.count() == 2


def test_the_other_id_of_a_vin_means_that_vehicle_further_down():
    lines = [order("R1", vehicle={"id": "V1", "vin": VIN}), order("R2", vehicle={"id": "V9", "vin": VIN})]

    take(*lines, order("R3", vehicle="V9"))

    assert Vehicle.objects.get().orders.count() == 3


def test_an_id_learned_from_a_vin_means_the_same_vehicle_in_the_next_file():
    take(order("R1", vehicle={"id": "V1", "vin": VIN}), order("R2", vehicle={"id": "V9", "vin": VIN}))

    take(order("R3", vehicle={"id": "V9"}))

    assert RepairOrder.objects.get(number="R3").vehicle.code == "V1"
    assert Vehicle.objects.count() == 1


def test_a_dry_run_learns_no_id():
    lines = [order("R1", vehicle={"id": "V1", "vin": VIN}), order("R2", vehicle={"id": "V9", "vin": VIN})]

    take(*lines, dry_run=True)

    assert not VehicleOtherId.objects.exists()


def test_an_id_that_gets_a_second_vin_is_refused():
    _, refusals = take(
        order("R1", vehicle={"id": "V1", "vin": VIN}), order("R2", vehicle={"id": "V1", "vin": "X2"})
    )

    assert refusals == [
        f'line 2, id "R2": vehicle.vin: "X2" is not the VIN of vehicle "V1", which is "{VIN}". '
        "Allowed: the VIN on record, or another vehicle id."
    ]


def test_an_id_with_the_vin_of_another_vehicle_is_refused():
    VehicleFactory(code="V1", vin="")
    VehicleFactory(code="V2", vin=VIN)

    _, refusals = take({"record": "vehicle", "id": "V1", "vin": VIN})

    assert refusals == [
        f'line 1, id "V1": vin: "{VIN}" is the VIN of vehicle "V2", not of "V1". '
        "Allowed: the VIN of this vehicle, or the other vehicle's id."
    ]


def test_what_a_line_leaves_out_of_a_vehicle_stays():
    VehicleFactory(code="V1", plate="QR 1", make="Tolmer")

    take(order(vehicle={"id": "V1", "make": "Ostrey"}))

    vehicle = Vehicle.objects.get()
    assert (vehicle.plate, vehicle.make) == ("QR 1", "Ostrey")


def test_a_vehicle_line_says_when_it_left():
    take(order(), {"record": "vehicle", "id": "V1", "left_on": "2026-05-01"})

    assert Vehicle.objects.get().left_on == date(2026, 5, 1)


def test_a_customer_of_two_orders_is_one_customer():
    take(
        order("R1", customer={"id": "K1", "name": "Hanne Orrick", "phone": "1"}),
        order("R2", customer={"id": "K1", "phone": "2"}),
    )

    customer = Customer.objects.get()
    assert (customer.name, customer.phone, customer.orders.count()) == ("Hanne Orrick", "2", 2)


# Instruments, odometers, returns


def test_a_reading_is_linked_to_its_instrument():
    take({"record": "instrument", "id": "M1", "kind": "meter"}, order(tests=[reading(instrument="M1")]))

    assert TestRun.objects.get().instrument.code == "M1"


def test_an_instrument_listed_later_is_linked_to_its_readings():
    take(order(tests=[reading(instrument="M1")]))

    take({"record": "instrument", "id": "M1", "kind": "meter"})

    assert TestRun.objects.get().instrument.code == "M1"


def test_an_instrument_that_is_on_no_list_stays_named():
    take(order(tests=[reading(instrument="M9")]))

    run = TestRun.objects.get()
    assert (run.instrument, run.instrument_ref) == (None, "M9")


def test_an_instrument_is_updated():
    take({"record": "instrument", "id": "M1", "kind": "meter"})

    take({"record": "instrument", "id": "M1", "kind": "meter", "cal_due": "2027-01-01"})

    assert Instrument.objects.get().cal_due == date(2027, 1, 1)


def test_an_odometer_that_goes_backwards_is_kept_and_marked():
    take(order("R1", odo_in=81_000), order("R2", opened="2026-04-01", odo_in=50_000, odo_unit="mi"))

    assert [r.is_backwards for r in OdometerReading.objects.order_by("read_on")] == [False, True]


def test_returns_of_the_vehicles_are_computed():
    again = complaint(symptom="slow_crank")
    closed = {"returned": "2026-03-03", "outcome": "repaired", "odo_out": 81_000}

    take(
        order("R1", complaints=[again], **closed),
        order("R2", opened="2026-03-20", odo_in=81_500, complaints=[again]),
    )

    visit = ReturnVisit.objects.get()
    assert (visit.index_order.number, visit.return_order.number, visit.verdict) == ("R1", "R2", "comeback")


# Many lines


def with_bad_lines(lines, share, seed=5):
    """Spoil a share of the orders, each in one way. Return the lines and the numbers of the bad ones."""
    rng = random.Random(seed)
    orders = [number for number, line in enumerate(lines) if line["record"] == "order"]
    bad = set(rng.sample(orders, round(share * len(orders))))
    spoils = [{"outcome": "mended"}, {"opened": "2026-02-30"}, {"odo_in": "many"}, {"colour": "grey"}]
    spoilt = [{**line, **rng.choice(spoils)} if number in bad else line for number, line in enumerate(lines)]
    return spoilt, {number + 1 for number in bad}


def test_a_history_with_three_bad_lines_in_a_hundred_loses_only_those():
    lines, bad = with_bad_lines(history(seed=3, vehicles=180), share=0.03)
    orders = sum(line["record"] == "order" for line in lines)
    assert orders >= 480

    summary, refusals = take(*lines)

    assert {int(text.split(",")[0].removeprefix("line ")) for text in refusals} == bad
    assert counts(summary) == (orders - len(bad), 0, 0, len(bad))


def test_the_number_of_queries_does_not_grow_with_the_orders(django_assert_max_num_queries):
    lines = history(seed=3, vehicles=40)

    with django_assert_max_num_queries(400):
        take(*lines)
