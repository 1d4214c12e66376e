"""Copper wire, against ASTM B258, IEC 60228 and SciPy's and Pint's definitions.

The diameters are those of the ASTM B258 table, the factor at 75 °C that of IEC 60228 annex C; both from
memory.
"""

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.sums import drop, wire
from shared.computing import compute
from tests.diagnostics.sums.named import refusal

UNITS = pint.UnitRegistry()
ASTM_B258_MM = {
    -3: 11.684, -2: 10.405, -1: 9.266, 0: 8.251, 2: 6.544, 4: 5.189, 6: 4.115, 8: 3.264, 10: 2.588,
    12: 2.053,
    14: 1.628, 16: 1.291, 18: 1.024, 20: 0.812, 22: 0.644, 24: 0.511, 26: 0.405, 30: 0.255, 36: 0.127,
    40: 0.0799,
}  # fmt: skip
SOLID_AS_SOLD_MOHM = {22: 54.3, 20: 33.9, 18: 21.4, 16: 13.5, 14: 8.45, 12: 5.31, 10: 3.34, 8: 2.10}

amps = st.floats(0.1, 500)
metres = st.floats(0.1, 50)


@pytest.mark.parametrize(("awg", "mm"), ASTM_B258_MM.items())
def test_a_gauge_has_the_diameter_of_the_standard_s_table(awg, mm):
    assert wire.awg_diameter_mm(awg) == pytest.approx(mm, abs=0.001)


def test_the_ends_of_the_scale_are_the_inches_that_define_it():
    assert wire.awg_diameter_mm(36) == pytest.approx((0.005 * UNITS.inch).to("mm").magnitude, rel=1e-12)
    assert wire.awg_diameter_mm(-3) == pytest.approx((0.46 * UNITS.inch).to("mm").magnitude, rel=1e-12)


@pytest.mark.parametrize(("awg", "mohm"), SOLID_AS_SOLD_MOHM.items())
def test_a_wire_as_sold_is_some_per_cent_above_the_ideal_solid_one(awg, mohm):
    """The highest resistances of UL 1581, read in a public table."""
    assert 1.0 < mohm / wire.awg_mohm_per_m(awg) < 1.04


@pytest.mark.parametrize(("mm2", "mohm"), drop.FLEXIBLE_MOHM_PER_M.items())
def test_a_flexible_wire_is_above_the_ideal_copper_of_its_size(mm2, mohm):
    """The highest resistances of IEC 60228, class 5."""
    assert 1.0 < mohm / wire.area_mohm_per_m(mm2) < 1.2


def test_the_temperature_factor_agrees_with_that_of_iec_60228():
    assert 1 / wire.copper_factor(75) == pytest.approx(0.820, abs=0.003)


def test_copper_is_one_part_in_58_ohm_a_square_millimetre_and_metre():
    """IEC 60028: the standard resistance of annealed copper at 20 °C."""
    assert wire.area_mohm_per_m(1) == pytest.approx(1000 / 58, rel=1e-4)


@given(st.integers(-3, 55))
def test_a_thinner_gauge_has_less_copper_and_more_resistance(awg):
    assert wire.awg_area_mm2(awg + 1) < wire.awg_area_mm2(awg)
    assert wire.awg_mohm_per_m(awg + 1) > wire.awg_mohm_per_m(awg)


@given(st.integers(-3, 50))
def test_six_gauges_halve_the_diameter(awg):
    assert wire.awg_diameter_mm(awg) / wire.awg_diameter_mm(awg + 6) == pytest.approx(2.005, abs=0.001)


@given(amps, metres, st.floats(-40, 150), st.floats(0.2, 100))
def test_the_drop_is_ohm_s_law(amps, metres, celsius, mm2):
    whole = wire.copper_at(wire.area_mohm_per_m(mm2) * metres / 1000, celsius)

    drop_volts = wire.voltage_drop(metres=metres, amps=amps, mm2=mm2, celsius=celsius)

    assert drop_volts == pytest.approx(amps * whole)
    assert wire.connection_ohms(drop_volts, amps) == pytest.approx(whole)


@given(st.integers(-3, 40), amps, metres)
def test_a_wire_described_in_three_ways_drops_the_same(awg, amps, metres):
    ways = ({"awg": awg}, {"mm2": wire.awg_area_mm2(awg)}, {"mohm_per_m": wire.awg_mohm_per_m(awg)})

    first, *others = (wire.voltage_drop(metres, amps, **way) for way in ways)

    assert others == pytest.approx([first, first])


def test_the_drop_refuses_a_wire_that_is_not_described_once():
    assert "not described" in refusal("wire.voltage_drop", metres=1, amps=1).message
    assert "more than one way" in refusal("wire.voltage_drop", metres=1, amps=1, awg=10, mm2=5).message


@pytest.mark.parametrize(("awg", "text"), [(18, "18"), (1, "1"), (0, "1/0"), (-1, "2/0"), (-3, "4/0")])
def test_a_gauge_is_written_as_on_the_wire(awg, text):
    assert wire.gauge_text(awg) == text


def test_a_run_that_has_to_go_out_and_back_needs_twice_the_copper():
    one_way = drop.gauge_needed(amps=20, metres=5, drop_volts=0.36)
    both_ways = drop.gauge_needed(amps=20, metres=5, drop_volts=0.36, both_ways=True)

    assert one_way["area_mm2"] == pytest.approx(20 * 5 * 17.241 / 360)
    assert both_ways["area_mm2"] == pytest.approx(2 * one_way["area_mm2"])


@given(amps, metres, st.floats(0.05, 2), st.floats(-40, 120), st.booleans())
def test_the_wire_that_is_named_keeps_the_drop_and_the_next_thinner_does_not(
    amps, metres, allowed, celsius, both_ways
):
    found = drop.gauge_needed(amps, metres, allowed, celsius, both_ways)

    run = metres * (2 if both_ways else 1)
    thinner = {n: wire.voltage_drop(run, amps, awg=n, celsius=celsius) for n in drop.USUAL_GAUGES}
    if found["gauge_awg"] is None:
        assert min(thinner.values()) > allowed
    else:
        assert found["gauge_drop_volts"] == pytest.approx(thinner[found["gauge_awg"]])
        assert found["gauge_drop_volts"] <= allowed * 1.000001
        assert all(thinner[n] > allowed for n in drop.USUAL_GAUGES if n > found["gauge_awg"])


def test_the_metric_wire_keeps_the_drop_at_the_standard_s_highest_resistance():
    found = drop.gauge_needed(amps=20, metres=5, drop_volts=0.36)

    assert found["size_mm2"] == 6.0
    assert found["size_drop_volts"] == pytest.approx(20 * 5 * 3.30 / 1000)


def test_a_need_met_exactly_is_met():
    assert drop.gauge_needed(amps=10, metres=10, drop_volts=10 * 10 * 7.98 / 1000)["size_mm2"] == 2.5


def test_past_the_largest_wire_no_size_is_named():
    found = drop.gauge_needed(amps=500, metres=20, drop_volts=0.1)

    assert found["size_mm2"] is None
    assert found["gauge_awg"] is None
    assert found["area_mm2"] == pytest.approx(500 * 20 * 17.241 / 100)


@pytest.mark.parametrize(
    ("circuit", "volts"),
    [
        ("starter, positive side", 0.5),
        ("starter, ground side", 0.3),
        ("starter, both sides", 0.8),
        ("ground connection", 0.1),
        ("sensor or computer ground", 0.05),
        ("branch circuit, critical", 0.36),
        ("branch circuit, not critical", 1.2),
    ],
)
def test_each_part_of_a_circuit_has_its_usual_limit(circuit, volts):
    """Common practice; the starter's 0.8 V was read in one tester manual."""
    assert compute("wire.drop_limit_volts", {"circuit": circuit}) == pytest.approx(volts)


def test_the_limit_of_a_branch_circuit_follows_its_supply():
    assert drop.drop_limit_volts("branch circuit, critical", 24) == pytest.approx(0.72)


@pytest.mark.parametrize(("volts", "verdict", "over"), [(0.1, "within", 0), (0.101, "above", 0.001)])
def test_a_drop_on_its_limit_is_within(volts, verdict, over):
    found = drop.drop_verdict(volts, "ground connection")

    assert (found["verdict"], found["over_volts"]) == (verdict, pytest.approx(over))


def test_a_circuit_that_nobody_knows_is_refused_with_those_that_are():
    refused = refusal("wire.drop_limit_volts", circuit="the red one")

    assert "connector" in refused.allowed


@pytest.mark.parametrize(
    ("name", "given", "allowed"),
    [
        ("wire.awg_diameter_mm", {"awg": 57}, "-3 to 56 AWG"),
        ("wire.awg_area_mm2", {"awg": -4}, "-3 to 56 AWG"),
        ("wire.area_mohm_per_m", {"mm2": 0}, "above 0"),
        ("wire.copper_at", {"ohms_20C": 1, "celsius": 201}, "-60 to 200 °C"),
        ("wire.connection_ohms", {"volts": 1, "amps": 0}, "above 0"),
        ("wire.voltage_drop", {"metres": -1, "amps": 1, "awg": 10}, "0 to 10000 m"),
    ],
)
def test_outside_the_range_the_refusal_names_it(name, given, allowed):
    refused = refusal(name, **given)

    assert allowed in refused.message
    assert allowed in refused.allowed
