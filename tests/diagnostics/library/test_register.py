"""The instrument register: ranges, calibrations as found, what is due, the look-back."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from diagnostics.calibrating import last_good_before, leaned_on
from diagnostics.models import Calibration, InstrumentRange
from diagnostics.reading import read_instruments
from shared.models import AuditEntry
from tests.factories import (
    AdvisorFactory,
    CalibrationFactory,
    InstrumentFactory,
    InstrumentRangeFactory,
    OrderFactory,
    TechnicianFactory,
    TestRunFactory,
)

pytestmark = pytest.mark.django_db

RANGE = {"unit": "V", "low": "0", "high": "60", "resolution": "0.01", "accuracy_text": "±(0.5 % + 2)"}


@pytest.fixture
def meter():
    return InstrumentFactory(code="meter 2", accuracy=Decimal("0.05"))


@pytest.fixture
def technician(client):
    client.force_login(TechnicianFactory(signs_as="Tobin Marl"))
    return client


def csv_lines(response):
    return b"".join(response.streaming_content).decode("utf-8-sig").splitlines()


def test_a_range_is_kept_with_its_entry_in_the_trail(technician, meter):
    response = technician.post(f"/instruments/{meter.pk}/ranges/new/", RANGE, follow=True)

    kept = InstrumentRange.objects.get()
    assert (kept.instrument, kept.unit, str(kept.high), str(kept.resolution)) == (meter, "V", "60", "0.01")
    assert "±(0.5 % of reading + 2 counts)" in response.content.decode()
    assert AuditEntry.objects.get(action="add range").record_id == str(meter.pk)


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"unit": "furlong"}, "&#x27;furlong&#x27; is not a unit"),
        ({"accuracy_text": "very good"}, "is no part of an accuracy"),
        ({"accuracy_text": "0.05"}, "0.05 of what?"),
        ({"accuracy_text": "1 % + 0.02 A"}, "in units of one kind"),
        ({"high": "0"}, "0 is not above 0"),
        ({"resolution": "0"}, "A step is above 0"),
    ],
)
def test_a_range_that_is_not_clear_comes_back_with_a_question(technician, meter, changed, says):
    response = technician.post(f"/instruments/{meter.pk}/ranges/new/", RANGE | changed)

    assert says in response.content.decode()
    assert not InstrumentRange.objects.exists()


def test_one_range_is_not_kept_twice(technician, meter):
    technician.post(f"/instruments/{meter.pk}/ranges/new/", RANGE)
    response = technician.post(f"/instruments/{meter.pk}/ranges/new/", RANGE)

    assert InstrumentRange.objects.count() == 1
    assert "This range is on the list already" in response.content.decode()


def test_a_range_is_changed_and_taken_off_the_list(technician, meter):
    kept = InstrumentRangeFactory(instrument=meter)
    address = f"/instruments/{meter.pk}/ranges/{kept.pk}/"

    technician.post(address, RANGE | {"accuracy_text": "1 % + 3"})
    assert InstrumentRange.objects.get().accuracy_text == "1 % + 3"

    technician.post(address, {"remove": "1"})
    assert not InstrumentRange.objects.exists()
    assert [entry.action for entry in AuditEntry.objects.order_by("pk")] == ["change range", "remove range"]


def test_a_range_of_another_instrument_is_not_found(technician, meter):
    other = InstrumentRangeFactory()

    assert technician.get(f"/instruments/{meter.pk}/ranges/{other.pk}/").status_code == 404


def test_ranges_come_with_the_instruments_in_two_queries(meter):
    for high in (6, 60, 600):
        InstrumentRangeFactory(instrument=meter, high=Decimal(high))

    with CaptureQueriesContext(connection) as asked:
        found = read_instruments()

    assert len(found["meter 2"].ranges) == 3
    assert len(asked) == 2


def test_a_calibration_sets_when_the_next_is_due(technician, meter):
    due = timezone.localdate() + timedelta(365)
    technician.post(
        f"/instruments/{meter.pk}/calibrations/new/",
        {"done_on": timezone.localdate(), "in_tolerance": "yes", "due_next": due},
    )

    meter.refresh_from_db()
    assert meter.cal_due == due
    assert Calibration.objects.get().kept_by == "Tobin Marl"
    assert AuditEntry.objects.get(action="calibrate").record_id == str(meter.pk)


def test_an_instrument_found_out_leads_to_its_readings(technician, meter):
    response = technician.post(
        f"/instruments/{meter.pk}/calibrations/new/",
        {"done_on": "2026-03-02", "in_tolerance": "no", "found_error": "0.15", "error_unit": "volts"},
    )

    kept = Calibration.objects.get()
    assert response["Location"] == f"/calibrations/{kept.pk}/readings/"
    assert (kept.in_tolerance, kept.error_unit) == (False, "V")


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"in_tolerance": "no"}, "how far it was out"),
        ({"found_error": "0.1"}, "Write the unit of the error"),
        ({"found_error": "0.1", "error_unit": "furlong"}, "is not a unit"),
        ({"done_on": "2999-01-01"}, "still to come"),
        ({"due_next": "2026-03-01"}, "is due after this one"),
    ],
)
def test_a_calibration_that_is_not_clear_comes_back(technician, meter, changed, says):
    given = {"done_on": "2026-03-02", "in_tolerance": "yes"} | changed
    response = technician.post(f"/instruments/{meter.pk}/calibrations/new/", given)

    assert says in response.content.decode()
    assert not Calibration.objects.exists()


@pytest.mark.parametrize(
    ("values", "name"),
    [
        ({"found_error": Decimal(1), "error_unit": ""}, "calibration_error_has_unit"),
        ({"in_tolerance": False}, "calibration_out_says_how_far"),
    ],
)
def test_what_a_calibration_may_never_be_is_held_by_the_database(values, name):
    with pytest.raises(IntegrityError, match=name), transaction.atomic():
        CalibrationFactory(**values)


@pytest.mark.parametrize(
    ("values", "name"),
    [({"unit": ""}, "instrument_range_has_unit"), ({"accuracy_text": ""}, "instrument_range_has_accuracy")],
)
def test_what_a_range_may_never_be_is_held_by_the_database(values, name):
    with pytest.raises(IntegrityError, match=name), transaction.atomic():
        InstrumentRangeFactory(**values)


def test_a_range_says_what_is_wrong_when_it_is_checked(meter):
    with pytest.raises(ValidationError, match="Write the accuracy of the range"):
        InstrumentRange(instrument=meter, unit="V", low=0, high=6, accuracy_text="").validate_constraints()


def reading(meter, day, value, order=None, **more):
    return TestRunFactory(
        order=order or OrderFactory(),
        ref=f"T{day}",
        instrument=meter,
        instrument_ref=meter.code,
        done_on=date(2026, 1, day),
        value=Decimal(value),
        unit="V",
        lo=Decimal("12.4"),
        limit_unit="V",
        **more,
    )


@pytest.fixture
def out(meter):
    """Good on the 5th, found 0.15 V too high on the 20th; a reading in each stretch."""
    CalibrationFactory(instrument=meter, done_on=date(2026, 1, 5))
    for day, value in (
        (4, "12.50"),
        (5, "12.50"),
        (10, "12.60"),
        (15, "12.10"),
        (20, "13.00"),
        (21, "12.50"),
    ):
        reading(meter, day, value)
    reading(InstrumentFactory(code="meter 9"), 11, "12.50")
    return CalibrationFactory(
        instrument=meter,
        done_on=date(2026, 1, 20),
        in_tolerance=False,
        found_error=Decimal("0.15"),
        error_unit="V",
    )


def test_readings_between_the_last_good_calibration_and_this_one_leaned_on_it(out):
    assert last_good_before(out) == date(2026, 1, 5)
    assert [run.done_on.day for run in leaned_on(out).order_by("done_on")] == [5, 10, 15, 20]


def test_without_an_earlier_good_calibration_every_reading_leaned_on_it(meter, out):
    Calibration.objects.filter(in_tolerance=True).delete()

    assert leaned_on(out).count() == 5


def test_a_calibration_that_found_it_out_does_not_end_the_stretch(meter, out):
    CalibrationFactory(
        instrument=meter,
        done_on=date(2026, 1, 12),
        in_tolerance=False,
        found_error=Decimal(1),
        error_unit="V",
    )

    assert last_good_before(out) == date(2026, 1, 5)


def test_the_look_back_says_which_verdicts_would_change(client, out):
    client.force_login(AdvisorFactory())
    page = client.get(f"/calibrations/{out.pk}/readings/")

    # 12.50 less 0.15 is below 12.4; 12.60 less 0.15 is within by less than U = 0.058.
    words = {run.done_on.day: found.words for run, _, found, _ in page.context["rows"]}
    assert words == {5: "the verdict would change", 10: "no longer proved", 15: "stays", 20: "stays"}
    assert "4\u00a0readings on 4\u00a0jobs" in page.content.decode()


@pytest.mark.parametrize(
    ("query", "days"),
    [
        ("change=verdict", [5]),
        ("change=proof", [10]),
        ("change=unknown", []),
        ("change=none", [15, 20]),
        ("sort=done", [5, 10, 15, 20]),
    ],
)
def test_each_filter_of_the_look_back(technician, out, query, days):
    rows = technician.get(f"/calibrations/{out.pk}/readings/?{query}").context["rows"]

    assert sorted(run.done_on.day for run, *_ in rows) == days


def test_the_look_back_is_filtered_by_job(technician, out):
    number = leaned_on(out).order_by("done_on").first().order.number

    rows = technician.get(f"/calibrations/{out.pk}/readings/?job={number}").context["rows"]

    assert [run.done_on.day for run, *_ in rows] == [5]


def test_the_look_back_comes_as_csv(technician, out):
    lines = csv_lines(technician.get(f"/calibrations/{out.pk}/readings/?format=csv&sort=done&change=verdict"))

    assert lines[0] == "done,test,point,job,vehicle,value,should,corrected,verdict,would,change"
    assert len(lines) == 2
    assert lines[1].startswith("2026-01-05,")
    assert "the verdict would change" in lines[1]


@pytest.mark.parametrize("address", ["", "?format=csv"])
def test_the_queries_of_the_look_back_do_not_grow_with_it(technician, meter, out, address):
    def asked():
        with CaptureQueriesContext(connection) as captured:
            answer = technician.get(f"/calibrations/{out.pk}/readings/{address}")
            assert b"".join(answer.streaming_content if address else [answer.content])
        return len(captured)

    asked()
    few = asked()
    for _ in range(30):
        reading(meter, 10, "12.50")

    assert asked() == few


def test_the_due_list_has_the_next_one_first_and_says_what_was_found(technician, meter):
    today = timezone.localdate()
    InstrumentFactory(code="late", cal_due=today - timedelta(3))
    InstrumentFactory(code="free", cal_required=False)
    InstrumentFactory(code="gone", cal_due=today, withdrawn_on=today)
    type(meter).objects.filter(pk=meter.pk).update(cal_due=today + timedelta(20))
    CalibrationFactory(instrument=meter, done_on=today - timedelta(345))

    rows = technician.get("/instruments/due/").context["rows"]

    assert [(instrument.code, counts, days, found) for instrument, counts, days, found in rows] == [
        ("late", False, "overdue by 3\u00a0days", "nothing on record"),
        ("meter 2", True, "20\u00a0days", "within its accuracy"),
    ]


@pytest.mark.parametrize(
    ("query", "expected"),
    [("due=overdue", ["late"]), ("due=30", ["late", "soon"]), ("kind=clamp", ["far"])],
)
def test_each_filter_of_the_due_list(technician, query, expected):
    today = timezone.localdate()
    InstrumentFactory(code="late", cal_due=today - timedelta(3))
    InstrumentFactory(code="soon", cal_due=today + timedelta(30))
    InstrumentFactory(code="far", kind="clamp", cal_due=today + timedelta(31))

    rows = technician.get(f"/instruments/due/?{query}").context["rows"]

    assert [row[0].code for row in rows] == expected


def test_the_due_list_comes_as_csv(technician, meter):
    lines = csv_lines(technician.get("/instruments/due/?format=csv"))

    assert lines == ["name,kind,due,days,last,found", "meter 2,multimeter,,,,nothing on record"]


def test_the_page_of_an_instrument_shows_ranges_and_calibrations(client, meter, out):
    InstrumentRangeFactory(instrument=meter)
    client.force_login(AdvisorFactory())

    page = client.get(f"/instruments/{meter.pk}/").content.decode()

    assert "±(0.5 % of reading + 2 counts)" in page
    assert f"/calibrations/{out.pk}/readings/" in page
    assert "Add a range" not in page
