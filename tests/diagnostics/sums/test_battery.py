"""Battery, cranking and charging, against the published tables and Pint."""

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.sums import battery, charging
from diagnostics.sums.temperature import to_celsius
from shared.computing import compute
from tests.diagnostics.sums.named import refusal

UNITS = pint.UnitRegistry()
volts = st.floats(9, 16)

# A usual AGM table; all but the lowest point read in one owner's manual.
AGM = [(12.8, 100), (12.6, 75), (12.3, 50), (12.0, 25), (11.8, 0), (13.2, 100), (11.0, 0), (12.45, 62.5)]


@pytest.mark.parametrize(("rest", "charge"), AGM)
def test_the_charge_of_an_agm_battery_follows_its_own_table(rest, charge):
    assert battery.soc_from_ocv_agm(rest) == pytest.approx(charge)


@given(volts, volts)
def test_more_voltage_never_means_less_charge(a, b):
    low, high = sorted((a, b))

    for charge in (battery.soc_from_ocv, battery.soc_from_ocv_agm):
        assert 0 <= charge(low) <= charge(high) <= 100


def test_a_meter_off_by_one_per_cent_shifts_the_charge_by_some_fifteen_points():
    """A public note on batteries says ± 15 % for a meter of 1 %, 0.12 V."""
    found = battery.soc_range_from_ocv(12.24, 0.12)

    assert found["charge_percent"] - found["low_percent"] == pytest.approx(15, abs=3)
    assert found["high_percent"] - found["charge_percent"] == pytest.approx(15, abs=3)


@given(volts, st.floats(0, 0.5), st.sampled_from(["flooded", "AGM"]))
def test_the_charge_lies_between_its_ends(rest, half_width, kind):
    found = battery.soc_range_from_ocv(rest, half_width, kind)

    assert 0 <= found["low_percent"] <= found["charge_percent"] <= found["high_percent"] <= 100


@given(st.floats(1.0, 1.4), st.floats(-40, 150))
def test_a_hydrometer_is_corrected_alike_in_both_scales(sg, fahrenheit):
    in_celsius = battery.sg_corrected(sg, celsius=to_celsius(fahrenheit))

    assert battery.sg_corrected(sg, fahrenheit=fahrenheit) == pytest.approx(in_celsius)


@pytest.mark.parametrize(
    ("fahrenheit", "least"),
    [
        (70, 9.6),
        (60, 9.5),
        (50, 9.4),
        (40, 9.3),
        (30, 9.1),
        (20, 8.9),
        (10, 8.7),
        (0, 8.5),
        (-20, 8.5),
        (120, 9.6),
        (65, 9.55),
    ],
)
def test_the_load_test_follows_the_table_of_service_pages(fahrenheit, least):
    assert battery.load_test_min_volts(fahrenheit=fahrenheit) == pytest.approx(least)


@given(st.floats(-60, 120), st.floats(-60, 120))
def test_a_colder_battery_is_never_asked_for_more(a, b):
    cold, warm = sorted((a, b))

    assert charging.cranking_min_volts(celsius=cold) <= charging.cranking_min_volts(celsius=warm)


@given(st.floats(0.1, 10_000), st.floats(0.1, 400))
def test_the_charge_that_a_draw_takes_is_current_times_time(milliamps, days):
    charge = (milliamps * UNITS.milliampere * days * UNITS.day).to("ampere_hour").magnitude

    assert battery.parasitic_ah(milliamps, days) == pytest.approx(charge)


@given(st.floats(10, 200), st.floats(1, 1000))
def test_a_battery_is_down_to_half_when_the_draw_has_taken_half(ah, milliamps):
    days = battery.standing_days(ah, milliamps)

    assert battery.parasitic_ah(milliamps, days) == pytest.approx(ah / 2)


def test_standing_down_to_more_than_it_starts_from_is_refused():
    refused = refusal("battery.standing_days", ah=60, mA=50, from_percent=40)

    assert refused.field == "to_percent"
    assert "not below the 40 %" in refused.message


@pytest.mark.parametrize(
    ("milliamps", "verdict"),
    [(50, "usual"), (50.1, "usual-if-well-equipped"), (85, "usual-if-well-equipped"), (85.1, "above")],
)
def test_a_standing_draw_is_judged_by_common_practice(milliamps, verdict):
    assert battery.draw_verdict(milliamps)["verdict"] == verdict


@pytest.mark.parametrize(
    ("volts", "celsius", "verdict"),
    [(9.6, 25, "within"), (9.59, 25, "below"), (9.4, 10, "within"), (8.5, -30, "within")],
)
def test_cranking_is_judged_at_its_temperature(volts, celsius, verdict):
    found = charging.cranking_verdict(volts, celsius=celsius)

    assert found["verdict"] == verdict
    assert found["margin_volts"] == pytest.approx(volts - found["limit_volts"])


@pytest.mark.parametrize(
    ("volts", "smart", "verdict"),
    [
        (13.5, False, "within"),
        (14.7, False, "within"),
        (14.71, False, "above"),
        (13.4, False, "below"),
        (12.5, False, "not-charging"),
        (12.5, True, "within"),
        (15.1, True, "above"),
        (12.1, True, "not-charging"),
    ],
)
def test_charging_is_judged_by_common_practice(volts, smart, verdict):
    assert charging.charging_verdict(volts, smart)["verdict"] == verdict


@pytest.mark.parametrize(
    ("given", "verdict"),
    [
        ({"peak_to_peak_volts": 0.5}, "within"),
        ({"peak_to_peak_volts": 0.51}, "above"),
        ({"ac_volts": 0.05}, "within"),
        ({"ac_volts": 0.08}, "doubtful"),
        ({"ac_volts": 0.11}, "above"),
    ],
)
def test_ripple_is_judged_by_how_it_was_read(given, verdict):
    assert compute("battery.ripple_verdict", given)["verdict"] == verdict


@pytest.mark.parametrize("given", [{}, {"peak_to_peak_volts": 0.2, "ac_volts": 0.05}])
def test_ripple_is_read_in_one_way(given):
    assert "One of the two" in refusal("battery.ripple_verdict", **given).message


def test_a_temperature_given_twice_is_refused():
    assert "twice" in refusal("battery.load_test_min_volts", celsius=10, fahrenheit=50).message


def test_a_temperature_that_is_missing_is_refused():
    assert "missing" in refusal("battery.sg_corrected", sg=1.25).message


def test_a_voltage_of_another_battery_is_refused():
    assert "0 to 20 V" in refusal("battery.soc_from_ocv", volts=25.3).message
