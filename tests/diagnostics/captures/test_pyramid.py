"""Any window of the pyramid against the plain least and greatest of the same samples."""

import json
import struct
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.captures.pyramid import FACTOR, Pyramid, build


def made(folder, values, *, times=None, start=0.0, dt=0.001, cut=()):
    """The pyramid of `values` (channels by samples), handed over in pieces cut at the given places."""
    values = np.atleast_2d(np.asarray(values, dtype=float))
    cuts = [0, *sorted(cut), values.shape[1]]
    pieces = [(None if times is None else times[a:b], values[:, a:b]) for a, b in pairwise(cuts)]
    dt = dt if times is None else None
    return build(folder, pieces, channels=len(values), start=start, dt=dt)


def plainly(values, times, since, until, width):
    """Least and greatest of each column by looking at every sample."""
    edges = since + (until - since) * np.arange(width + 1) / width
    edges[-1] = until
    low, high = np.full(width, np.nan), np.full(width, np.nan)
    for column, (a, b) in enumerate(pairwise(edges)):
        inside = values[(times >= a) & (times < b)]
        inside = inside[~np.isnan(inside)]
        if len(inside):
            low[column], high[column] = inside.min(), inside.max()
    return low.astype(np.float32), high.astype(np.float32)


@st.composite
def recordings(draw):
    count = draw(st.integers(1, 900))
    seed = draw(st.integers(0, 2**31))
    random = np.random.default_rng(seed)
    values = random.normal(size=count).astype(np.float32).astype(float)
    values[random.random(count) < draw(st.sampled_from([0, 0.05, 0.9]))] = np.nan
    if draw(st.booleans()):
        first, last = sorted(random.integers(0, count + 1, 2))
        values[first:last] = np.nan
    cut = draw(st.lists(st.integers(0, count), max_size=4))
    start, dt = draw(st.sampled_from([-3.7, 0.0, 1e4])), draw(st.sampled_from([1e-6, 0.001, 0.1, 1 / 3]))
    return values, cut, start, dt


@st.composite
def windows(draw):
    since = draw(st.floats(-0.2, 1.1))
    return since, since + draw(st.floats(0.001, 1.4)), draw(st.integers(1, 60))


@given(recordings(), windows())
def test_any_window_is_the_least_and_greatest_of_its_samples(tmp_path_factory, recording, asked):
    values, cut, start, dt = recording
    since, until, width = asked
    length = len(values) * dt
    since, until = start + since * length, start + until * length
    times = start + np.arange(len(values)) * dt

    window = made(tmp_path_factory.mktemp("pyramid"), values, start=start, dt=dt, cut=cut).window(
        since, until, width
    )

    inside = np.flatnonzero((times >= since) & (times < until))
    if window.times is None:
        low, high = plainly(values, times, since, until, width)
        empty = np.diff(np.searchsorted(times, since + (until - since) * np.arange(width + 1) / width)) <= 0
        np.testing.assert_array_equal(window.low[0][~empty], low[~empty])
        np.testing.assert_array_equal(window.high[0][~empty], high[~empty])
    else:
        assert len(inside) <= 2 * width
        first = max(inside[0] - 1, 0) if len(inside) else None
        if first is not None:
            shown = values[first : inside[-1] + 2].astype(np.float32)
            np.testing.assert_array_equal(window.low[0], shown)


@given(st.integers(0, 2**31), st.integers(2, 700), st.integers(1, 40))
def test_uneven_times_are_looked_up(tmp_path_factory, seed, count, width):
    random = np.random.default_rng(seed)
    times = np.cumsum(random.exponential(1.0, count))
    values = random.normal(size=count)
    pyramid = made(tmp_path_factory.mktemp("pyramid"), values, times=times, start=times[0])
    since, until = times[0], pyramid.end

    window = pyramid.window(since, until, width)

    if window.times is None:
        low, high = plainly(values.astype(np.float32), times, since, until, width)
        filled = ~np.isnan(low)
        np.testing.assert_array_equal(window.low[0][filled], low[filled])
        np.testing.assert_array_equal(window.high[0][filled], high[filled])
    else:
        np.testing.assert_allclose(window.times + since, times, rtol=1e-5)


def test_a_column_between_two_samples_lies_on_the_line_between_them(tmp_path):
    times = np.concatenate([np.linspace(0, 1, 50), [11.0]])
    values = np.concatenate([np.zeros(50), [10.0]])
    pyramid = made(tmp_path, values, times=times)

    window = pyramid.window(0, 12, 12)

    assert window.times is None
    np.testing.assert_allclose(window.low[0][2:11], np.arange(2.5, 11.5) - 1, rtol=1e-5)


def test_a_gap_of_samples_is_a_gap_of_columns(tmp_path):
    values = np.ones(1000)
    values[400:600] = np.nan
    values[700] = np.inf

    window = made(tmp_path, values, dt=0.001).window(0, 1, 10)

    assert np.isnan(window.low[0]).tolist() == [False] * 4 + [True] * 2 + [False] * 4
    assert window.high[0][7] == 1


def test_one_spike_in_a_million_samples_is_seen_from_afar(tmp_path):
    values = np.zeros(1_000_000)
    values[654_321] = -3

    window = made(tmp_path, values, dt=1e-6, cut=range(0, 1_000_000, 70_001)).window(0, 1, 500)

    assert np.flatnonzero(window.low[0]).tolist() == [654_321 * 500 // 1_000_000]


def test_the_pieces_a_recording_comes_in_do_not_matter(tmp_path):
    values = np.random.default_rng(5).normal(size=(2, 5000))
    whole, cut = tmp_path / "whole", tmp_path / "cut"
    for folder in (whole, cut):
        folder.mkdir()
    made(whole, values)
    made(cut, values, cut=[0, 1, 2, 9, 700, 701, 4999])

    files = sorted(path.name for path in whole.iterdir())
    assert files == sorted(path.name for path in cut.iterdir())
    assert [(whole / name).read_bytes() for name in files] == [(cut / name).read_bytes() for name in files]


def test_the_files_have_the_layout_that_is_written_down(tmp_path):
    values = np.arange(20.0)
    made(tmp_path, values, start=2.0, dt=0.5)

    about = json.loads((tmp_path / "pyramid.json").read_text())
    assert about == {
        "form": 1, "factor": FACTOR, "channels": 1, "samples": 20, "levels": 2, "start": 2.0, "dt": 0.5,
    }  # fmt: skip
    assert struct.unpack("<20f", (tmp_path / "channel-0-level-0").read_bytes()) == tuple(values)
    pairs = struct.unpack("<6f", (tmp_path / "channel-0-level-1").read_bytes())
    assert pairs == (0, 7, 8, 15, 16, 19)


def test_columns_are_packed_as_a_head_and_pairs(tmp_path):
    values = np.stack([np.arange(100.0), -np.arange(100.0)])

    packed = made(tmp_path, values, dt=1.0).window(0, 100, 4).packed()

    assert struct.unpack("<6d", packed[:48]) == (0, 2, 4, 0, 100, 0)
    assert struct.unpack("<16f", packed[48:]) == (
        0, 24, 25, 49, 50, 74, 75, 99, -24, 0, -49, -25, -74, -50, -99, -75,
    )  # fmt: skip


def test_samples_are_packed_as_a_head_times_and_values(tmp_path):
    values = np.arange(10.0)

    packed = made(tmp_path, values, dt=1.0).window(2.5, 4.5, 4).packed()

    assert struct.unpack("<6d", packed[:48]) == (1, 1, 4, 2.5, 4.5, 0)
    assert struct.unpack("<8f", packed[48:]) == (-0.5, 0.5, 1.5, 2.5, 2, 3, 4, 5)


def test_a_window_beside_the_recording_is_empty(tmp_path):
    window = made(tmp_path, np.arange(10.0)).window(5, 6, 10)

    assert window.low.shape[1] <= 1


@pytest.mark.parametrize("asked", [(1, 1, 10), (2, 1, 10), (float("nan"), 1, 10), (0, float("inf"), 10)])
def test_an_empty_window_is_refused(tmp_path, asked):
    with pytest.raises(ValueError, match="Its end must lie after its start"):
        made(tmp_path, [1, 2]).window(*asked)


def test_a_window_without_columns_is_refused(tmp_path):
    with pytest.raises(ValueError, match="needs 1 or more"):
        made(tmp_path, [1, 2]).window(0, 1, 0)


def test_a_recording_without_samples_is_refused(tmp_path):
    with pytest.raises(ValueError, match="no sample"):
        build(tmp_path, [], channels=1, start=0, dt=1)


def test_a_piece_of_other_channels_is_refused(tmp_path):
    with pytest.raises(ValueError, match="2 channels were announced"):
        build(tmp_path, [(None, np.zeros((1, 4)))], channels=2, start=0, dt=1)


def test_another_form_is_refused(tmp_path):
    (tmp_path / "pyramid.json").write_text('{"form": 2}')

    with pytest.raises(ValueError, match="reads form 1"):
        Pyramid(tmp_path)
