"""The share by month: quarters, exact limits, Laney limits, months that are still maturing."""

from datetime import date

import pytest
from scipy import stats

from diagnostics.audit.by_month import LANEY, Handed, trend
from diagnostics.statistics.survival import DayCount

# NIST/SEMATECH e-Handbook section 6.3.3.2 (30 wafers of 50), as in statistics.md section 7, p-chart-nist.
NIST = (
    12,
    15,
    8,
    10,
    4,
    7,
    16,
    9,
    14,
    10,
    5,
    6,
    17,
    12,
    22,
    8,
    10,
    5,
    13,
    11,
    20,
    18,
    24,
    15,
    9,
    12,
    7,
    13,
    9,
    6,
)


def month(place, back, of, young=0):
    first = date(2020 + place // 12, place % 12 + 1, 1)
    return Handed(first, (DayCount(5, back), DayCount(90, 0, of - back)), young)


def test_the_limits_are_those_of_the_published_chart():
    found = trend([month(place, back, 50) for place, back in enumerate(NIST)], 90)

    assert (found.by, found.limits == LANEY) == ("month", found.sigma_z > 1.2)
    assert found.center == pytest.approx(0.2313, abs=1e-4)
    narrow = trend([month(place, back, 50) for place, back in enumerate([11, 12, 11, 12, 11, 12])], 90)
    assert narrow.limits == "3-sigma limits"
    center = narrow.center
    assert narrow.periods[0].high == pytest.approx(center + 3 * (center * (1 - center) / 50) ** 0.5)


def test_laney_limits_are_those_computed_by_two_routes():
    # statistics.md section 7, p-chart-laney-small.
    found = trend([month(place, back, 50) for place, back in enumerate(NIST[:6])], 90)

    assert found.sigma_z == pytest.approx(1.3514112, abs=1e-7)
    assert found.limits == LANEY
    assert (found.periods[0].low, found.periods[0].high) == pytest.approx((0.0, 0.41007092), abs=1e-7)


def test_few_comebacks_a_month_are_counted_by_quarter_with_exact_limits():
    found = trend([month(place, back, 20) for place, back in enumerate([1, 2, 1, 1, 1, 2])], 90)

    assert (found.by, [one.label for one in found.periods]) == ("quarter", ["Q1 2020", "Q2 2020"])
    assert [(one.count, one.of) for one in found.periods] == [(4, 60), (4, 60)]
    exact = stats.binom.ppf(1 - 0.0027 / 2, 60, found.center)
    assert exact - 1 <= 60 * found.periods[0].high <= exact


def test_a_maturing_month_has_the_share_of_its_curve_and_no_limits():
    young = Handed(
        date(2020, 7, 1), (DayCount(2, 1), DayCount(10, 0, 5), DayCount(20, 1), DayCount(30, 0, 3)), 8
    )
    found = trend([*(month(place, 6, 50) for place in range(6)), young], 90)

    last = found.periods[-1]
    assert (last.is_maturing, last.count, last.of, last.low) == (True, 2, 10, None)
    assert last.estimate == pytest.approx(1 - (9 / 10) * (3 / 4))
    assert found.center == pytest.approx(0.12)


def test_a_period_beyond_its_limits_is_told_and_nothing_has_no_chart():
    found = trend([month(place, back, 100) for place, back in enumerate([6, 6, 7, 6, 6, 6, 7, 6, 6, 25])], 90)

    assert [one.label for one in found.periods if one.is_out] in ([], ["Oct 2020"])
    assert trend([], 90).center is None
    assert trend([month(0, 1, 9, young=9)], 90).center is None
