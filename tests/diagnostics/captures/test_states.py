"""What a verdict says: its words, its rule with the numbers, the changes with their times."""

import math

import numpy as np
import pytest

from diagnostics.captures.analyse import analyse
from diagnostics.captures.recording import Channel, UnreadableCapture, held_in_memory
from tests.diagnostics.captures import synthetic
from tests.diagnostics.captures.synthetic import sampled


def verdict(signal, *, battery_v=12.6, bus="none", rate=1_000_000, **about):
    return analyse(sampled(signal, rate, **about), battery_v=battery_v, bus=bus).verdicts[0]


def test_each_drop_out_is_listed_with_its_time():
    found = verdict(synthetic.drop_outs((0.011, 0.0234), (4e-4, 1.7e-3)), noise_v=0.02)

    assert [change.words for change in found.changes] == ["goes low", "goes high"] * 2
    assert [change.start for change in found.changes] == pytest.approx(
        [0.011, 0.0114, 0.0234, 0.0251], abs=2e-6
    )
    assert found.words == "Intermittent: it changes 4 times."


def test_each_lost_pulse_is_listed_with_its_time():
    signal = synthetic.lost_pulses((20, 35))

    found = verdict(signal)

    assert [
        change.start < fault < change.end for change, fault in zip(found.changes, signal.faults, strict=True)
    ]
    assert {change.words for change in found.changes} == {"1 pulse missing"}


def test_the_lost_tooth_is_found_among_the_gaps_that_belong_to_the_wheel():
    signal = synthetic.toothed_wheel(also_lost=(52,))

    found = verdict(signal)

    times = [(change.start, change.end) for change in found.changes]
    assert any(start < signal.faults[0] < end for start, end in times)
    assert verdict(synthetic.toothed_wheel()).state == "active"


def test_a_rest_between_the_levels_is_listed_to_within_a_window():
    signal = synthetic.leaves_levels()

    (change,) = verdict(signal, noise_v=0.02).changes

    assert (change.start, change.end) == pytest.approx(signal.faults, abs=2 * signal.seconds / 256)
    assert change.words.startswith("rests at ")
    assert float(change.words.split()[2]) == pytest.approx(2.4, abs=0.05)  # An edge is in the last window.


def test_the_rule_shows_the_numbers_that_it_compared():
    assert "12.3 V is within 1 V of battery, 12.6 V" in verdict(synthetic.steady(12.3)).rule
    assert "0.1 V is 0.5 V or less" in verdict(synthetic.steady(0.1)).rule


def test_without_the_battery_voltage_nothing_is_called_shorted_to_it():
    found = verdict(synthetic.steady(12.3), battery_v=None)

    assert found.state == "not_judged"
    assert "battery voltage" in found.words


@pytest.mark.parametrize(
    ("volts", "state"),
    [(11.6, "stuck_high"), (11.59, "floating_or_biased"), (0.5, "stuck_low"), (0.51, "floating_or_biased")],
)
def test_the_bounds_of_battery_and_ground(volts, state):
    # 1 V below battery and 0.5 V above ground: common practice, trade-values.md section 3.4.
    assert verdict(synthetic.steady(volts)).state == state


@pytest.mark.parametrize(
    ("high", "state", "words"),
    [
        (4.2, "floating_or_biased", "weak driver"),
        (5.9, "floating_or_biased", "below the band"),
        (6.3, "active", "within the levels of VPW"),
        (7.9, "active", "within the levels of VPW"),
        (8.6, "floating_or_biased", "above the band"),
    ],
)
def test_the_bounds_of_a_vpw_bus(high, state, words):
    # 6.25 to 8.00 V active: public protocol table, trade-values.md section 3.2.
    found = verdict(synthetic.vpw(np.random.default_rng(1), 0.1, high), bus="vpw")

    assert (found.state, words in found.words) == (state, True), found


def test_an_idle_vpw_bus_is_no_proof_of_a_short():
    assert "healthy idle bus, or a short" in verdict(synthetic.steady(0.1), bus="vpw").words


def test_a_channel_in_another_unit_is_not_judged_by_volts():
    assert verdict(synthetic.steady(0.1), unit="A").state == "not_judged"


def test_a_logic_channel_that_rests():
    recording = held_in_memory([Channel("D0", kind="logic")], np.ones(50), dt=1e-3)

    assert analyse(recording).verdicts[0].state == "stuck_high"


def test_a_channel_without_a_sample_is_not_judged():
    recording = held_in_memory([Channel("CH1", "V")], np.full(50, np.nan), dt=1e-3)

    assert analyse(recording).verdicts[0].words == "There is no sample of this channel."


def test_the_wires_of_a_pair_are_told_apart_by_name_or_by_level():
    pair = synthetic.can_pair(np.random.default_rng(2))

    named = analyse(sampled(pair[::-1], 10_000_000, names=["CAN L", "CAN H"]), bus="can")
    unnamed = analyse(sampled(pair[::-1], 10_000_000), bus="can")

    assert named.pair.state == unnamed.pair.state == "active"
    assert named.pair.rule == unnamed.pair.rule


def test_a_pair_that_is_out_of_its_levels_says_which():
    pair = synthetic.can_pair(np.random.default_rng(2), recessive=(0.1, 0.0), dominant=(1.9, 0.0))

    found = analyse(sampled(pair, 10_000_000, names=["CANH", "CANL"]), bus="can").pair

    assert found.words == "CANL is shorted to ground, or open; the other wire still moves."


@pytest.mark.parametrize(
    ("about", "said"), [({"bus": "x"}, "'x' is not known"), ({"battery_v": 0}, "cannot be")]
)
def test_what_cannot_be_judged_by_is_refused(about, said):
    with pytest.raises(UnreadableCapture, match=said):
        analyse(sampled(synthetic.steady(1.0), 10_000), **about)


def test_an_analysis_has_nothing_in_it_that_json_has_not():
    def numbers(value):
        if isinstance(value, dict):
            value = list(value.values())
        if isinstance(value, list):
            return [number for each in value for number in numbers(each)]
        return [value] if isinstance(value, float) else []

    found = analyse(held_in_memory([Channel("CH1", "V")], np.full(9, np.nan), dt=1e-3)).as_dict()

    assert all(math.isfinite(number) for number in numbers(found))
    assert found["channels"][0]["summary"]["mean"] is None
