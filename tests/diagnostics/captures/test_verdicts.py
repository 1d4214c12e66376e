"""The table of signals: each kind with each noise at each sample rate gets the verdict that is true of it."""

import numpy as np
import pytest

from diagnostics.captures.analyse import analyse
from tests.diagnostics.captures import synthetic

BATTERY_V = 12.6
QUIET = (0.0, 0.02, 0.05)  # V RMS; resting lines with more than 0.1 V are noisy by definition
LOUD = (*QUIET, 0.2)  # up to 4 % of 5 V
RATES_HZ = (250_000, 1_000_000, 4_000_000)
CAN_RATES_HZ = (4_000_000, 10_000_000)


def a_random():
    return np.random.default_rng(2026)


# kind: (signal, bus, state, noises)
ONE_WIRE = {
    "duty cycle": (synthetic.duty_cycle(), "none", "active", LOUD),
    "short pulses": (synthetic.duty_cycle(duty=0.05), "none", "active", LOUD),
    "duty cycle at battery level": (synthetic.duty_cycle(0.1, 12.4), "none", "active", LOUD),
    "sine": (synthetic.sine(), "none", "active", QUIET),
    "triangle": (synthetic.triangle(), "none", "active", QUIET),
    "speed sensor, speeding up": (synthetic.speeding_up(), "none", "active", LOUD),
    "toothed wheel": (synthetic.toothed_wheel(), "none", "active", LOUD),
    "at battery": (synthetic.steady(12.4), "none", "stuck_high", QUIET),
    "at ground": (synthetic.steady(0.04), "none", "stuck_low", QUIET),
    "floating": (synthetic.steady(2.3), "none", "floating_or_biased", QUIET),
    "hum": (synthetic.steady(2.5), "none", "noisy", (0.15, 0.5, 1.0)),
    "buried in noise": (synthetic.duty_cycle(duty=0.5), "none", "noisy", (0.9, 1.2)),
    "supply that drops out": (synthetic.drop_outs(), "none", "intermittent", LOUD),
    "one short drop-out": (synthetic.drop_outs((0.02,), (4e-5,)), "none", "intermittent", LOUD),
    "bad contact": (synthetic.bad_contact(a_random()), "none", "intermittent", LOUD),
    "goes once": (synthetic.from_states([(0.03, 5.0), (0.02, 0.0)]), "none", "intermittent", LOUD),
    "lost pulses": (synthetic.lost_pulses(), "none", "intermittent", LOUD),
    "lost tooth": (synthetic.toothed_wheel(also_lost=(52, 121)), "none", "intermittent", LOUD),
    "leaves its levels": (synthetic.leaves_levels(), "none", "intermittent", LOUD),
    "data, bus not named": (synthetic.vpw(a_random()), "none", "active", LOUD),
    "VPW": (synthetic.vpw(a_random()), "vpw", "active", LOUD),
    "VPW, weak": (synthetic.vpw(a_random(), 0.1, 4.0), "vpw", "floating_or_biased", LOUD),
    "VPW, below its band": (synthetic.vpw(a_random(), 0.1, 5.4), "vpw", "floating_or_biased", LOUD),
    "VPW, lost ground": (synthetic.vpw(a_random(), 3.8, 7.2), "vpw", "floating_or_biased", LOUD),
    "VPW, idle": (synthetic.steady(0.1), "vpw", "stuck_low", QUIET),
    "VPW, to power": (synthetic.steady(12.2), "vpw", "stuck_high", QUIET),
    "VPW, held": (synthetic.steady(7.1), "vpw", "floating_or_biased", QUIET),
    "VPW, held for a while": (synthetic.vpw_held(a_random()), "vpw", "intermittent", LOUD),
    "LIN": (synthetic.serial(a_random(), synthetic.LIN_BIT_S, 0.8, 12.2), "lin", "active", LOUD),
    "LIN, high ground": (
        synthetic.serial(a_random(), synthetic.LIN_BIT_S, 3.4, 12.2),
        "lin",
        "floating_or_biased",
        LOUD,
    ),
    "LIN, idle": (synthetic.steady(12.3), "lin", "stuck_high", QUIET),
    "K line": (synthetic.serial(a_random(), synthetic.KLINE_BIT_S, 0.9, 12.3), "kline", "active", LOUD),
    "K line, loaded": (
        synthetic.serial(a_random(), synthetic.KLINE_BIT_S, 0.9, 8.5),
        "kline",
        "floating_or_biased",
        LOUD,
    ),
}
CASES = [
    pytest.param(signal, bus, state, noise, rate, id=f"{kind}, {noise} V, {rate // 1000} kHz")
    for kind, (signal, bus, state, noises) in ONE_WIRE.items()
    for noise in noises
    for rate in RATES_HZ
]


@pytest.mark.parametrize(("signal", "bus", "state", "noise", "rate"), CASES)
def test_each_kind_of_line_gets_its_verdict(signal, bus, state, noise, rate):
    recording = synthetic.sampled(signal, rate, noise_v=noise)

    (verdict,) = analyse(recording, battery_v=BATTERY_V, bus=bus).verdicts

    assert verdict.state == state, verdict


PAIRS = {
    "traffic": (synthetic.can_pair(a_random()), "active"),
    "CANH to ground": (
        synthetic.can_pair(a_random(), recessive=(0.1, 2.4), dominant=(0.1, 1.4)),
        "stuck_low",
    ),
    "CANL to ground": (
        synthetic.can_pair(a_random(), recessive=(0.1, 0.0), dominant=(1.9, 0.0)),
        "stuck_low",
    ),
    "CANL to power": (
        synthetic.can_pair(a_random(), recessive=(12.0, 12.3), dominant=(12.1, 12.3)),
        "stuck_high",
    ),
    "asleep": ((synthetic.steady(0.03), synthetic.steady(0.02)), "stuck_low"),
    "silent": ((synthetic.steady(2.52), synthetic.steady(2.48)), "floating_or_biased"),
    "no terminators": (
        synthetic.can_pair(a_random(), recessive=(2.5, 2.5), dominant=(4.4, 0.6)),
        "floating_or_biased",
    ),
    "loaded": (
        synthetic.can_pair(a_random(), recessive=(2.5, 2.5), dominant=(2.9, 2.1)),
        "floating_or_biased",
    ),
}
LOADED_QUIET = QUIET[:2]  # 0.05 V is more than a tenth of what a loaded pair still moves: noisy.
PAIR_CASES = [
    pytest.param(pair, state, noise, rate, id=f"{kind}, {noise} V, {rate // 1_000_000} MHz")
    for kind, (pair, state) in PAIRS.items()
    for noise in (LOADED_QUIET if kind == "loaded" else QUIET)
    for rate in CAN_RATES_HZ
]


@pytest.mark.parametrize(("pair", "state", "noise", "rate"), PAIR_CASES)
def test_each_kind_of_pair_gets_its_verdict(pair, state, noise, rate):
    recording = synthetic.sampled(pair, rate, noise_v=noise, names=["CANH", "CANL"])

    found = analyse(recording, battery_v=BATTERY_V, bus="can")

    assert found.pair.state == state, found.pair
