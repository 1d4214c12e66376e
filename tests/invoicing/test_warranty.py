"""Source of the worked checks: paperwork.md section 6 of the shop's reference, after 1182/71 art. 3."""

from datetime import UTC, date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from invoicing import warranty
from invoicing.warranty import OdometerEvent, Promise, cover
from shared.moments import moment_at


@pytest.mark.parametrize(
    ("start", "months", "end"),
    [
        (date(2025, 11, 30), 3, date(2026, 2, 28)),
        (date(2024, 2, 29), 36, date(2027, 2, 28)),
        (date(2023, 12, 31), 2, date(2024, 2, 29)),
        (date(2022, 2, 28), 24, date(2024, 2, 28)),
        (date(2026, 3, 31), 2, date(2026, 5, 31)),
    ],
)
def test_the_last_day_is_counted_once_from_the_start(start, months, end):
    assert warranty.last_day(start, months) == end


@given(st.dates(date(1990, 1, 1), date(2090, 1, 1)), st.integers(1, 120))
def test_the_last_day_agrees_with_dateutil(start, months):
    assert warranty.last_day(start, months) == start + relativedelta(months=months)


def test_the_day_before_rule_ends_one_day_earlier():
    assert warranty.last_day(date(2026, 6, 1), 24, end_rule="day_before") == date(2028, 5, 31)


def test_a_term_of_no_months_is_refused():
    with pytest.raises(ValueError, match="A warranty of 0 months is none"):
        warranty.last_day(date(2026, 6, 1), 0)


def test_a_term_beyond_the_calendar_is_refused():
    with pytest.raises(ValueError, match="beyond the calendar"):
        warranty.last_day(date(9999, 6, 1), 12)


def test_converted_miles_are_rounded_up():
    # 24,000 mi = 38,624.256 km.
    assert warranty.allowance_in(24_000, "mi", "km") == 38_625


def test_an_allowance_in_the_odometers_own_unit_stays():
    assert warranty.allowance_in(12_000, "mi", "mi") == 12_000


def test_the_last_reading_is_the_reading_at_hand_over_and_the_allowance():
    assert warranty.last_reading(Decimal(71_000), 38_625) == 109_625


def test_an_unknown_unit_of_distance_is_refused():
    with pytest.raises(ValueError, match="'furlong' is no unit of an odometer"):
        warranty.allowance_in(1, "furlong", "km")


def test_a_negative_distance_is_refused():
    with pytest.raises(ValueError, match="cannot be promised"):
        warranty.allowance_in(-1, "km", "km")


def test_travel_counts_over_a_changed_odometer():
    changed = OdometerEvent(date(2026, 8, 1), Decimal(120_400), Decimal(0), "replaced")

    assert warranty.travelled(Decimal(118_900), Decimal(9_000), [changed]) == 10_500


PROMISE = Promise(date(2028, 6, 1), Decimal(71_000), 38_625)


def test_the_last_day_itself_is_covered():
    assert cover(PROMISE, on=date(2028, 6, 1), odometer=Decimal(80_000)).state == "covered"


def test_the_day_after_is_expired():
    assert cover(PROMISE, on=date(2028, 6, 2), odometer=Decimal(80_000)).reasons == ("last_day_passed",)


def test_the_last_reading_itself_is_covered():
    assert cover(PROMISE, on=date(2027, 6, 1), odometer=Decimal(109_625)).state == "covered"


def test_one_more_is_expired():
    assert cover(PROMISE, on=date(2027, 6, 1), odometer=Decimal(109_626)).reasons == ("distance_passed",)


def test_every_reason_is_shown():
    late = cover(PROMISE, on=date(2029, 1, 1), odometer=Decimal(200_000))

    assert (late.state, late.reasons) == ("expired", ("last_day_passed", "distance_passed"))
    assert "last covered day has passed" in late.words


def test_a_missing_reading_is_undetermined_and_not_refused():
    visit = cover(PROMISE, on=date(2027, 6, 1), odometer=None)

    assert (visit.state, visit.reasons) == ("undetermined", ("undetermined_distance",))


def test_a_lower_reading_without_an_event_is_a_conflict():
    assert cover(PROMISE, on=date(2027, 6, 1), odometer=Decimal(70_000)).reasons == ("odometer_conflict",)


def test_a_lower_reading_with_an_event_counts_over_it():
    changed = OdometerEvent(date(2026, 8, 1), Decimal(72_000), Decimal(0), "replaced")
    promise = Promise(date(2028, 6, 1), Decimal(71_000), 38_625, (changed,))

    assert cover(promise, on=date(2027, 6, 1), odometer=Decimal(37_625)).state == "covered"
    assert cover(promise, on=date(2027, 6, 1), odometer=Decimal(37_626)).state == "expired"


def test_a_promise_without_distance_looks_at_the_day_only():
    assert cover(Promise(date(2028, 6, 1)), on=date(2028, 6, 1), odometer=None).words == "Covered."


def test_the_reported_day_counts_before_the_presented_one():
    assert warranty.day_that_counts(date(2028, 6, 4), date(2028, 5, 30)) == date(2028, 5, 30)
    assert warranty.day_that_counts(date(2028, 6, 4)) == date(2028, 6, 4)


def test_cover_ends_at_local_midnight():
    new_york = ZoneInfo("America/New_York")
    before_midnight = moment_at(datetime(2028, 6, 2, 3, 59, tzinfo=UTC), new_york)
    after_midnight = moment_at(datetime(2028, 6, 2, 4, 1, tzinfo=UTC), new_york)

    assert cover(PROMISE, on=before_midnight.on, odometer=Decimal(80_000)).state == "covered"
    assert cover(PROMISE, on=after_midnight.on, odometer=Decimal(80_000)).state == "expired"
