"""Compression, leakage, fuel, tyres and brakes, against the cited limits and Pint."""

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.sums import brake, engine, fuel, tyre
from tests.diagnostics.sums.named import refusal

UNITS = pint.UnitRegistry()
cylinders = st.lists(st.floats(100, 3000), min_size=1, max_size=12)
millimetres = st.lists(st.floats(0.5, 40), min_size=1, max_size=16)


@given(cylinders, st.floats(0.1, 10))
def test_the_share_of_the_weakest_does_not_depend_on_the_unit(kpa, factor):
    share = engine.compression_percent(kpa)

    assert 0 < share <= 100
    assert engine.compression_percent([value * factor for value in kpa]) == pytest.approx(share)


@pytest.mark.parametrize(
    ("kpa", "verdict", "weakest"),
    [
        ([1200, 1180, 900, 1210], "uneven", 3),
        ([1200, 1180, 1190, 1210], "even", 2),
        ([650, 660, 640, 655], "low", 3),
        ([1200, 500, 1190, 1210], "uneven-and-low", 2),
        ([1000, 750], "even", 2),
        ([1000, 749], "uneven", 2),
        ([690, 700], "even", 1),
    ],
)
def test_compression_is_judged_by_share_and_by_its_lowest(kpa, verdict, weakest):
    """Common practice: 75 % of the highest, none under 100 psi (690 kPa)."""
    found = engine.compression_verdict(kpa)

    assert (found["verdict"], found["weakest_cylinder"]) == (verdict, weakest)


def test_sixty_of_eighty_psi_is_a_quarter_lost():
    """FAA AC 43.13-1B, 8-14, as quoted in a public page."""
    assert engine.leakdown_percent(80, 60) == pytest.approx(25)


@pytest.mark.parametrize(
    ("cylinder", "verdict"),
    [(90, "good"), (89.9, "usable"), (80, "usable"), (79.9, "worn"), (70, "worn"), (69.9, "fault")],
)
def test_leakage_is_judged_in_four_steps(cylinder, verdict):
    assert engine.leakdown_verdict(100, cylinder)["verdict"] == verdict


def test_a_cylinder_above_its_supply_is_refused():
    assert "are the gauges swapped?" in refusal("engine.leakdown_percent", supply=60, cylinder=80).message


@given(st.floats(1, 1000), st.floats(0, 1000), st.floats(0.1, 100))
def test_the_fall_each_minute_leads_back_to_the_end(start, end, minutes):
    fall = fuel.decay_per_minute(start, end, minutes)

    assert start - fall * minutes == pytest.approx(end, abs=1e-6)


@pytest.mark.parametrize(
    ("end", "verdict"), [(380, "holds"), (360, "holds"), (350, "doubtful"), (344, "falls")]
)
def test_fuel_pressure_is_judged_by_its_fall_in_five_minutes(end, verdict):
    found = fuel.hold_verdict(380, end, 5)

    assert (found["verdict"], found["fall_in_5_min_kpa"]) == (verdict, pytest.approx(380 - end))


def test_a_fall_over_ten_minutes_is_scaled_to_five():
    assert fuel.hold_verdict(380, 340, 10)["fall_in_5_min_kpa"] == pytest.approx(20)


def test_a_pressure_that_rose_is_refused():
    assert "above the 380 kPa" in refusal("fuel.hold_verdict", start_kpa=380, end_kpa=390, minutes=5).message


@pytest.mark.parametrize(
    ("short", "long", "verdict"),
    [(4, 12, "adds-fuel"), (10, 0, "usual"), (-3, 5, "usual"), (-8, -6, "takes-fuel"), (12, -12, "usual")],
)
def test_trims_are_judged_by_their_sum(short, long, verdict):
    assert fuel.trim_verdict(short, long)["verdict"] == verdict


def test_every_pattern_of_trims_has_its_words():
    for idle in (-20, 0, 20):
        for loaded in (-20, 0, 20):
            found = fuel.trim_pattern(idle, loaded)
            said = fuel.PATTERNS.get((found["idle"], found["loaded"]), fuel.MIXED)
            assert (said == fuel.MIXED) == (idle * loaded < 0)


@given(st.floats(0, 100))
def test_thirty_seconds_of_an_inch_agree_with_pint(count):
    assert tyre.inch32_to_mm(count) == pytest.approx((count / 32 * UNITS.inch).to("mm").magnitude)
    assert tyre.mm_to_inch32(tyre.inch32_to_mm(count)) == pytest.approx(count)


@pytest.mark.parametrize(
    ("mm", "place", "verdict"),
    [
        ([1.6, 4.0], "any other tyre", "above-limit"),
        ([1.5, 4.0], "any other tyre", "worn-out"),
        ([3.0, 4.0], "steer axle of a heavy vehicle", "worn-out"),
        ([3.2, 4.0], "steer axle of a heavy vehicle", "above-limit"),
    ],
)
def test_the_shallowest_groove_decides(mm, place, verdict):
    """49 CFR 393.75(b) and (c): 4/32 in on the steer axle, 2/32 in elsewhere."""
    found = tyre.tread_verdict(mm, place)

    assert (found["verdict"], found["lowest_mm"]) == (verdict, min(mm))


@given(millimetres)
def test_what_is_left_of_a_tread_is_never_below_zero(mm):
    found = tyre.tread_verdict(mm, "any other tyre")

    assert found["left_mm"] >= 0
    assert found["spread_mm"] == pytest.approx(max(mm) - min(mm))


@pytest.mark.parametrize(
    ("thinnest", "uncertainty", "verdict"),
    [
        (20.4, 0, "above"),
        (20.39, 0, "below"),
        (20.41, 0.02, "not-proved"),
        (20.42, 0.02, "above"),
        (20.37, 0.02, "below"),
    ],
)
def test_a_disc_is_proved_only_beyond_the_uncertainty(thinnest, uncertainty, verdict):
    """The three-way rule of ISO 14253-1, read in public summaries; a value on the limit conforms."""
    found = brake.disc_verdict([20.6, thinnest, 20.5], 20.4, uncertainty)

    assert (found["verdict"], found["points"]) == (verdict, 3)


@pytest.mark.parametrize(
    ("mm", "verdict"),
    [
        ([22.40, 22.41], "usual"),
        ([22.400, 22.415], "doubtful"),
        ([22.400, 22.416], "above"),
    ],
)
def test_thickness_variation_is_judged_by_common_practice(mm, verdict):
    assert brake.thickness_variation(mm)["verdict"] == verdict


@pytest.mark.parametrize(
    ("kind", "inches"),
    [
        ("riveted or bolted, above the fastener", 1 / 32),
        ("bonded, above the shoe", 1 / 16),
        ("hydraulic disc, commercial vehicle", 1 / 16),
    ],
)
def test_linings_have_the_limits_of_the_regulation(kind, inches):
    """49 CFR 570.59 and 393.47(d)."""
    limit = (inches * UNITS.inch).to("mm").magnitude

    found = brake.lining_verdict(limit, kind)

    assert (found["verdict"], found["limit_mm"]) == ("above-limit", pytest.approx(limit))
    assert brake.lining_verdict(limit - 0.01, kind)["verdict"] == "worn-out"


def test_a_pedal_may_use_eighty_per_cent_of_its_travel():
    """49 CFR 570.55(c)."""
    assert brake.pedal_travel(80, 100)["verdict"] == "within"
    assert brake.pedal_travel(80.1, 100)["verdict"] == "above"


def test_a_pedal_cannot_use_more_than_it_has():
    assert "more than the pedal has" in refusal("brake.pedal_travel", used_mm=131, total_mm=130).message
