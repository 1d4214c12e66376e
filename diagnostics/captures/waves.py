"""Named computations on waves that are described rather than recorded: rise, duty, frequency, overshoot.

Those on a shape make the wave first, sample by sample, and then measure it with the code that measures
recordings.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from diagnostics.captures.levels import Levels
from diagnostics.captures.measured import Measured, measure
from diagnostics.captures.measured import overshoot_percent as percent_above_high
from diagnostics.captures.samples import Channel, Floats, even_times, held_in_memory
from shared.computing import Given, Refused, computation

GROUP = "Waveforms"
IEEE = "IEEE Std 181-2011 / IEC 60469:2013, from memory; state levels by histogram, method read"
RISE_OF_RC = math.log(9)  # From 10 to 90 %: ln 0.9 - ln 0.1. Exact.
RISE_OF_RAMP = 0.8  # From 10 to 90 % of a straight line. Exact.
MOST_SAMPLES_MADE = 5_000_000
LEAST_SAMPLES_A_PERIOD = 4

SHAPE = (
    Given("shape", "Shape", kind="choice", choices=("rect", "trapezoid"), example="rect"),
    Given("low", "Low level", "V", example=0),
    Given("high", "High level", "V", example=5),
    Given("period_s", "Period of a rectangle", "s", above=0, optional=True, example=0.001),
    Given(
        "duty", "Share of the period that a rectangle is high", above=0, high=1, optional=True, example=0.25
    ),
    Given("dt", "Sample interval", "s", above=0, example=1e-6),
    Given("cycles", "Whole periods", kind="whole", low=1, high=100_000, example=4),
    Given("ramp_s", "Duration of each ramp of a trapezoid", "s", above=0, optional=True),
    Given("flat_s", "Duration of each flat of a trapezoid", "s", low=0, optional=True),
)


@computation(
    "wave.rc_rise",
    "10 to 90 % rise time of a resistor and a capacitor",
    Given("ohms", "Resistance", "ohm", above=0, example=1000),
    Given("farads", "Capacitance", "F", above=0, example=1e-6),
    unit="s",
    source="single pole, ln 9 x RC",
    mark="computed",
    formula="t = ln 9 x R x C = 2.197 R C",
    group=GROUP,
)
def rc_rise(ohms: float, farads: float) -> float:
    """Return the time from 10 to 90 % of a single pole [s], for a resistance [ohm] and a capacitance [F]."""
    return RISE_OF_RC * ohms * farads


@computation(
    "wave.ramp_rise",
    "10 to 90 % rise time of a straight ramp",
    Given("ramp_s", "Duration of the whole ramp", "s", above=0, example=1e-5),
    unit="s",
    source=IEEE,
    mark="computed",
    formula="t = 0.8 x ramp",
    group=GROUP,
)
def ramp_rise(ramp_s: float) -> float:
    """Return the time from 10 to 90 % of a straight ramp [s], for its whole duration [s]."""
    return RISE_OF_RAMP * ramp_s


@computation(
    "wave.overshoot_percent",
    "How far a peak lies above the high level",
    Given("low", "Low level", "V", example=0),
    Given("high", "High level", "V", example=5),
    Given("peak", "Peak", "V", example=5.4),
    unit="%",
    source=IEEE,
    mark="read",
    formula="100 x (peak - high) / (high - low)",
    group=GROUP,
)
def overshoot_percent(low: float, high: float, peak: float) -> float:
    """Return the overshoot in percent of the amplitude; low, high and peak in one unit.

    Raises
    ------
    Refused
        If high is not above low.
    """
    return percent_above_high(_levels(low, high), peak)


@computation(
    "wave.duty_percent", "Duty cycle of a wave, measured on its samples", *SHAPE,
    unit="%", source=IEEE, mark="computed", formula="100 x pulse width / period, between 50 % crossings",
)  # fmt: skip
def duty_percent(**shape: Any) -> float:
    """Return the duty cycle of a described wave [%]; see `made` for what is asked and refused."""
    return 100.0 * _whole_periods(made(**shape)).timing.duty


@computation(
    "wave.frequency_hz", "Frequency of a wave, measured on its samples", *SHAPE,
    unit="Hz", source=IEEE, mark="computed", formula="1 / period, between 50 % crossings",
)  # fmt: skip
def frequency_hz(**shape: Any) -> float:
    """Return the frequency of a described wave [Hz]; see `made` for what is asked and refused."""
    return _whole_periods(made(**shape)).timing.frequency_hz


@computation(
    "wave.rise_time", "10 to 90 % rise time of a wave, measured on its samples", *SHAPE,
    unit="s", source=IEEE, mark="computed", formula="from the 10 % to the 90 % crossing",
    valid="An edge shorter than a sample interval is seen as 0.8 of that interval.",
)  # fmt: skip
def rise_time(**shape: Any) -> float:
    """Return the mean rise time of a described wave [s]; see `made` for what is asked and refused."""
    return _whole_periods(made(**shape)).timing.rises.mean


def made(
    *,
    shape: str,
    low: float,
    high: float,
    dt: float,
    cycles: int,
    period_s: float | None = None,
    duty: float | None = None,
    ramp_s: float | None = None,
    flat_s: float | None = None,
) -> Measured:
    """Return what is measured on a wave that is made from its description.

    Parameters
    ----------
    shape : {'rect', 'trapezoid'}
        A rectangle has `period_s` [s] and `duty` (share of 1, below 1); a trapezoid has ramps of `ramp_s`
        and flats of `flat_s` [s] both ways.
    low, high : float
        Levels in one unit.
    dt : float
        Sample interval [s]. A sample of a rectangle is its mean over the interval, as an averaging
        instrument gives it, so that the place of an edge within it is not lost.
    cycles : int
        Whole periods; one more is made, half of it before and half after, in the low state.

    Raises
    ------
    Refused
        If high is not above low, a part of the description is missing, or there are too few samples in a
        period or too many in all.
    """
    _levels(low, high)
    corners = _rectangle(period_s, duty) if shape == "rect" else _trapezoid(ramp_s, flat_s)
    period = corners[-1][0]
    count = math.ceil((cycles + 1) * period / dt)
    if period < LEAST_SAMPLES_A_PERIOD * dt:
        raise Refused("dt", f"{dt:g} s is too long for a period of {period:g} s.", f"up to {period / 4:g} s")
    if count > MOST_SAMPLES_MADE:
        raise Refused("dt", f"This makes {count:,} samples.", f"at most {MOST_SAMPLES_MADE:,} in all")
    first = corners[1][0] % dt  # The first edge falls on a sample.
    shares = _averaged(corners, dt, count, first) if shape == "rect" else _points(corners, dt, count, first)
    values = low + (high - low) * shares
    (measured,) = measure(held_in_memory([Channel("wave", "V")], values, dt=dt))
    return measured


def _levels(low: float, high: float) -> Levels:
    if not high > low:
        raise Refused("high", f"{high:g} is not above the low level, {low:g}.", f"above {low:g}")
    return Levels(low, high)


def _whole_periods(measured: Measured) -> Measured:
    if not measured.timing.periods.count:
        raise Refused("dt", "No whole period is seen at this sample interval.", "a shorter sample interval")
    return measured


def _rectangle(period_s: float | None, duty: float | None) -> list[tuple[float, float]]:
    """Return the corners (time, share of the amplitude) of one period that begins in the middle of low."""
    period_s, duty = _needed("period_s", period_s), _needed("duty", duty)
    if duty >= 1:
        raise Refused("duty", "A wave that is always high has no edges.", "above 0, below 1")
    up, down = period_s * (1 - duty) / 2, period_s * (1 + duty) / 2
    return [(0.0, 0.0), (up, 0.0), (up, 1.0), (down, 1.0), (down, 0.0), (period_s, 0.0)]


def _trapezoid(ramp_s: float | None, flat_s: float | None) -> list[tuple[float, float]]:
    ramp_s, flat_s = _needed("ramp_s", ramp_s), _needed("flat_s", flat_s)
    up = flat_s / 2
    down = up + ramp_s + flat_s
    return [
        (0.0, 0.0),
        (up, 0.0),
        (up + ramp_s, 1.0),
        (down, 1.0),
        (down + ramp_s, 0.0),
        (down + ramp_s + up, 0.0),
    ]


def _needed(key: str, value: float | None) -> float:
    if value is None:
        raise Refused(key, "This shape needs it.", "a number above 0")
    return value


def _points(corners: list[tuple[float, float]], dt: float, count: int, first: float) -> Floats:
    """Return the wave at each sample time."""
    times, heights = zip(*corners, strict=True)
    within = np.mod(even_times(count, dt, start=first), times[-1])
    found: Floats = np.interp(within, times, heights)
    return found


def _averaged(corners: list[tuple[float, float]], dt: float, count: int, first: float) -> Floats:
    """Return the mean over each sample interval: differences of the area under the wave so far."""
    times = np.array([time for time, _ in corners])
    heights = np.array([height for _, height in corners])
    area = np.concatenate(([0.0], np.cumsum(np.diff(times) * (heights[1:] + heights[:-1]) / 2)))
    whole, within = np.divmod(even_times(count + 1, dt, start=first), times[-1])
    at = np.clip(np.searchsorted(times, within, side="right") - 1, 0, len(times) - 2)
    length = times[at + 1] - times[at]
    share = np.divide(within - times[at], length, out=np.zeros(count + 1), where=length > 0)
    heights_here = heights[at] + share * (heights[at + 1] - heights[at])
    so_far = whole * area[-1] + area[at] + (within - times[at]) * (heights[at] + heights_here) / 2
    averaged: Floats = np.diff(so_far) / dt
    return averaged
