"""The rows `wave.*` of trade-values.md section 8, and shapes beside them.

Definitions of IEEE Std 181 / IEC 60469; the expected numbers follow from the shapes.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.captures import waves  # noqa: F401  Fills the registry.
from shared.computing import Refused, compute

RECT = {"shape": "rect", "low": 0, "high": 5, "period_s": 1e-3, "duty": 0.25, "dt": 1e-6, "cycles": 4}
TRAPEZOID = {
    "shape": "trapezoid",
    "low": 0,
    "high": 5,
    "ramp_s": 1e-4,
    "flat_s": 4e-4,
    "dt": 1e-6,
    "cycles": 2,
}


@pytest.mark.parametrize(
    ("name", "given_", "expected", "tolerance"),
    [
        ("wave.rc_rise", {"ohms": 1000, "farads": 1e-6}, 0.00219722, 1e-7),
        ("wave.ramp_rise", {"ramp_s": 1e-5}, 8e-6, 1e-12),
        ("wave.duty_percent", RECT, 25.0, 0.01),
        ("wave.duty_percent", {**RECT, "period_s": 5e-4, "duty": 0.5}, 50.0, 0.01),
        ("wave.frequency_hz", {**RECT, "low": 0.2, "high": 4.8, "period_s": 2.5e-3, "duty": 0.6}, 400, 0.01),
        ("wave.rise_time", TRAPEZOID, 8e-5, 1e-7),
        ("wave.overshoot_percent", {"low": 0, "high": 5, "peak": 5.4}, 8.0, 1e-9),
    ],
)
def test_worked_examples(name, given_, expected, tolerance):
    assert compute(name, given_) == pytest.approx(expected, abs=tolerance)


@given(st.integers(8, 2000), st.floats(0.05, 0.95), st.floats(-20, 20), st.floats(0.1, 50), st.integers(1, 5))
def test_duty_and_frequency_of_any_rectangle(samples, duty, low, swing, cycles):
    shape = {**RECT, "low": low, "high": low + swing, "period_s": samples * 1e-6, "cycles": cycles}
    duty = round(duty * samples) / samples
    shape["duty"] = duty = min(max(duty, 2 / samples), 1 - 2 / samples)

    assert compute("wave.duty_percent", shape) == pytest.approx(100 * duty, abs=1e-6)
    assert compute("wave.frequency_hz", shape) == pytest.approx(1e6 / samples, rel=1e-9)


@given(st.integers(10, 500), st.integers(5, 500), st.integers(1, 4))
def test_rise_and_duty_of_any_trapezoid(ramp, flat, cycles):
    shape = {**TRAPEZOID, "ramp_s": ramp * 1e-6, "flat_s": flat * 1e-6, "cycles": cycles}

    assert compute("wave.rise_time", shape) == pytest.approx(0.8e-6 * ramp, rel=2e-3)
    assert compute("wave.duty_percent", shape) == pytest.approx(50, abs=0.1)
    assert compute("wave.frequency_hz", shape) == pytest.approx(1 / (2e-6 * (ramp + flat)), rel=1e-6)


def test_a_triangle_is_a_trapezoid_without_flats():
    assert compute("wave.rise_time", {**TRAPEZOID, "flat_s": 0}) == pytest.approx(8e-5, rel=1e-6)


@pytest.mark.parametrize(
    ("name", "given_", "field"),
    [
        ("wave.duty_percent", {**RECT, "high": 0}, "high"),
        ("wave.duty_percent", {**RECT, "shape": "sine"}, "shape"),
        ("wave.duty_percent", {**RECT, "duty": 1}, "duty"),
        ("wave.duty_percent", {**RECT, "duty": None}, "duty"),
        ("wave.rise_time", {**TRAPEZOID, "ramp_s": None}, "ramp_s"),
        ("wave.frequency_hz", {**RECT, "dt": 1e-3}, "dt"),
        ("wave.frequency_hz", {**RECT, "dt": 1e-12}, "dt"),
        ("wave.frequency_hz", {**RECT, "cycles": 0}, "cycles"),
        ("wave.overshoot_percent", {"low": 5, "high": 5, "peak": 6}, "high"),
        ("wave.rc_rise", {"ohms": 0, "farads": 1}, "ohms"),
    ],
)
def test_what_makes_no_wave_is_refused_at_its_field(name, given_, field):
    with pytest.raises(Refused) as refusal:
        compute(name, given_)

    assert refusal.value.field == field
