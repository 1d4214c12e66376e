"""Levels, edges and figures against known truth, against SciPy, and against themselves however cut."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import signal as scipy_signal

from diagnostics.captures.levels import Levels, state_levels
from diagnostics.captures.measured import measure
from diagnostics.captures.recording import Channel, UnreadableCapture, held_in_memory
from tests.diagnostics.captures import synthetic

CH1 = [Channel("CH1", "V")]


def one(values, dt=1e-6, **about):
    (measured,) = measure(held_in_memory(CH1, np.asarray(values, float), dt=dt, **about))
    return measured


def test_a_wave_on_paper():
    # Four samples a period, low 1, high 3; crossings at half height lie midway between samples.
    measured = one([1, 1, 3, 3] * 3, dt=1.0)

    assert (measured.levels.low, measured.levels.high) == (1, 3)
    assert measured.timing.edges.middle.tolist() == [1.5, 3.5, 5.5, 7.5, 9.5]
    assert measured.timing.periods.mean == 4
    assert measured.timing.duty == 0.5
    assert measured.timing.rises.mean == pytest.approx(0.8)
    assert measured.summary.mean == 2
    assert measured.summary.rms == pytest.approx(math.sqrt(5))
    assert measured.summary.ripple == 2
    assert measured.summary.ac_rms == 1


def test_a_crossing_lies_where_a_sample_is_at_the_level_and_the_one_before_below():
    measured = one([0, 0, 5, 10, 10, 5, 0, 0, 5, 10], dt=1.0)

    # Falling: the sample at 5 V is not below it yet, the next one is.
    assert measured.timing.edges.middle.tolist() == [2, 5, 8]


def test_a_signal_that_turns_back_makes_no_edge():
    measured = one([0] * 20 + [3, 0] * 5 + [10] * 20 + [7, 10] * 5)

    assert measured.timing.transitions == 1


def test_levels_are_within_a_bin_of_the_histogram_that_numpy_makes():
    random = np.random.default_rng(4)
    values = np.where(np.arange(20_000) % 700 < 300, 4.7, 0.4) + random.normal(0, 0.06, 20_000)
    counts, edges = np.histogram(values, 100)
    bins = [int(np.argmax(counts[:50])), 50 + int(np.argmax(counts[50:]))]

    (levels,) = state_levels(held_in_memory(CH1, values, dt=1e-6))

    assert edges[bins[0]] <= levels.low <= edges[bins[0] + 1]
    assert edges[bins[1]] <= levels.high <= edges[bins[1] + 1]


def test_duty_and_period_are_those_of_scipys_square_wave():
    times = (np.arange(200_000) + 0.5) * 1e-6
    values = 2.5 + 2.5 * scipy_signal.square(2 * np.pi * 250 * times, duty=0.35)

    measured = one(values)

    assert measured.timing.duty == pytest.approx(0.35, abs=1e-4)
    assert measured.timing.frequency_hz == pytest.approx(250, rel=1e-4)


def test_rise_of_a_single_pole_is_what_scipy_integrates():
    # Step answer of 1 / (1 + s RC); 10 to 90 % is ln 9 RC.
    times = np.arange(40_000) * 1e-6
    _, answer = scipy_signal.step(scipy_signal.lti([1], [1e-3, 1]), T=times)
    values = np.concatenate((np.zeros(2000), answer, np.ones(4000)))

    assert one(values).timing.rises.mean == pytest.approx(math.log(9) * 1e-3, rel=1e-3)


def test_as_many_pulses_as_scipy_finds_peaks():
    recording = synthetic.sampled(synthetic.duty_cycle(duty=0.2, cycles=37), 500_000, noise_v=0.05)
    (chunk,) = recording.chunks()
    peaks, _ = scipy_signal.find_peaks(chunk.values[0], height=2.5, distance=300)

    (measured,) = measure(recording)

    assert measured.timing.widths.count == len(peaks) == 37


@pytest.mark.parametrize("noise", [0.0, 0.02, 0.05, 0.1])
@pytest.mark.parametrize("rate", [250_000, 1_000_000, 4_000_000])
def test_levels_and_edges_are_near_the_truth(noise, rate):
    truth = synthetic.duty_cycle(0.3, 4.8, edge_s=20e-6, duty=0.4)

    (measured,) = measure(synthetic.sampled(truth, rate, noise_v=noise))

    width = measured.summary.ripple / 100
    assert measured.levels.low == pytest.approx(0.3, abs=1e-3 + noise + width * bool(noise))
    assert measured.levels.high == pytest.approx(4.8, abs=1e-3 + noise + width * bool(noise))
    edges = measured.timing.edges.middle
    assert len(edges) == len(truth.edges)
    # A volt of noise moves a crossing by a volt over the slope; five deviations hold for all edges.
    slope = 4.5 / 20e-6
    assert np.abs(edges - truth.edges).max() < 0.2 / rate + 5 * (noise + 0.01) / slope


def test_jitter_of_the_clock_shows_in_the_periods_by_its_size():
    recording = synthetic.sampled(synthetic.duty_cycle(edge_s=50e-6), 1_000_000, jitter_s=2e-6)

    (measured,) = measure(recording)

    assert measured.timing.periods.mean == pytest.approx(1e-3, rel=1e-3)
    assert 1e-7 < measured.timing.periods.deviation < 4e-6


def test_a_clipped_signal_has_its_level_at_the_clip():
    (measured,) = measure(synthetic.sampled(synthetic.duty_cycle(), 1_000_000, noise_v=0.02, clip=(-1, 4)))

    assert measured.levels.high == pytest.approx(4, abs=1e-9)
    assert measured.timing.duty == pytest.approx(0.3, abs=1e-3)


def test_dropped_samples_are_counted_and_no_pulse_is_measured_across_them():
    recording = synthetic.sampled(synthetic.duty_cycle(cycles=200), 1_000_000, dropped=0.02)
    lost = sum(np.isnan(chunk.values).sum() for chunk in recording.chunks())

    (measured,) = measure(recording)

    assert measured.summary.missing == lost > 1000
    assert measured.summary.gap_count > 100
    assert measured.timing.duty == pytest.approx(0.3, abs=1e-4)
    assert measured.timing.periods.greatest == pytest.approx(1e-3, rel=1e-3)


def test_lines_that_were_never_written_are_missing_too():
    times = np.delete(np.arange(1000) * 1e-3, slice(400, 420))
    recording = held_in_memory(CH1, np.ones(980), dt=1e-3, times=times)

    (measured,) = measure(recording)

    assert (measured.summary.count, measured.summary.missing, measured.summary.gap_count) == (980, 20, 1)
    assert measured.summary.gap_seconds == pytest.approx(21e-3)
    assert measured.summary.gaps[0].start == pytest.approx(0.399)


def test_samples_that_do_not_come_evenly_count_by_their_time():
    recording = held_in_memory(CH1, np.array([0.0, 0, 4, 4]), times=np.array([0.0, 9, 9, 10]))

    (measured,) = measure(recording)

    assert measured.summary.mean == pytest.approx(0.4)
    assert measured.summary.rms == pytest.approx(math.sqrt(1.6))
    assert measured.in_states.seconds == {"low": 9.0, "between": 0.0, "high": 1.0}


def test_overshoot_and_time_in_each_state():
    measured = one([0] * 60 + [5.4] + [5] * 40)

    assert measured.as_dict()["overshoot_percent"] == pytest.approx(8)
    assert measured.in_states.seconds["low"] == pytest.approx(60e-6)
    assert measured.in_states.seconds["high"] == pytest.approx(40e-6)


def test_a_channel_without_a_sample_has_no_figures():
    measured = one([np.nan] * 5)

    assert (measured.summary.count, measured.summary.missing) == (0, 5)
    assert math.isnan(measured.summary.mean)
    assert not measured.toggles


def test_a_recording_without_a_sample_is_refused():
    with pytest.raises(UnreadableCapture, match="There is no sample"):
        measure(held_in_memory(CH1, np.empty((1, 0)), dt=1.0))


def test_reference_levels_are_shares_of_the_amplitude():
    assert Levels(1, 5).at(0.1) == pytest.approx(1.4)


@st.composite
def recorded(draw):
    """Samples of any kind, some missing, evenly or not; and a size of chunk."""
    random = np.random.default_rng(draw(st.integers(0, 2**32)))
    count = draw(st.integers(2, 400))
    kind = draw(st.sampled_from(["noise", "square", "steps", "spikes"]))
    values = {
        "noise": random.normal(0, 1, count),
        "square": np.where(np.arange(count) % draw(st.integers(2, 60)) < 7, 5.0, 0.0),
        "steps": np.repeat(random.integers(0, 5, count // 9 + 1), 9)[:count].astype(float),
        "spikes": np.where(random.random(count) < 0.05, 9.0, 1.0),
    }[kind] + draw(st.sampled_from([0.0, 0.1])) * random.normal(0, 1, count)
    values[random.random(count) < draw(st.sampled_from([0.0, 0.05, 0.6]))] = np.nan
    even = draw(st.booleans())
    steps = np.ones(count) if even else random.choice([0.0, 0.5, 1.0, 3.0], count)
    steps[random.random(count) < 0.02] += 4
    return values, np.cumsum(steps), 1.0 if even else None, draw(st.integers(1, count))


@given(recorded())
def test_where_a_recording_is_cut_changes_nothing(drawn):
    values, times, dt, size = drawn

    whole, cut = (
        measure(held_in_memory(CH1, values, times=times, dt=dt, chunk=chunk))[0]
        for chunk in (len(values), size)
    )

    assert_alike(whole.as_dict(), cut.as_dict())
    for name in ("rising", "left", "middle", "reached", "whole"):
        np.testing.assert_allclose(getattr(whole.timing.edges, name), getattr(cut.timing.edges, name))
    assert [phase.behaviour for phase in whole.phases] == [phase.behaviour for phase in cut.phases]


def assert_alike(one, other):
    if isinstance(one, dict):
        assert one.keys() == other.keys()
        for key in one:
            assert_alike(one[key], other[key])
    elif isinstance(one, list):
        assert len(one) == len(other)
        for each, its in zip(one, other, strict=True):
            assert_alike(each, its)
    elif isinstance(one, float):
        assert one == pytest.approx(other, rel=1e-9, abs=1e-7, nan_ok=True)
    else:
        assert one == other
