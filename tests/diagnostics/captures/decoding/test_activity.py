"""From volts to two levels: where edges lie, what hysteresis and the input filter take away."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.captures.decoding import activity
from diagnostics.captures.decoding.activity import (
    Activity,
    Receiver,
    Thresholds,
    bursts,
    from_edges,
    from_volts,
)
from tests.diagnostics.captures.decoding.encoding_wave import edges_of, in_blocks, volts_of

HALF = Thresholds(0.4, 0.6)


def plainly(volts, low, high):
    """Levels by looking at every sample in turn."""
    level, levels = None, []
    for value in volts:
        if value >= high:
            level = True
        elif value <= low:
            level = False
        levels.append(level)
    return levels


def of_edges(*edges, active=False, end_s=10.0):
    return Activity(0.0, end_s, active, np.asarray(edges, dtype=float))


def test_an_edge_lies_where_the_line_between_samples_meets_the_threshold():
    found = from_volts([(np.array([0.0, 1.0, 2.0, 3.0]), np.array([0.0, 1.0, 1.0, 0.0]))], HALF)

    # Rising through 0.6 at 0.6 s, falling through 0.4 at 2.6 s: by hand.
    assert found.edges_s.tolist() == pytest.approx([0.6, 2.6])
    assert not found.active


@given(
    st.lists(st.sampled_from([0.0, 0.4, 0.5, 0.6, 1.0, float("nan")]), max_size=60),
    st.integers(1, 20),
)
@settings(deadline=None)
def test_edges_are_those_of_a_plain_walk_however_the_samples_are_cut(values, size):
    times, volts = np.arange(len(values), dtype=float), np.asarray(values, dtype=float)

    found = from_volts(in_blocks(times, volts, size), HALF)

    levels = [level for level in plainly(values, 0.4, 0.6) if level is not None]
    assert found.edges_s.size == sum(a != b for a, b in pairwise(levels))
    assert found.active == bool(levels and levels[0])
    assert (np.diff(found.edges_s) >= 0).all()


def test_edges_of_a_noisy_ramp_are_within_a_sample_of_the_true_ones():
    segments = [(place % 2 == 1, 1e-4 * (1 + place % 3)) for place in range(200)]
    true, _, _ = edges_of(segments)
    times, volts = volts_of(segments, 1e6, driven_v=5.0, let_go_v=0.0, noise_v=0.1, ramp_s=2e-6)

    found = from_volts(in_blocks(times, volts), Thresholds(2.0, 3.0))

    # Half of the ramp later than its beginning, and no more than a sample off that.
    assert np.abs(found.edges_s - true - 1e-6).max() < 1e-6


def test_noise_within_the_thresholds_makes_no_edge():
    noise = np.random.default_rng(0).uniform(-0.09, 0.09, 10_000)

    assert not from_volts([(np.arange(10_000.0), 0.5 + noise)], HALF).edges_s.size


def test_a_bus_driven_low_is_active_at_the_low_level():
    found = from_volts([(np.arange(3.0), np.array([1.0, 0.0, 1.0]))], HALF, active_high=False)

    assert (found.active, found.edges_s.size) == (False, 2)


def test_thresholds_the_wrong_way_round_are_refused():
    with pytest.raises(ValueError, match=r"The lower threshold of 2 V must lie below 1 V\."):
        Thresholds(2, 1)


def test_a_glitch_goes_with_both_its_edges():
    found = of_edges(1, 2, 2.01, 3).without_glitches(0.1)

    assert found.edges_s.tolist() == [1, 3]


@given(st.lists(st.floats(0.001, 1.0), max_size=80), st.booleans())
@settings(deadline=None)
def test_no_short_pulse_is_left_and_the_last_level_stays(widths, active):
    edges = np.cumsum(widths)

    found = of_edges(*edges, active=active).without_glitches(0.3)

    assert (np.diff(found.edges_s) >= 0.3).all()
    assert (edges.size - found.edges_s.size) % 2 == 0


def test_bursts_are_parted_by_quiet_and_begin_with_an_edge_into_active():
    found = of_edges(0.5, 1, 1.1, 4, 5, 5.5, active=True)

    assert [burst.tolist() for burst in bursts(found, 2.0)] == [[1, 1.1], [4, 5, 5.5]]


def test_a_long_burst_is_handed_over_in_pieces_of_whole_pulses():
    found = of_edges(*range(1, 10), end_s=100)

    assert [burst.size for burst in bursts(found, 50, most_edges=4)] == [4, 4, 1]


def test_more_edges_than_fit_are_left_out_and_that_is_said(monkeypatch):
    monkeypatch.setattr(activity, "MOST_EDGES", 10)

    found = from_edges([np.arange(6.0), np.arange(6.0, 12.0)], active=False)

    assert (found.edges_s.size, found.whole) == (10, False)


def test_excerpts_keep_the_level_at_their_beginning():
    whole = of_edges(*range(1000), end_s=1000)

    for part in whole.excerpts(50):
        passed = np.searchsorted(whole.edges_s, part.start_s, side="right")
        assert part.active == (passed % 2 == 1)
        assert part.edges_s.size == 49


def test_a_receiver_remembers_the_last_sample_of_a_block():
    receiver = Receiver(HALF)

    assert receiver.feed(np.array([0.0]), np.array([0.0])).size == 0
    assert receiver.feed(np.array([1.0]), np.array([1.0])).tolist() == [0.6]
