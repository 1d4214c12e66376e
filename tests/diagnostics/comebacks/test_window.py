from decimal import Decimal

import pytest

from diagnostics.comebacks.window import Window, in_window, window_has_passed
from diagnostics.snapshot import Location
from tests.diagnostics.comebacks.visits import HANDED_BACK, first, later, on, pair

WINDOW = Window()


@pytest.mark.parametrize(("days", "inside"), [(-1, "false"), (0, "true"), (90, "true"), (91, "false")])
def test_day_0_and_the_last_day_are_inside(days, inside):
    assert in_window(days, Decimal(0), WINDOW) == inside


@pytest.mark.parametrize(
    ("km", "inside"),
    [("0", "true"), ("6000", "true"), ("6000.1", "false"), ("6001", "false"), ("-0.1", "conflict")],
)
def test_the_limit_of_distance_is_inside(km, inside):
    assert in_window(90, Decimal(km), WINDOW) == inside


def test_a_missing_distance_leaves_the_window_unknown():
    assert in_window(90, None, WINDOW) == "unknown"


@pytest.mark.parametrize("km", [None, Decimal(-1), Decimal(10)])
def test_outside_the_days_no_distance_matters(km):
    assert in_window(91, km, WINDOW) == "false"


def test_before_hand_over_no_window_has_begun():
    assert in_window(None, None, WINDOW) == "false"


# 3728 mi is 5999.63 km and 3729 mi is 6001.24 km, by the international mile of exactly 1.609344 km
# (1959 agreement; NIST SP 811, appendix B.8. From memory).
@pytest.mark.parametrize(("miles", "inside"), [(3728, "true"), (3729, "false")])
def test_miles_are_converted(miles, inside):
    index = first(odo_out=Decimal(60_000), odo_unit="mi")
    back = later(odo_in=Decimal(60_000 + miles), odo_unit="mi")

    assert pair(index, back).in_window == inside


def test_a_mile_is_converted_exactly():
    index = first(odo_out=Decimal(0), odo_unit="mi")

    assert pair(index, later(odo_in=Decimal(1), odo_unit="mi")).km == Decimal("1.609344")


def test_each_odometer_is_read_in_its_own_unit():
    index = first(odo_out=Decimal(1000), odo_unit="mi")

    assert pair(index, later(odo_in=Decimal("1609.344"))).km == 0


def test_the_index_orders_location_gives_the_window():
    index = first(location=Location("L1", window_days=30, window_km=Decimal(500)))
    elsewhere = Location("L2", window_days=365)

    assert pair(index, later(30, location=elsewhere)).in_window == "true"
    assert pair(index, later(31, location=elsewhere)).in_window == "false"
    assert pair(index, later(30, odo_in=Decimal(100_501))).in_window == "false"


def test_a_given_window_overrides_the_locations():
    assert pair(first(), later(365), window=Window(days=365)).in_window == "true"


def test_a_window_of_0_days_is_the_day_of_hand_over():
    assert pair(first(), later(0), window=Window(days=0)).in_window == "true"
    assert pair(first(), later(1), window=Window(days=0)).in_window == "false"


@pytest.mark.parametrize(("day", "passed"), [(89, False), (90, False), (91, True)])
def test_the_window_has_passed_on_the_day_after_its_last(day, passed):
    assert window_has_passed(HANDED_BACK, WINDOW, on(day).on) is passed
