from datetime import timedelta

import pytest

from diagnostics.audit.instruments import leaning_on
from tests.diagnostics.audit.watched import AS_OF, HANDED_BACK, jobs
from tests.factories import CalibrationFactory, InstrumentFactory, OrderFactory, TestRunFactory

pytestmark = pytest.mark.django_db


def reading(instrument, order, on, **facts):
    return TestRunFactory(
        order=order, instrument=instrument, instrument_ref=instrument.code, done_on=on, **facts
    )


def test_readings_after_the_due_date_lean_and_earlier_ones_do_not(django_assert_num_queries):
    late = InstrumentFactory(cal_due=HANDED_BACK)
    back, clean = jobs(2, back=1)
    here = OrderFactory(opened_on=AS_OF)
    for order in (back.order, clean.order):
        reading(late, order, HANDED_BACK + timedelta(days=1))
        reading(late, order, HANDED_BACK)
    reading(late, here, AS_OF)
    (young,) = jobs(1, on=AS_OF)
    reading(late, young.order, AS_OF)
    InstrumentFactory(cal_due=HANDED_BACK)  # nothing leans on it
    reading(InstrumentFactory(cal_due=AS_OF + timedelta(days=200)), here, AS_OF)

    with django_assert_num_queries(3):
        (found,) = leaning_on(AS_OF)

    assert (found.pk, found.state, found.since) == (late.pk, "overdue", HANDED_BACK)
    assert (found.open_readings, found.open_jobs, found.maturing_readings) == (1, 1, 1)
    assert (found.ripe_readings, found.ripe_jobs, found.ripe_back) == (2, 2, 1)


def test_one_that_was_withdrawn_or_has_no_due_date_does_not_count():
    here = OrderFactory(opened_on=AS_OF)
    withdrawn = InstrumentFactory(cal_required=False, withdrawn_on=AS_OF)
    undated = InstrumentFactory(cal_due=None)
    reading(withdrawn, here, AS_OF)
    reading(withdrawn, here, AS_OF - timedelta(days=1))
    reading(undated, here, AS_OF)
    reading(InstrumentFactory(cal_required=False), here, AS_OF)

    found = {one.pk: (one.state, one.open_readings) for one in leaning_on(AS_OF)}

    assert found == {withdrawn.pk: ("withdrawn", 1), undated.pk: ("no_due_date", 1)}


def test_one_found_out_of_tolerance_takes_the_readings_since_its_last_good_calibration():
    meter = InstrumentFactory(cal_due=AS_OF + timedelta(days=300))
    (job,) = jobs(1)
    good, out = HANDED_BACK - timedelta(days=10), HANDED_BACK + timedelta(days=10)
    CalibrationFactory(instrument=meter, done_on=good, in_tolerance=True)
    found_out = {"in_tolerance": False, "found_error": "0.1", "error_unit": "V"}
    CalibrationFactory(instrument=meter, done_on=out, **found_out)
    for day in (good - timedelta(days=1), good, out, out + timedelta(days=1)):
        reading(meter, job.order, day)

    (found,) = leaning_on(AS_OF)

    assert (found.state, found.since, found.ripe_readings) == ("found_out", out, 2)
    CalibrationFactory(instrument=meter, done_on=out + timedelta(days=30), in_tolerance=True)
    assert leaning_on(AS_OF) == ()


def test_one_that_runs_out_soon_is_told_while_open_jobs_rest_on_it():
    soon = InstrumentFactory(cal_due=AS_OF + timedelta(days=30))
    reading(soon, OrderFactory(opened_on=AS_OF), AS_OF)
    reading(soon, jobs(1)[0].order, HANDED_BACK)

    (found,) = leaning_on(AS_OF)

    assert (found.state, found.since, found.readings) == ("due_soon", soon.cal_due, 1)
    assert leaning_on(AS_OF, soon_days=29) == ()
