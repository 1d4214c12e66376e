"""Ohm's law against Pint, resistors against Kirchhoff's laws."""

import itertools

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.sums import circuit, relay
from tests.diagnostics.sums.named import refusal

UNITS = pint.UnitRegistry()
ohms = st.floats(0.1, 1e6)
PAIRS = tuple(itertools.combinations(("volts", "amps", "ohms", "watts"), 2))


@pytest.mark.parametrize("pair", PAIRS)
@given(volts=st.floats(0.01, 1000), amps=st.floats(0.001, 1000))
def test_any_two_of_the_four_give_the_other_two(pair, volts, amps):
    u, i = volts * UNITS.volt, amps * UNITS.ampere
    known = {
        "volts": volts,
        "amps": amps,
        "ohms": (u / i).to("ohm").magnitude,
        "watts": (u * i).to("watt").magnitude,
    }

    found = circuit.ohm_law(**{key: known[key] for key in pair})

    assert found == pytest.approx(known)


@pytest.mark.parametrize("given", [{}, {"volts": 12}, {"volts": 12, "amps": 1, "ohms": 12}])
def test_not_two_of_the_four_is_refused(given):
    assert "Two of the four" in refusal("circuit.ohm_law", **given).message


@given(st.lists(ohms, min_size=1, max_size=12))
def test_parallel_is_less_than_the_smallest_and_series_more_than_the_largest(values):
    assert circuit.parallel_ohms(values) <= min(values) * (1 + 1e-12)
    assert circuit.series_ohms(values) >= max(values)


@given(ohms, st.integers(1, 50))
def test_equal_resistors_divide_in_parallel_and_multiply_in_series(value, count):
    assert circuit.parallel_ohms([value] * count) == pytest.approx(value / count)
    assert circuit.series_ohms([value] * count) == pytest.approx(value * count)


@given(ohms, ohms)
def test_the_hidden_branch_is_the_one_that_was_put_there(expected, branch):
    together = circuit.parallel_ohms([expected, branch])

    assert circuit.branch_ohms(expected, together) == pytest.approx(branch, rel=1e-6)


def test_no_branch_raises_a_resistance():
    refused = refusal("circuit.branch_ohms", expected_ohms=60, measured_ohms=60)

    assert "nothing in parallel can raise" in refused.message
    assert refused.allowed == "above 0, below 60 Ω"


def test_an_empty_list_is_refused():
    assert "at least 1" in refusal("circuit.parallel_ohms", ohms=[]).message


def test_a_coil_with_its_resistor_reads_as_on_a_relay_data_page():
    """80 ohm coil with 680 ohm across it: 71.6 ohm, read in a relay data page."""
    assert relay.coil_with_resistor_ohms(80) == pytest.approx(71.6, abs=0.05)


@pytest.mark.parametrize(
    ("ohms", "verdict"), [(74.9, "below"), (75, "within"), (110, "within"), (110.1, "above"), (0, "below")]
)
def test_a_coil_is_judged_by_the_usual_resistance(ohms, verdict):
    """75 to 110 ohm: three relay data pages."""
    assert relay.coil_verdict(ohms)["verdict"] == verdict
