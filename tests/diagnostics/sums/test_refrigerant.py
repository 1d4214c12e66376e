"""Saturation against CoolProp (equations of state) and read tables; air pressure against the atmosphere's.

CoolProp takes seconds to import, so the site never does; here it is the oracle.
"""

import CoolProp.CoolProp as coolprop
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.constants import R, atm, g, psi, zero_Celsius

from diagnostics.sums import pressure, refrigerant, standing
from diagnostics.sums.temperature import to_celsius
from shared.computing import compute
from tests.diagnostics.sums.named import refusal

FLUIDS = {"R-134a": "R134a", "R-1234yf": "R1234yf"}
TSAT = {"R-134a": "ac.r134a_tsat", "R-1234yf": "ac.r1234yf_tsat"}
PSAT = {"R-134a": "ac.r134a_psat", "R-1234yf": "ac.r1234yf_psat"}
# Read in a public table of R-1234yf, kPa absolute by °C.
YF_TABLE = {0: 315.8, 10: 437.5, 20: 591.7, 30: 783.5, 40: 1018.4}
# ISO 2533, geopotential metres, kPa. From memory.
ATMOSPHERE = {0: 101.325, 1000: 89.8746, 2000: 79.4952, 3000: 70.1085, 5000: 54.0199}

names = st.sampled_from(sorted(FLUIDS))


@pytest.mark.parametrize("name", FLUIDS)
@pytest.mark.parametrize("celsius", range(-40, 95, 3))
def test_saturation_agrees_with_the_equation_of_state(name, celsius):
    exact = coolprop.PropsSI("P", "T", celsius + zero_Celsius, "Q", 0, FLUIDS[name]) / 1000

    assert compute(PSAT[name], {"celsius": celsius}) == pytest.approx(exact, rel=6e-4)


@pytest.mark.parametrize("name", FLUIDS)
@pytest.mark.parametrize("kpa", [100, 200, 350, 500, 800, 1200, 1800, 2600])
def test_the_temperature_agrees_with_the_equation_of_state(name, kpa):
    exact = coolprop.PropsSI("T", "P", kpa * 1000, "Q", 0, FLUIDS[name]) - zero_Celsius

    assert compute(TSAT[name], {"pressure": kpa}) == pytest.approx(exact, abs=0.03)


@pytest.mark.parametrize("name", FLUIDS)
def test_in_the_deep_cold_it_is_within_two_parts_in_a_thousand(name):
    exact = coolprop.PropsSI("P", "T", zero_Celsius - 60, "Q", 0, FLUIDS[name]) / 1000

    assert compute(PSAT[name], {"celsius": -60}) == pytest.approx(exact, rel=2e-3)


@pytest.mark.parametrize(("celsius", "kpa"), YF_TABLE.items())
def test_the_read_table_of_r1234yf_is_met(celsius, kpa):
    assert compute("ac.r1234yf_psat", {"celsius": celsius}) == pytest.approx(kpa, abs=0.3)


@given(names, st.floats(-59, 93), st.sampled_from(sorted(refrigerant.UNITS)), st.floats(-400, 4000))
def test_pressure_and_temperature_lead_to_each_other(name, celsius, unit, altitude):
    asked = {"unit": unit, "altitude_m": altitude}

    read = compute(PSAT[name], {"celsius": celsius, **asked})

    assert compute(TSAT[name], {"pressure": read, **asked}) == pytest.approx(celsius, abs=1e-6)


@given(names, st.floats(-60, 94), st.floats(-60, 94))
def test_warmer_means_more_pressure(name, a, b):
    cold, warm = sorted((a, b))

    assert compute(PSAT[name], {"celsius": cold}) <= compute(PSAT[name], {"celsius": warm})


@given(st.floats(-70, 200))
def test_both_temperature_scales_give_one_pressure(fahrenheit):
    by_celsius = compute("ac.r134a_psat", {"celsius": to_celsius(fahrenheit)})

    assert compute("ac.r134a_psat", {"fahrenheit": fahrenheit}) == pytest.approx(by_celsius)


def test_a_gauge_starts_from_the_air_and_counts_in_its_own_unit():
    absolute = compute("ac.r134a_psat", {"celsius": 20})

    assert compute("ac.r134a_psat", {"celsius": 20, "unit": "psig"}) == pytest.approx(
        (absolute * 1000 - atm) / psi, rel=1e-9
    )
    assert compute("ac.r134a_psat", {"celsius": 20, "unit": "barg"}) == pytest.approx(
        (absolute - 101.325) / 100
    )


def test_at_altitude_the_same_charge_reads_more_on_a_gauge():
    """About 84 kPa of air at 1500 m, so 17 kPa (2.4 psi) more."""
    low, high = (
        compute("ac.r134a_psat", {"celsius": 20, "unit": "psig", "altitude_m": metres})
        for metres in (0, 1500)
    )

    assert high - low == pytest.approx(2.4, abs=0.05)


@pytest.mark.parametrize(
    ("share", "verdict"),
    [(1.0, "matches"), (1.049, "matches"), (1.06, "above"), (0.951, "matches"), (0.94, "below")],
)
def test_a_standing_pressure_is_judged_by_its_distance(share, verdict):
    expected = compute("ac.r134a_psat", {"celsius": 25})

    found = standing.standing_verdict("R-134a", expected * share, celsius=25)

    assert found["verdict"] == verdict
    assert found["off_percent"] == pytest.approx(100 * (share - 1), abs=1e-6)


def test_a_pressure_outside_the_range_is_refused_with_the_range():
    refused = refusal("ac.r134a_tsat", pressure=5000)

    assert "outside the range in which this holds" in refused.message
    assert "-60 to 100 °C" in refused.allowed


def test_a_temperature_above_the_critical_point_is_refused_with_the_range():
    assert "-60 to 94 °C" in refusal("ac.r1234yf_psat", celsius=95).message


@pytest.mark.parametrize(("metres", "kpa"), ATMOSPHERE.items())
def test_the_air_follows_the_standard_atmosphere(metres, kpa):
    assert pressure.air_kpa(metres) == pytest.approx(kpa, rel=1e-5)


def test_the_exponent_is_that_of_its_constants():
    air_kg_per_mol = 0.0289644  # ISO 2533. From memory.

    assert g * air_kg_per_mol / (R * pressure.LAPSE_K_PER_M) == pytest.approx(pressure.EXPONENT, rel=1e-4)


@given(st.floats(-40, 5000), st.floats(-400, 5000))
def test_gauge_and_absolute_are_each_other_s_inverse(gauge, altitude):
    absolute = pressure.absolute_kpa(gauge, altitude)

    assert pressure.gauge_kpa(absolute, altitude) == pytest.approx(gauge, abs=1e-9)


def test_a_vacuum_gauge_tells_the_manifold_pressure():
    assert pressure.manifold_kpa(65, air_kpa=101.3) == pytest.approx(36.3)


@pytest.mark.parametrize(
    ("name", "given"),
    [("pressure.manifold_kpa", {"vacuum_kpa": 90}), ("pressure.absolute_kpa", {"gauge_kpa": -90})],
)
def test_more_vacuum_than_air_is_refused(name, given):
    assert "more vacuum than the air here gives" in refusal(name, **given, altitude_m=3000).message


def test_the_air_is_given_once():
    assert "twice" in refusal("pressure.gauge_kpa", absolute_kpa=100, altitude_m=0, air_kpa=100).message
