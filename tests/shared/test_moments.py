from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.moments import Moment, moment_at, read_moment, write_moment

HALIFAX = ZoneInfo("America/Halifax")
AUCKLAND = ZoneInfo("Pacific/Auckland")


def test_a_date_has_no_time_of_day():
    assert read_moment("2026-10-17", HALIFAX) == Moment(date(2026, 10, 17))


def test_a_time_without_an_offset_is_local():
    moment = read_moment("2026-10-17T11:20", HALIFAX)

    assert moment == Moment(date(2026, 10, 17), datetime(2026, 10, 17, 14, 20, tzinfo=UTC))


def test_late_evening_in_one_place_is_the_next_day_in_another():
    assert read_moment("2026-10-17T23:30:00Z", AUCKLAND).on == date(2026, 10, 18)


def test_a_fraction_of_a_second_is_read():
    assert read_moment("2026-10-17 11:20:30.25Z", HALIFAX).instant.microsecond == 250_000


@pytest.mark.parametrize("text", ["2026-02-30", "2026-10-17T25:00", "2026-13-01T10:00Z"])
def test_a_day_or_time_that_does_not_exist_is_refused(text):
    with pytest.raises(ValueError, match="does not exist"):
        read_moment(text, HALIFAX)


@pytest.mark.parametrize("text", ["17.10.2026", "2026-10-17T11", "yesterday", ""])
def test_another_form_is_refused(text):
    with pytest.raises(ValueError, match="is not a date"):
        read_moment(text, HALIFAX)


@given(st.integers(631_152_000, 4_102_444_800).map(lambda seconds: datetime.fromtimestamp(seconds, UTC)))
def test_a_moment_written_is_read_back_the_same(instant):
    moment = moment_at(instant, HALIFAX)

    assert read_moment(write_moment(moment, HALIFAX), HALIFAX) == moment
