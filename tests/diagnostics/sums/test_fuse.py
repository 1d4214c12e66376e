"""The draw through a fuse, against the library `uncertainties` and against every combination of the ends."""

import math

import pytest
import uncertainties
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.sums import fuse

millivolts = st.floats(0.1, 20)
METER = {"percent": 0.5, "counts": 2, "resolution_mV": 0.01}
forms = st.sampled_from(sorted(fuse.BLADE_MOHM))
ratings = st.sampled_from(fuse.RATINGS_A)


@given(millivolts, forms, ratings, st.floats(0, 2), st.integers(0, 10), st.floats(0, 30))
def test_the_uncertainty_is_that_of_the_library(drop, form, rating, percent, counts, fuse_percent):
    mohm = fuse.typical_mohm(form, rating)
    half_width = drop * percent / 100 + counts * 0.01
    # It warns of a spread of zero, which is a number like any other here.
    volts = uncertainties.ufloat(drop, max(half_width / math.sqrt(3), 1e-15))
    shunt = uncertainties.ufloat(mohm, max(mohm * fuse_percent / 100 / math.sqrt(3), 1e-15))

    found = fuse.draw(drop, form, rating, percent, counts, 0.01, fuse_percent)

    expected = volts / shunt * 1000
    assert found["current_ma"] == pytest.approx(expected.n)
    assert found["uncertainty_ma"] == pytest.approx(expected.s, rel=1e-6, abs=1e-9)


@given(millivolts, forms, ratings)
def test_every_meter_and_fuse_within_tolerance_gives_a_current_between_the_ends(drop, form, rating):
    found = fuse.draw(drop, form, rating, **METER)
    mohm, half_width = fuse.typical_mohm(form, rating), drop * 0.005 + 0.02

    steps = [-1, -0.4, 0, 0.7, 1]
    possible = [(drop + a * half_width) / (mohm * (1 + b * 0.15)) * 1000 for a in steps for b in steps]

    assert found["low_ma"] == pytest.approx(min(possible))
    assert found["high_ma"] == pytest.approx(max(possible))


@given(millivolts, st.floats(1, 40))
def test_the_range_holds_the_current_in_its_middle(drop, mohm):
    low, high = fuse.current_ma_range(drop, mohm, **METER)

    assert low < high
    assert (low + high) / 2 == pytest.approx(fuse.current_ma(drop, mohm))


def test_a_meter_too_coarse_leaves_open_whether_a_current_flows():
    low, high = fuse.current_ma_range(0.1, 7.7, 0.5, 2, 0.1)

    assert low < 0 < high


@pytest.mark.parametrize(("form", "rating", "mohm"), [("mini", "15", 4.58), ("ATO", "10", 7.7)])
def test_the_typical_resistances_agree_with_two_published_anchors(form, rating, mohm):
    """A trade journal of June 2017 (15 A mini: 1.0 mV is 218 mA), a workshop page (10 A: 1 mV is 130 mA)."""
    assert fuse.typical_mohm(form, rating) == pytest.approx(mohm)


@pytest.mark.parametrize("form", fuse.BLADE_MOHM)
def test_a_larger_fuse_has_less_resistance(form):
    row = [fuse.typical_mohm(form, rating) for rating in fuse.RATINGS_A]

    assert row == sorted(row, reverse=True)
