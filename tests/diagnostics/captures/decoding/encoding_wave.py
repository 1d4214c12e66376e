"""A bus as a list of (driven, seconds), and the recording that an instrument makes of it."""

import numpy as np


def joined(*parts):
    return [segment for part in parts for segment in part]


def idle(seconds):
    return [(False, seconds)]


def edges_of(segments, *, jitter_s=0.0, clock=1.0, seed=0):
    """Return instants of change, whether it starts driven, and how long all of it lasts. [s]"""
    drift = np.random.default_rng(seed)
    edges, now, level = [], 0.0, segments[0][0]
    for driven, seconds in segments:
        if driven != level:
            edges.append(now)
            level = driven
        now += seconds * clock
    wander = drift.normal(0, jitter_s, len(edges)) if jitter_s else np.zeros(len(edges))
    return np.maximum.accumulate(np.asarray(edges) + wander), segments[0][0], now


def volts_of(segments, rate, *, driven_v, let_go_v, noise_v=0.0, ramp_s=0.0, jitter_s=0.0, clock=1.0, seed=0):
    """Return the times and voltages of samples at that rate: straight ramps, Gaussian noise. [s], [V]"""
    edges, starts_driven, end = edges_of(segments, jitter_s=jitter_s, clock=clock, seed=seed)
    times = np.arange(int(end * rate)) / rate
    if ramp_s:
        knots = np.maximum.accumulate(np.stack([edges, edges + ramp_s], axis=1).ravel())
        after = (np.arange(edges.size) % 2 == 0) != starts_driven
        before = ~after
        shape = np.stack([before, after], axis=1).ravel().astype(float)
        level = (
            np.interp(times, knots, shape, left=float(starts_driven))
            if edges.size
            else np.full(times.size, float(starts_driven))
        )
    else:
        level = ((np.searchsorted(edges, times, side="right") % 2 == 1) != starts_driven).astype(float)
    noise = np.random.default_rng(seed + 1).normal(0, noise_v, times.size) if noise_v else 0.0
    return times, let_go_v + (driven_v - let_go_v) * level + noise


def in_blocks(times, volts, size=10_007):
    for begin in range(0, len(times), size):
        yield times[begin : begin + size], volts[begin : begin + size]
