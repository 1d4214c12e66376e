import numpy as np
import pytest

from diagnostics.captures.compare import GRID, compare, sample_at
from diagnostics.captures.recording import UnreadableCapture, held_in_memory
from tests.diagnostics.captures import synthetic
from tests.diagnostics.captures.synthetic import sampled


def test_a_recording_is_like_itself():
    recording = sampled(synthetic.duty_cycle(), 200_000, noise_v=0.02)

    found = compare(recording, recording)

    assert found.shift == 0
    assert found.rms_difference == 0
    assert found.words == ("No measure changed by more than it is found to.",)


def test_before_and_after_a_repair():
    before = sampled(synthetic.vpw(np.random.default_rng(3), 0.1, 4.0), 500_000)
    after = sampled(synthetic.vpw(np.random.default_rng(3), 0.1, 7.0), 500_000)

    found = compare(before, after, battery_v=12.6, bus="vpw")

    assert "high level: 4 V, then 7 V" in found.words
    assert found.words[0].startswith("state: Active, but its tops stay below")
    assert not any(line.startswith("low level") for line in found.words)


@pytest.mark.parametrize("align", ["edge", "correlation"])
def test_the_same_signal_later_is_laid_over_itself(align):
    early = sampled(synthetic.drop_outs((0.011, 0.0234), (4e-4, 1.7e-3)), 200_000)
    late = sampled(synthetic.drop_outs((0.016, 0.0284), (4e-4, 1.7e-3), seconds=0.055), 200_000)

    found = compare(early, late, align=align)

    assert found.shift == pytest.approx(-0.005, abs=0.055 / GRID)
    assert found.rms_difference < 0.5


def test_edges_that_became_slower_are_seen():
    fast = sampled(synthetic.duty_cycle(edge_s=20e-6), 1_000_000)
    slow = sampled(synthetic.duty_cycle(edge_s=80e-6), 1_000_000)

    found = compare(fast, slow)

    changed = {each.what for each in found.differences if each.changed}
    # A slower edge takes area from the pulse: its RMS falls too, its levels and timing do not.
    assert changed == {"rise time", "fall time", "ripple, RMS"}
    rise = next(each for each in found.differences if each.what == "rise time")
    assert (rise.first, rise.second) == pytest.approx((16e-6, 64e-6), rel=0.02)


def test_two_resting_lines_are_aligned_by_their_start():
    found = compare(sampled(synthetic.steady(5.0), 10_000), sampled(synthetic.steady(4.2), 10_000))

    assert found.align == "start"
    assert "mean: 5 V, then 4.2 V" in found.words


def test_a_channel_is_sampled_on_straight_lines_across_chunks_and_not_outside():
    recording = held_in_memory([synthetic.Channel("A", "V")], np.arange(10.0), dt=1.0, chunk=3)

    found = sample_at(recording, 0, np.array([-1.0, 0.0, 2.5, 5.25, 9.0, 9.5]))

    np.testing.assert_allclose(found, [np.nan, 0, 2.5, 5.25, 9, np.nan])


@pytest.mark.parametrize(
    ("about", "said"),
    [
        ({"align": "edge"}, "has no edge"),
        ({"align": "luck"}, "'luck' is not known"),
        ({"channels": (0, 3)}, "no channel 4"),
    ],
)
def test_what_cannot_be_compared_is_refused(about, said):
    with pytest.raises(UnreadableCapture, match=said):
        compare(sampled(synthetic.steady(5.0), 10_000), sampled(synthetic.steady(4.2), 10_000), **about)


def test_two_units_are_not_compared():
    with pytest.raises(UnreadableCapture, match="One is in 'V', the other in 'A'"):
        compare(sampled(synthetic.steady(5.0), 10_000), sampled(synthetic.steady(4.2), 10_000, unit="A"))
