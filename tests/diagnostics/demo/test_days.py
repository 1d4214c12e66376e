from __future__ import annotations

from datetime import date

from diagnostics.demo.days import at, is_open, last_open_before, place


def test_the_shop_rests_on_sundays_and_three_holidays():
    closed = [date(2026, 10, 18), date(2026, 12, 25), date(2026, 12, 26), date(2027, 1, 1)]

    assert not any(is_open(day) for day in closed)


def test_the_day_before_monday_is_saturday():
    assert last_open_before(date(2026, 10, 19)) == date(2026, 10, 17)


def test_a_story_is_placed_on_the_latest_days_that_are_all_open():
    # Thu 15 Oct 2026 with Mon 28 Sep, Tue 29 Sep and Sat 17 Oct, as in the design.
    assert place((-17, -16, 0, 2), date(2026, 10, 17)) == date(2026, 10, 15)


def test_summer_time_shows_in_the_offset():
    assert at(date(2026, 7, 1), "08:05") == "2026-07-01T08:05+01:00"
    assert at(date(2026, 12, 1), "08:05") == "2026-12-01T08:05+00:00"
