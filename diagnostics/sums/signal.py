"""Duty cycle, frequency and what they stand for."""

from __future__ import annotations

import math

from diagnostics.sums.figures import figure
from shared.computing import Given, Refused, computation

GROUP = "Signals"
DEFINITION = "IEEE Std 181 and IEC 60469: pulse width over period"
PERIOD = Given("period_ms", "Period, from edge to the same edge", "ms", above=0, high=1e9, example=8)
ON = Given("on_ms", "Time on", "ms", low=0, high=1e9, example=2)
HERTZ = Given("hertz", "Frequency", "Hz", above=0, high=1e9, example=120)
STEADY = "A signal that repeats and holds still while it is read."


@computation(
    "signal.duty_percent",
    "Duty cycle from the time on and the period, or the time off",
    ON,
    Given("period_ms", "Period", "ms", above=0, high=1e9, optional=True, example=8),
    Given("off_ms", "Or time off", "ms", low=0, high=1e9, optional=True),
    unit="%",
    formula="duty = 100 × time on / period",
    source=DEFINITION,
    mark="from memory",
    valid=f"{STEADY} Say which state counts as on: for a driver that switches ground it is the low one.",
    group=GROUP,
    says=lambda answer, given: f"It is on for {figure(answer)} % of the time.",
)
def duty_percent(on_ms: float, period_ms: float | None = None, off_ms: float | None = None) -> float:
    """Return the share of a period in which the signal is on, 0 to 100. [%]"""
    if (period_ms is None) == (off_ms is None):
        raise Refused("period_ms", "One of period and time off is needed.", "one of the two")
    period = period_ms if period_ms is not None else on_ms + (off_ms or 0.0)
    if on_ms > period or period == 0:
        raise Refused(
            "on_ms", f"{on_ms:g} ms on do not fit a period of {period:g} ms.", f"0 to {period:g} ms"
        )
    return 100 * (on_ms / period)


@computation(
    "signal.on_time_ms",
    "Time on from the duty cycle and the frequency",
    Given("percent", "Duty cycle", "%", low=0, high=100, example=25),
    HERTZ,
    unit="ms",
    formula="time on = duty / 100 × 1000 / frequency",
    source=DEFINITION,
    mark="from memory",
    valid=STEADY,
    group=GROUP,
    says=lambda answer, given: f"On for {figure(answer)} ms each time.",
)
def on_time_ms(percent: float, hertz: float) -> float:
    """Return how long the signal is on in each period. [ms]"""
    return percent / 100 * 1000 / hertz


@computation(
    "signal.frequency_hz",
    "Frequency from the period",
    PERIOD,
    unit="Hz",
    formula="f = 1000 / period",
    source=DEFINITION,
    mark="from memory",
    valid=STEADY,
    group=GROUP,
    says=lambda answer, given: f"{figure(answer)} times a second.",
)
def frequency_hz(period_ms: float) -> float:
    """Return the frequency of a signal of this period. [Hz]"""
    return 1000 / period_ms


@computation(
    "signal.period_ms",
    "Period from the frequency",
    HERTZ,
    unit="ms",
    formula="period = 1000 / f",
    source=DEFINITION,
    mark="from memory",
    valid=STEADY,
    group=GROUP,
    says=lambda answer, given: (
        f"One period takes {figure(answer)} ms: set the screen to show two or three of them."
    ),
)
def period_of_ms(hertz: float) -> float:
    """Return the period of a signal of this frequency. [ms]"""
    return 1000 / hertz


@computation(
    "signal.pulses_rpm",
    "Speed of a shaft from the frequency of its sensor",
    HERTZ,
    Given(
        "pulses",
        "Pulses each turn: teeth of the wheel, missing ones counted",
        kind="whole",
        low=1,
        high=10_000,
        example=60,
    ),
    unit="rpm",
    formula="rpm = 60 × f / pulses each turn",
    source="definition of revolutions a minute",
    mark="computed",
    valid=STEADY,
    group=GROUP,
    says=lambda answer, given: f"{figure(answer)} turns a minute.",
)
def pulses_rpm(hertz: float, pulses: int) -> float:
    """Return the speed of a shaft whose sensor gives so many pulses each turn. [rpm]"""
    return 60 * hertz / pulses


@computation(
    "signal.pwm_volts",
    "What a meter shows of a switched voltage: mean, and effective value",
    Given("high", "Voltage when high", "V", low=-1000, high=1000, example=12),
    Given("low", "Voltage when low", "V", low=-1000, high=1000, example=0),
    Given("percent", "Share of the time it is high", "%", low=0, high=100, example=25),
    answers={"mean_volts": "V", "rms_volts": "V"},
    formula="mean = d × high + (1 − d) × low; effective = √(d × high² + (1 − d) × low²)",
    source="definition of mean and root mean square",
    mark="computed",
    valid="Edges that are short against the period.",
    group=GROUP,
    says=lambda answer, given: (
        f"The DC range shows {figure(answer['mean_volts'])} V; what heats is {figure(answer['rms_volts'])} V."
    ),
)
def pwm_volts(high: float, low: float, percent: float) -> dict[str, float]:
    """Return mean and root mean square of a rectangular signal. [V]"""
    share = percent / 100
    return {
        "mean_volts": share * high + (1 - share) * low,
        "rms_volts": math.sqrt(share * high**2 + (1 - share) * low**2),
    }
