from dataclasses import replace

import pytest
from scipy.stats import binomtest

from diagnostics.comebacks import Window, pairs_by_vehicle, rate
from diagnostics.snapshot import Declined, Location, Vehicle
from tests.diagnostics.comebacks.visits import HANDED_BACK, complaint, first, later, on

LONG_AFTER = on(400).on


def vehicles(clean=0, back=0, **index):
    """One index order a vehicle, `back` of which return after 10 days and stay open."""
    orders = []
    for number in range(clean + back):
        vehicle = Vehicle(f"V{number}")
        orders.append(first(id=f"A{number}", vehicle=vehicle, **index))
        if number < back:
            orders.append(later(id=f"B{number}", vehicle=vehicle))
    return orders


def rates(orders, as_of=LONG_AFTER, window=None, **more):
    return rate(
        pairs_by_vehicle(orders, as_of=as_of, window=window), orders, as_of=as_of, window=window, **more
    )


def reviewed(orders, state):
    found = rates(orders, reviews={("A0", "B0"): state}).all_orders
    return found.reviewed_lower.count, found.reviewed_upper.count


# The figures of practice.md section 8, in per cent; SciPy as a second opinion.
@pytest.mark.parametrize(
    ("back", "of", "low", "high", "digits"),
    [(0, 4, 0, 49, 0), (0, 30, 0, 11.4, 1), (6, 100, 2.8, 12.5, 1), (12, 200, 3.5, 10.2, 1)],
)
def test_the_rate_carries_its_interval(back, of, low, high, digits):
    found = rates(vehicles(clean=of - back, back=back)).all_orders.provisional

    oracle = binomtest(back, of).proportion_ci(method="wilson")
    assert (found.count, found.of) == (back, of)
    assert (round(100 * found.low, digits), round(100 * found.high, digits)) == (low, high)
    assert (found.low, found.high) == pytest.approx((oracle.low, oracle.high), abs=1e-12)


@pytest.mark.parametrize(("day", "mature"), [(90, 0), (91, 1)])
def test_only_orders_whose_window_is_over_are_counted(day, mature):
    assert rates(vehicles(clean=1), as_of=on(day).on).all_orders.index_orders == mature


def test_an_early_comeback_of_a_young_order_is_not_counted_yet():
    assert rates(vehicles(back=1), as_of=on(50).on).all_orders.provisional is None


def test_the_locations_window_decides_when_an_order_is_counted():
    orders = vehicles(clean=1, location=Location("L1", window_days=30))

    assert rates(orders, as_of=on(31).on).all_orders.index_orders == 1
    assert rates(orders, as_of=on(31).on, window=Window(days=31)).all_orders.index_orders == 0


def test_orders_that_cannot_be_come_back_from_are_not_counted():
    assert rates(vehicles(clean=1, outcome="declined_all")).all_orders.index_orders == 0


def test_an_index_order_is_come_back_from_once():
    orders = [first(), later(10), later(20, id="C")]

    found = rates(orders).all_orders.provisional

    assert (found.count, found.of) == (1, 1)


def test_a_return_that_is_itself_an_index_order_is_counted():
    again = later(10, returned=on(11), outcome="repaired", odo_out=later().odo_in)

    found = rates([first(), again, later(20, id="C")]).all_orders.provisional

    assert (found.count, found.of) == (2, 2)


def test_an_order_with_an_excluded_return_stays_in():
    declined = (Declined("D1", "radiator", "comfort", "cooling", "overheats", HANDED_BACK),)

    found = rates(vehicles(back=1, declined=declined)).all_orders.provisional

    assert (found.count, found.of) == (0, 1)


def test_a_return_that_a_person_must_judge_is_not_provisional():
    orders = [first(), later(complaints=(complaint(symptom="leaks"),))]

    assert rates(orders).all_orders.provisional.count == 0


def test_orders_without_a_fault_found_have_their_own_row_and_stay_in():
    orders = vehicles(back=1, clean=2)
    orders[0] = replace(orders[0], outcome="no_fault_found")

    found = rates(orders)

    assert (found.no_fault_found.provisional.count, found.no_fault_found.index_orders) == (1, 1)
    assert (found.all_orders.provisional.count, found.all_orders.index_orders) == (1, 3)


@pytest.mark.parametrize(
    ("state", "lower", "upper"),
    [
        ("unreviewed", 1, 1),
        ("in_review", 1, 1),
        ("confirmed", 1, 1),
        ("excluded", 0, 0),
        ("unrelated", 0, 0),
        ("undetermined", 0, 1),
    ],
)
def test_a_review_decides_over_a_provisional_comeback(state, lower, upper):
    assert reviewed(vehicles(back=1), state) == (lower, upper)


@pytest.mark.parametrize(
    ("state", "lower", "upper"),
    [("unreviewed", 0, 0), ("confirmed", 1, 1), ("undetermined", 0, 1), ("unrelated", 0, 0)],
)
def test_a_review_decides_over_a_return_to_be_judged(state, lower, upper):
    orders = [first(id="A0"), later(id="B0", complaints=(complaint(symptom="leaks"),))]

    assert reviewed(orders, state) == (lower, upper)


def test_a_later_comeback_counts_when_the_first_is_found_unrelated():
    orders = [first(id="A0"), later(10, id="B0"), later(20, id="C0")]

    assert reviewed(orders, "unrelated") == (1, 1)


def test_reviews_leave_the_provisional_figure_alone():
    found = rates(vehicles(back=1), reviews={("A0", "B0"): "unrelated"}).all_orders

    assert found.provisional.count == 1


@pytest.mark.parametrize(("orders", "too_few"), [(29, True), (30, False)])
def test_below_30_orders_are_too_few_to_compare(orders, too_few):
    assert rates(vehicles(clean=orders)).all_orders.too_few_to_compare is too_few
