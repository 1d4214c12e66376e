"""Signals of every kind that a shop records, made from known truth: levels, edges, faults and their times.

A signal is a line through corners. `sampled` records it as an instrument does, with noise, jitter of the
sample clock, clipping and dropped samples.
"""

from dataclasses import dataclass, field

import numpy as np

from diagnostics.captures.recording import Channel, held_in_memory

EDGE_S = 2e-6
VPW_SHORT_S, VPW_LONG_S, VPW_START_S, VPW_END_S = 64e-6, 128e-6, 200e-6, 280e-6
CAN_BIT_S = 2e-6
LIN_BIT_S = 1 / 19200
KLINE_BIT_S = 1 / 10400


@dataclass(frozen=True)
class Signal:
    """Corners (time [s], volts), the middles of the edges, and where a fault was put in."""

    times: np.ndarray
    volts: np.ndarray
    edges: np.ndarray = field(default_factory=lambda: np.empty(0))
    faults: tuple = ()

    @property
    def seconds(self):
        return self.times[-1]

    def at(self, times):
        return np.interp(times, self.times, self.volts)


def steady(volts, seconds=0.05):
    return Signal(np.array([0.0, seconds]), np.array([volts, volts], dtype=float))


def from_states(states, edge_s=EDGE_S, faults=()):
    """Make a signal of (duration, volts) in turn; edges are straight, their middle at the change."""
    times, volts, edges, now, level = [0.0], [states[0][1]], [], 0.0, states[0][1]
    for duration, target in states:
        if target != level:
            edges.append(now)
            times += [now - edge_s / 2, now + edge_s / 2]
            volts += [level, target]
            level = target
        now += duration
    return Signal(np.array([*times, now]), np.array([*volts, level], float), np.array(edges), faults)


def duty_cycle(low=0.0, high=5.0, period=1e-3, duty=0.3, cycles=50, edge_s=EDGE_S):
    rest = period * (1 - duty) / 2
    return from_states([(rest, low), (period * duty, high), (rest, low)] * cycles, edge_s)


def lost_pulses(lost=(20, 21, 35), low=0.0, high=5.0, period=1e-3, cycles=50):
    states = []
    for cycle in range(cycles):
        states += [(period / 4, low), (period / 2, low if cycle in lost else high), (period / 4, low)]
    return from_states(states, faults=tuple(period * (cycle + 0.5) for cycle in lost))


def toothed_wheel(teeth=36, turns=6, period=5e-4, low=0.2, high=4.8, also_lost=()):
    states = []
    for tooth in range(teeth * turns):
        is_gap = tooth % teeth == teeth - 1 or tooth in also_lost
        states += [(period / 4, low), (period / 2, low if is_gap else high), (period / 4, low)]
    return from_states(states, faults=tuple(period * (tooth + 0.5) for tooth in also_lost))


def speeding_up(low=0.1, high=4.9, slow=2e-3, fast=4e-4, cycles=80):
    states = []
    for period in np.geomspace(slow, fast, cycles):
        states += [(period / 4, low), (period / 2, high), (period / 4, low)]
    return from_states(states)


def drop_outs(
    starts=(0.011, 0.0234, 0.0301), lengths=(4e-4, 1.7e-3, 2.9e-4), level=5.0, to=0.0, seconds=0.05
):
    states, now = [], 0.0
    for start, length in zip(starts, lengths, strict=True):
        states += [(start - now, level), (length, to)]
        now = start + length
    return from_states([*states, (seconds - now, level)], faults=starts)


def bad_contact(random, level=5.0, to=0.0, bursts=6):
    """Chatter: bursts of contacts that open and close for times without any order."""
    states, faults, now = [], [], 0.0
    for _ in range(bursts):
        good = random.uniform(4e-3, 12e-3)
        states.append((good, level))
        now += good
        faults.append(now)
        for _ in range(random.integers(3, 9)):
            for volts in (to, level):
                states.append((random.exponential(3e-4) + 4e-5, volts))
                now += states[-1][0]
    return from_states([*states, (5e-3, level)], faults=tuple(faults))


def leaves_levels(level=2.4, low=0.0, high=5.0, period=1e-3):
    """An even signal that rests between its levels for a while."""
    half = [(period / 2, low), (period / 2, high)]
    states = [*half * 20, (0.012, level), *half * 20]
    return from_states(states, faults=(20 * period, 20 * period + 0.012))


def sine(middle=2.5, swing=2.0, hertz=500.0, cycles=25):
    times = np.linspace(0, cycles / hertz, cycles * 400 + 1)
    edges = (np.arange(2 * cycles) / 2) / hertz
    return Signal(times, middle + swing * np.sin(2 * np.pi * hertz * times), edges[1:])


def triangle(low=0.0, high=5.0, period=2e-3, cycles=20):
    times = np.arange(2 * cycles + 1) * period / 2
    volts = np.where(np.arange(2 * cycles + 1) % 2, high, low).astype(float)
    return Signal(times, volts, times[:-1] + period / 4)


def vpw(random, low=0.1, high=7.0, frames=6, idle=4e-3):
    """Frames of random bytes: each bit is one pulse, short or long by its value and by its level."""
    states = [(idle, low)]
    for _ in range(frames):
        states.append((VPW_START_S, high))
        for bit in random.integers(0, 2, 8 * random.integers(4, 12)):
            is_high = len(states) % 2
            long_ = bit != is_high
            states.append((VPW_LONG_S if long_ else VPW_SHORT_S, high if is_high else low))
        if states[-1][1] == high:
            states.append((VPW_END_S + idle * random.uniform(0.3, 1), low))
        else:
            states[-1] = (states[-1][0] + VPW_END_S + idle * random.uniform(0.3, 1), low)
    return from_states(states, edge_s=12e-6)


def vpw_held(random, held=7.0):
    """Traffic, then a node that holds the bus, then traffic."""
    first, second = vpw(random, frames=3), vpw(random, frames=3)
    start = first.seconds
    times = np.concatenate((first.times, [start + 1e-6, start + 0.03], second.times + start + 0.03 + 1e-6))
    volts = np.concatenate((first.volts, [held, held], second.volts))
    return Signal(times, volts, faults=(start, start + 0.03))


def serial(random, bit_s, low, high, count=40, idle_bits=8):
    """Bytes as a start bit, eight data bits, a stop bit, resting high between."""
    states = [(20 * bit_s, high)]
    for byte in random.integers(0, 256, count):
        bits = [0, *(byte >> np.arange(8) & 1), 1]
        states += [(bit_s, high if bit else low) for bit in bits]
        states.append((bit_s * random.integers(0, idle_bits), high))
    return from_states([*states, (20 * bit_s, high)], edge_s=bit_s / 20)


def can_bits(random, frames=12, bit_s=CAN_BIT_S):
    """Runs of one to five equal bits, as stuffing leaves them, with rests between frames."""
    runs = [(40 * bit_s, 0)]
    for _ in range(frames):
        for _ in range(40):
            runs.append((bit_s * random.integers(1, 6), 1 - runs[-1][1]))
        if runs[-1][1]:
            runs.append((bit_s, 0))
        runs[-1] = (runs[-1][0] + bit_s * random.integers(11, 60), 0)
    return runs


def can_pair(random, recessive=(2.5, 2.5), dominant=(3.5, 1.5), frames=12):
    runs = can_bits(random, frames)
    return tuple(
        from_states([(time, (rest, on)[bit]) for time, bit in runs], edge_s=1e-7)
        for rest, on in zip(recessive, dominant, strict=True)
    )


def sampled(
    signals,
    rate_hz,
    *,
    noise_v=0.0,
    jitter_s=0.0,
    clip=None,
    dropped=0.0,
    random=None,
    unit="V",
    names=None,
):
    """Record signals on one time base.

    `jitter_s` is the standard deviation of the sample clock, which the times do not show; `clip` are the
    bounds of the instrument; `dropped` is the share of samples that are lost, in stretches of some ten.
    """
    signals = signals if isinstance(signals, tuple) else (signals,)
    random = random or np.random.default_rng(11)
    count = int(min(signal.seconds for signal in signals) * rate_hz)
    times = np.arange(count) / rate_hz
    taken = times + (random.normal(0, jitter_s, count) if jitter_s else 0.0)
    values = np.array([signal.at(taken) for signal in signals])
    values = values + (random.normal(0, noise_v, values.shape) if noise_v else 0.0)
    if clip:
        values = np.clip(values, *clip)
    if dropped:
        starts = random.choice(count - 20, max(1, int(count * dropped / 10)), replace=False)
        values[:, (starts[:, None] + np.arange(10)).ravel()] = np.nan
    names = names or [f"CH{number + 1}" for number in range(len(signals))]
    return held_in_memory([Channel(name, unit) for name in names], values, dt=1 / rate_hz)
