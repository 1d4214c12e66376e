"""Thermistors: one equation against the other, and against SciPy's solver."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.constants import zero_Celsius
from scipy.optimize import brentq

from diagnostics.sums import sensor, signal
from tests.diagnostics.sums.named import refusal

TEN_KOHM = {"A": 0.001129148, "B": 0.000234125, "C": 8.76741e-08}

celsius = st.floats(-40, 150)
r25 = st.floats(100, 100_000)
beta = st.floats(2500, 4800)


@given(celsius, r25, beta)
def test_a_resistance_leads_back_to_its_temperature(t, r25, beta):
    assert sensor.beta_celsius(sensor.beta_ohms(r25, beta, t), r25, beta) == pytest.approx(t, abs=1e-8)


@given(celsius, r25, beta, st.floats(200, 10_000))
def test_a_signal_leads_back_to_its_temperature(t, r25, beta, pullup):
    volts = sensor.divider_volts(5.0, pullup, r25, beta, t)

    assert sensor.divider(volts, 5.0, pullup, r25, beta) == pytest.approx(t, abs=1e-5)


@given(celsius, celsius, r25, beta)
def test_a_warmer_sensor_has_less_resistance_and_less_signal(a, b, r25, beta):
    cold, warm = sorted((a, b))

    assert sensor.beta_ohms(r25, beta, warm) <= sensor.beta_ohms(r25, beta, cold)
    assert sensor.divider_volts(5, 2200, r25, beta, warm) <= sensor.divider_volts(5, 2200, r25, beta, cold)


@given(r25, beta, st.floats(-30, 40), st.floats(60, 120))
def test_two_points_of_a_table_give_the_beta_that_made_them(r25, beta, cold, hot):
    found = sensor.beta_of(sensor.beta_ohms(r25, beta, cold), cold, sensor.beta_ohms(r25, beta, hot), hot)

    assert found == pytest.approx({"beta": beta, "r25": r25}, rel=1e-6)


@given(st.floats(500, 100_000))
def test_the_steinhart_hart_answer_solves_its_equation(ohms):
    from math import log

    def off(kelvin):
        return 1 / kelvin - (TEN_KOHM["A"] + TEN_KOHM["B"] * log(ohms) + TEN_KOHM["C"] * log(ohms) ** 3)

    assert sensor.steinhart_hart(ohms, **TEN_KOHM) + zero_Celsius == pytest.approx(brentq(off, 150, 600))


def test_both_equations_agree_near_25_degrees():
    """The coefficients are those of a 10 kohm part of beta about 3950 K."""
    for ohms in (9_000, 10_000, 11_000):
        by_beta = sensor.beta_celsius(ohms, 10_000, 3950)
        assert sensor.steinhart_hart(ohms, **TEN_KOHM) == pytest.approx(by_beta, abs=0.1)


@pytest.mark.parametrize(
    ("volts", "points_to"), [(0, "shorted to ground"), (5, "open wire"), (5.2, "open wire")]
)
def test_a_signal_at_an_end_is_a_wire_and_no_temperature(volts, points_to):
    refused = refusal("sensor.divider", volts=volts, vref=5, pullup=2200, r25=2200, beta=3500)

    assert points_to in refused.message
    assert refused.allowed == "above 0, below 5 V"


def test_coefficients_that_give_no_temperature_are_refused():
    assert "no temperature" in refusal("sensor.steinhart_hart", ohms=1000, A=0, B=0, C=0).message


def test_a_resistance_that_rises_has_no_beta():
    refused = refusal("sensor.beta_of", ohms_1=100, celsius_1=20, ohms_2=200, celsius_2=80)

    assert "does not fall" in refused.message


@pytest.mark.parametrize(
    ("volts", "verdict"), [(4.74, "below"), (4.75, "within"), (5.25, "within"), (5.3, "above")]
)
def test_a_sensor_supply_is_judged_by_common_practice(volts, verdict):
    assert sensor.supply_verdict(volts)["verdict"] == verdict


@given(st.floats(0.01, 100), st.floats(0.01, 100))
def test_time_on_and_off_make_the_period(on, off):
    duty = signal.duty_percent(on, off_ms=off)

    assert duty == pytest.approx(signal.duty_percent(on, period_ms=on + off))
    assert duty + signal.duty_percent(off, off_ms=on) == pytest.approx(100)


@given(st.floats(0, 100), st.floats(0.1, 1e5))
def test_time_on_leads_back_to_the_duty(percent, hertz):
    on = signal.on_time_ms(percent, hertz)

    assert signal.duty_percent(on * (1 - 1e-12), period_ms=signal.period_of_ms(hertz)) == pytest.approx(
        percent
    )


@given(st.floats(0.001, 1e6))
def test_frequency_and_period_are_each_other_s_inverse(hertz):
    assert signal.frequency_hz(signal.period_of_ms(hertz)) == pytest.approx(hertz)


def test_a_crank_sensor_of_sixty_teeth_gives_as_many_hertz_as_turns_a_minute():
    assert signal.pulses_rpm(850, 60) == pytest.approx(850)


@given(st.floats(-50, 50), st.floats(-50, 50), st.floats(0, 100))
def test_the_effective_value_is_never_below_the_mean(high, low, percent):
    found = signal.pwm_volts(high, low, percent)

    assert found["rms_volts"] >= abs(found["mean_volts"]) - 1e-9


@pytest.mark.parametrize("given", [{"on_ms": 2}, {"on_ms": 2, "period_ms": 8, "off_ms": 6}])
def test_a_duty_cycle_needs_period_or_time_off(given):
    assert "One of period and time off" in refusal("signal.duty_percent", **given).message


def test_more_time_on_than_the_period_has_is_refused():
    assert "do not fit" in refusal("signal.duty_percent", on_ms=9, period_ms=8).message
