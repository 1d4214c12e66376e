"""A recording in, its traffic out: which channel is which, gaps, and what is no bus at all."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.captures.decoding.activity import from_edges
from diagnostics.captures.decoding.can import decode_can
from diagnostics.captures.decoding.decode import PROTOCOLS, decode
from diagnostics.captures.decoding.frames import HOPELESS_AFTER
from diagnostics.captures.decoding.kline import decode_kline
from diagnostics.captures.decoding.lin import decode_lin
from diagnostics.captures.decoding.vpw import decode_vpw
from diagnostics.captures.samples import Channel, UnreadableCapture, held_in_memory
from tests.diagnostics.captures.decoding.encoding_can import frame_bits, on_the_wire
from tests.diagnostics.captures.decoding.encoding_serial import kline_message, lin_frame
from tests.diagnostics.captures.decoding.encoding_vpw import frame, with_check
from tests.diagnostics.captures.decoding.encoding_wave import idle, joined, volts_of

DT = 2e-7
HIGH, LOW, LINE = Channel("A", "V"), Channel("B", "V"), Channel("bus", "V")
SENT = [(0x100 + place, bytes(range(place % 9))) for place in range(30)]
SEGMENTS = on_the_wire([frame_bits(*each) for each in SENT], 2e-6)


def wire(driven_v, let_go_v, *, segments=SEGMENTS, noise_v=0.02):
    return volts_of(segments, 1 / DT, driven_v=driven_v, let_go_v=let_go_v, noise_v=noise_v, ramp_s=2e-7)[1]


def recorded(*rows, channels=(LINE,), dt=DT, **more):
    return held_in_memory(channels, np.stack(rows), dt=dt, **more)


def payloads(found):
    return [(each.identifier, each.bytes) for each in found.frames if each.valid]


@pytest.mark.parametrize("swapped", [False, True])
def test_both_wires_of_a_pair_are_read_as_their_difference_whichever_way_they_are_clipped(swapped):
    rows = [wire(3.5, 2.5), wire(1.5, 2.5)]
    found = decode(recorded(*(rows[::-1] if swapped else rows), channels=(HIGH, LOW)), "CAN")

    assert payloads(found) == SENT
    assert found.notes == (f"{'B less A' if swapped else 'A less B'} taken for the difference of the pair",)


@pytest.mark.parametrize(
    ("driven_v", "let_go_v", "taken_for"),
    [
        # Levels of data sheet SLLSF80B; a receiver's output of 3.3 V and 5 V.
        (3.5, 2.5, "the high wire"),
        (1.5, 2.5, "the low wire"),
        (2.0, 0.0, "the difference of the pair"),
        (-2.0, 0.0, "the difference, low less high"),
        (0.0, 3.3, "a logic line"),
        (0.0, 5.0, "a logic line"),
    ],
)
def test_one_channel_is_recognised_by_its_levels(driven_v, let_go_v, taken_for):
    found = decode(recorded(wire(driven_v, let_go_v)), "CAN")

    assert payloads(found) == SENT
    assert found.notes == (f"bus taken for {taken_for}",)


def test_noise_that_both_wires_share_is_taken_away_by_the_difference():
    shared = 0.8 * np.sin(np.arange(wire(0, 0).size) / 50)

    assert (
        payloads(
            decode(recorded(wire(3.5, 2.5) + shared, wire(1.5, 2.5) + shared, channels=(HIGH, LOW)), "CAN")
        )
        == SENT
    )


@pytest.mark.parametrize("driven", [0.0, 1.0])
def test_a_logic_line_is_read_either_way_round(driven):
    levels = wire(driven, 1 - driven, noise_v=0).round()

    found = decode(recorded(levels, channels=(Channel("rx", kind="logic"),)), "CAN")

    assert payloads(found) == SENT


def test_millivolts_are_volts_all_the_same():
    found = decode(recorded(1000 * wire(2.0, 0.0), channels=(Channel("bus", "mV"),)), "CAN")

    assert payloads(found) == SENT


def test_a_recording_that_comes_in_small_chunks_is_the_same():
    assert payloads(decode(recorded(wire(2.0, 0.0), chunk=97), "CAN")) == SENT


def test_the_other_buses_are_read_from_volts_too():
    message = with_check(b"\x68\x6a\xf1\x01")
    cases = {
        "VPW": (joined(idle(1e-3), frame(message), idle(1e-3)), 7.0, 0.0, message),
        "LIN": (
            joined(idle(1e-3), lin_frame(0x10, b"\x01\x02", 1 / 19_200), idle(3e-3)),
            0.9,
            12.4,
            b"\x01\x02",
        ),
        "K line": (
            joined(idle(0.05), kline_message([0xC1, 0x33, 0xF1, 0x81], 1 / 10_400), idle(0.05)),
            0.9,
            12.4,
            bytes.fromhex("C133F18166"),
        ),
    }
    for protocol, (segments, driven_v, let_go_v, data) in cases.items():
        volts = volts_of(segments, 2e5, driven_v=driven_v, let_go_v=let_go_v, noise_v=0.05)[1]

        found = decode(recorded(volts, dt=5e-6), protocol)

        assert [each.bytes for each in found.frames] == [data], protocol
        assert found.sound == 1, protocol


def test_levels_that_a_receiver_does_not_see_are_named():
    volts = volts_of(
        joined(idle(1e-3), frame(with_check(b"abc")), idle(1e-3)), 2e5, driven_v=3.9, let_go_v=0.1
    )[1]

    found = decode(recorded(volts, dt=5e-6), "VPW")

    assert found.words == "No VPW frame was found."
    assert "The level stays between 0.1 and 3.9 V and never passes both 3.5 and 4.25 V" in found.notes


def test_frames_in_which_samples_are_missing_are_no_faults_of_the_bus():
    volts = wire(2.0, 0.0)
    volts[2000:2600] = np.nan

    found = decode(recorded(volts), "CAN")

    assert found.sound >= 25
    assert not found.errors
    assert found.cut >= 1
    assert any(note.startswith("Gaps in the recording: 1") for note in found.notes)


def test_samples_that_were_lost_unseen_damage_frames_and_that_is_counted():
    random = np.random.default_rng(0)
    volts = wire(2.0, 0.0)
    for place in random.integers(0, volts.size - 200, 5):
        volts = np.delete(volts, slice(place, place + 100))  # Ten bits.

    found = decode(recorded(volts), "CAN")

    assert found.sound >= 20
    assert found.sound + found.faulty >= 24
    assert set(payloads(found)) <= set(SENT)


def nothing(size):
    return {
        "empty": np.zeros(0),
        "one sample": np.zeros(1),
        "at zero": np.zeros(size),
        "at battery": np.full(size, 12.4),
        "missing": np.full(size, np.nan),
        "noise": np.random.default_rng(0).normal(2, 2, size),
        "huge": np.random.default_rng(0).normal(0, 1e300, size),
        "step": np.repeat([0.0, 12.0], size // 2),
        "sine": 6 + 6 * np.sin(np.arange(size) / 7),
    }


@pytest.mark.parametrize("kind", nothing(10))
@pytest.mark.parametrize("protocol", PROTOCOLS)
def test_what_is_no_traffic_is_not_taken_for_any(kind, protocol):
    found = decode(recorded(nothing(20_000)[kind]), protocol)

    assert found.sound == 0
    assert found.bit_rate is None
    assert "no sound" in found.words or found.words == f"No {protocol} frame was found."
    assert 0 <= found.busy_share <= 1


@pytest.mark.parametrize("decoder", [decode_can, decode_vpw, decode_lin, decode_kline])
@pytest.mark.parametrize("mean_s", [1e-5, 1e-3])
def test_a_million_random_edges_come_to_an_end_with_hardly_a_frame(decoder, mean_s):
    edges = np.cumsum(np.random.default_rng(0).exponential(mean_s, 1_000_000))

    found = decoder(from_edges([edges], active=False))

    # A check byte fits by chance once in 256, a CRC of 15 bits once in 32,768.
    assert found.sound <= 5
    assert found.faulty <= max(HOPELESS_AFTER, 500_000 * bool(found.sound))


@pytest.mark.parametrize("decoder", [decode_can, decode_vpw, decode_lin, decode_kline])
@given(
    widths=st.lists(
        st.one_of(st.sampled_from([2e-6, 64e-6, 128e-6, 200e-6, 1 / 10_400, 0.025, 0.2]), st.floats(0, 0.3)),
        max_size=120,
    ),
    active=st.booleans(),
    after_s=st.floats(0, 0.5),
)
@settings(deadline=None, max_examples=150)
def test_whatever_the_edges_the_frames_lie_in_order_and_within(decoder, widths, active, after_s):
    edges = np.cumsum(widths)
    end_s = (float(edges[-1]) if edges.size else 0.0) + after_s

    found = decoder(from_edges([edges], active=active, start_s=0.0, end_s=end_s))

    assert found.sound + found.faulty + found.cut + len(wakings_of(found)) == len(found.frames)
    assert all(0 <= each.start_s <= each.end_s <= end_s + 1e-9 for each in found.frames)
    starts = [each.start_s for each in found.frames]
    assert starts == sorted(starts)
    assert 0 <= found.busy_share <= 1


def wakings_of(found):
    return [each for each in found.frames if each.kind == "init"]


def test_traffic_behind_a_long_stretch_of_noise_is_found():
    random = np.random.default_rng(1)
    noise = np.cumsum(random.exponential(1e-6, 40_000))
    traffic = from_can(noise[-1] + 1e-4)

    found = decode_can(from_edges([noise, traffic], active=False, start_s=0.0, end_s=traffic[-1] + 1e-3))

    assert found.sound == 400


def from_can(start_s):
    now, edges, level = start_s, [], False
    for driven, seconds in on_the_wire([frame_bits(0x123, b"\x5a" * 8)] * 400, 2e-6):
        if driven != level:
            edges.append(now)
            level = driven
        now += seconds
    return np.asarray(edges)


@pytest.mark.parametrize(
    ("channels", "protocol", "asked", "words"),
    [
        ((LINE,), "morse", (), "'morse' is not decoded"),
        ((HIGH, LOW), "LIN", (), "Say which channel is the LIN bus"),
        ((HIGH, LOW, LINE), "CAN", (), "Say which channel is the CAN bus"),
        ((HIGH, LOW), "CAN", ("C",), "There is no channel 'C'"),
        ((Channel("clamp", "A"),), "CAN", (), "'clamp' is in A, which is no voltage"),
        (
            (Channel("a", kind="logic"), Channel("b", kind="logic")),
            "CAN",
            (),
            "Two logic channels make no pair",
        ),
    ],
)
def test_what_cannot_be_decoded_is_refused_with_what_is_allowed(channels, protocol, asked, words):
    rows = [np.zeros(100)] * len(channels)

    with pytest.raises(UnreadableCapture, match=words) as refusal:
        decode(recorded(*rows, channels=channels), protocol, channels=asked)

    assert refusal.value.allowed


def test_one_channel_of_many_can_be_chosen():
    rows = [np.zeros(wire(2, 0).size), wire(2.0, 0.0), np.ones(wire(2, 0).size)]

    found = decode(recorded(*rows, channels=(HIGH, LINE, LOW)), "CAN", channels=("bus",))

    assert payloads(found) == SENT


def test_the_supply_can_be_said_where_the_line_does_not_show_it():
    segments = joined(idle(1e-3), lin_frame(0x10, b"\x01\x02", 1 / 19_200), idle(3e-3))
    volts = volts_of(segments, 4e5, driven_v=0.9, let_go_v=12.4)[1]

    assert decode(recorded(volts, dt=2.5e-6), "LIN", supply_v=12.6).sound == 1
    assert decode(recorded(volts, dt=2.5e-6), "LIN", supply_v=24.0).sound == 0
