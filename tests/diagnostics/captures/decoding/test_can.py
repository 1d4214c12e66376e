"""Frames that went onto the wire against those that come back: clean, noisy, drifting, damaged."""

from itertools import pairwise, product

import cantools
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.captures.decoding.activity import Thresholds, from_edges, from_volts
from diagnostics.captures.decoding.can import USUAL_BIT_RATES, decode_can
from tests.diagnostics.captures.decoding.encoding_can import broken_by_error_flag, frame_bits, on_the_wire
from tests.diagnostics.captures.decoding.encoding_wave import edges_of, in_blocks, volts_of

BIT_S = 2e-6
RECEIVER = Thresholds(0.5, 0.9)


def activity_of(segments, **drift):
    edges, driven, end = edges_of(segments, **drift)
    return from_edges([edges], active=driven, start_s=0.0, end_s=end)


def decoded(frames, bit_s=BIT_S, **drift):
    return decode_can(activity_of(on_the_wire(frames, bit_s), **drift))


def some_frames(count, seed=0):
    """Identifier, data, extended, remote of frames of every length, some with long rows of equal bits."""
    random = np.random.default_rng(seed)
    frames = []
    for place in range(count):
        extended, remote = place % 3 == 0, place % 10 == 9
        data = b"" if remote else (bytes([255 * (place % 2)]) if place % 4 == 0 else b"\x5a") * (place % 9)
        frames.append((int(random.integers(1 << (29 if extended else 11))), data, extended, remote))
    return frames


def bits_of(frames):
    return [frame_bits(each[0], each[1], extended=each[2], remote=each[3]) for each in frames]


def what_came(found):
    return [(each.identifier, each.bytes, each.extended, each.kind == "remote") for each in found.frames]


@pytest.mark.parametrize(
    ("bit_rate", "samples_per_bit", "noise_v"),
    list(product((33_333, 83_333, 125e3, 250e3, 500e3, 1e6, 62_500), (5, 10, 40), (0.0, 0.1, 0.2))),
)
def test_frames_come_back_from_noisy_samples(bit_rate, samples_per_bit, noise_v):
    sent = some_frames(40)
    times, volts = volts_of(
        on_the_wire(bits_of(sent), 1 / bit_rate),
        samples_per_bit * bit_rate,
        driven_v=2.0,
        let_go_v=0.0,
        noise_v=noise_v,
        ramp_s=0.1 / bit_rate,
        jitter_s=0.02 / bit_rate,
        clock=1.004,
    )

    found = decode_can(from_volts(in_blocks(times, volts), RECEIVER))

    assert what_came(found) == sent
    assert found.sound == 40
    assert not found.errors
    assert found.bit_rate == pytest.approx(bit_rate / 1.004, rel=0.003)


# CAN 2.0 lets a clock be off by 1.58 %; both ends of it, and more than that of a recorder's own.
@pytest.mark.parametrize(("clock", "jitter_bits"), list(product((0.97, 0.9842, 1.0158, 1.03), (0.0, 0.05))))
def test_frames_come_back_from_a_clock_that_is_off(clock, jitter_bits):
    sent = some_frames(60, seed=1)

    found = decoded(bits_of(sent), clock=clock, jitter_s=jitter_bits * BIT_S)

    assert what_came(found) == sent


def test_two_nodes_with_clocks_apart_are_both_read():
    sent = some_frames(40, seed=2)
    segments = [(False, 20 * BIT_S)]
    for place, bits in enumerate(bits_of(sent)):
        own = BIT_S * (1.01 if place % 2 else 0.99)
        segments += [(bit == 0, own) for bit in bits] + [(False, 3 * own)]

    assert what_came(decode_can(activity_of([*segments, (False, 20 * BIT_S)]))) == sent


@given(
    st.lists(
        st.tuples(st.integers(0, 0x1FFFFFFF), st.binary(max_size=8), st.booleans()), min_size=1, max_size=12
    )
)
@settings(deadline=None)
def test_any_frames_come_back(frames):
    sent = [(ident if extended else ident & 0x7FF, data, extended, False) for ident, data, extended in frames]

    assert what_came(decode_can(activity_of(on_the_wire(bits_of(sent), BIT_S)), bit_rate=500e3)) == sent


@pytest.mark.parametrize("dlc", range(9, 16))
def test_a_length_code_above_eight_means_eight_bytes(dlc):
    found = decoded([frame_bits(0x7DF, bytes(range(8)), dlc=dlc)] * 3)

    assert [frame.bytes for frame in found.frames] == [bytes(range(8))] * 3
    assert found.sound == 3


def test_data_of_a_database_comes_back_in_its_units():
    # cantools as an independent encoder and decoder of the data bytes.
    database = cantools.database.load_string(
        'VERSION ""\nBU_: A\nBO_ 291 Engine: 8 A\n'
        ' SG_ Speed : 7|16@0+ (0.25,0) [0|16383] "rpm" A\n SG_ Coolant : 16|8@1+ (1,-40) [-40|215] "degC" A\n'
    )
    message = database.get_message_by_name("Engine")
    sent = [{"Speed": 812.25 + step, "Coolant": 80 + step} for step in range(20)]

    found = decoded([frame_bits(message.frame_id, message.encode(each)) for each in sent])

    assert [database.decode_message(frame.identifier, frame.bytes) for frame in found.frames] == sent


DAMAGE = {
    "crc": lambda random: frame_bits(0x55, random.bytes(4), wrong_crc=1 << int(random.integers(1, 15))),
    "ack": lambda random: frame_bits(0x55, random.bytes(4), ack=False),
    "form": lambda random: [*frame_bits(0x55, random.bytes(4))[:-10], 0, 0, *[1] * 8],  # CRC delimiter.
    "error-frame": lambda random: broken_by_error_flag(
        frame_bits(0x55, b"\x5a" * 4), int(random.integers(20, 60))
    ),
}


@pytest.mark.parametrize("kind", DAMAGE)
def test_every_damaged_frame_is_counted_by_its_kind(kind):
    random = np.random.default_rng(3)
    bits = [each for frame in bits_of(some_frames(100)) for each in (frame, DAMAGE[kind](random))]

    found = decoded(bits)

    assert (found.sound, found.faulty) == (100, 100)
    assert found.errors[kind] == 100
    assert found.offenders[0].faulty == 100
    assert len(found.error_times_s) == 100


def test_a_wrong_crc_that_a_wrong_stuff_bit_hides_in_is_still_a_fault():
    found = decoded([frame_bits(0x55, b"\x5a" * 4, wrong_crc=1)] * 20)

    assert found.faulty == 20


@given(st.integers(1, 90), st.binary(min_size=8, max_size=8))
@settings(deadline=None)
def test_a_flipped_bit_never_goes_unseen(place, data):
    found = decode_can(
        activity_of(on_the_wire([frame_bits(0x123, data), frame_bits(0x123, data, flip=place)], BIT_S)),
        bit_rate=500e3,
    )

    assert found.sound == 1
    # A lost stuff bit between two rows of recessive ones looks like a quiet bus: two attempts then.
    assert found.faulty in (1, 2)
    assert {"crc", "stuff", "form"} & set(found.errors)


def test_a_wrong_bit_in_the_end_of_frame_leaves_the_next_frame_readable():
    bad = [*frame_bits(0x55, b"\x12\x34")[:-4], 0, 1, 1, 1]

    found = decoded([frame_bits(0x56, b"\x01"), bad, frame_bits(0x57, b"\x02")] * 10)

    assert (found.sound, found.errors) == (20, {"form": 10})


def test_an_error_flag_in_the_end_of_frame_is_one_fault_of_form():
    bad = [*frame_bits(0x55, b"\x12\x34")[:-4], *[0] * 6, *[1] * 8]

    found = decoded([frame_bits(0x56, b"\x01"), bad] * 10)

    assert (found.sound, found.errors) == (10, {"error-frame": 10, "form": 10})


def test_frames_without_the_pause_between_them_are_all_counted():
    sent = some_frames(30)

    found = decode_can(activity_of(on_the_wire(bits_of(sent), BIT_S, gap_bits=0)))

    assert what_came(found) == sent


def test_short_spikes_do_not_disturb_a_receiver_that_reads_once_a_bit():
    sent = some_frames(50)
    clean = activity_of(on_the_wire(bits_of(sent), BIT_S))
    spikes = np.random.default_rng(4).uniform(0, clean.end_s, 200)
    edges = np.sort(np.concatenate((clean.edges_s, spikes, spikes + 0.02 * BIT_S)))

    found = decode_can(from_edges([edges], active=False, start_s=0.0, end_s=clean.end_s))

    assert found.sound >= 45
    assert found.sound + found.faulty == pytest.approx(50, abs=5)


def test_a_single_dominant_pulse_is_noise_and_no_frame():
    segments = on_the_wire(bits_of(some_frames(5)), BIT_S)
    found = decode_can(activity_of([*segments, (True, 2 * BIT_S), (False, 40 * BIT_S)]))

    assert found.sound == 5
    assert found.errors == {"noise": 1}


def test_an_overload_frame_is_noted_and_no_fault():
    overload = [0] * 6 + [1] * 8
    found = decode_can(activity_of(on_the_wire([frame_bits(0x10, b"\x01") + overload] * 4, BIT_S)))

    assert found.sound == 4
    assert found.frames[0].note == "overload frame follows"


def test_frames_cut_by_the_recording_are_no_faults():
    whole = activity_of(on_the_wire(bits_of(some_frames(20)), BIT_S))
    inside = whole.edges_s[31:-20]
    found = decode_can(
        from_edges([inside], active=True, start_s=float(inside[0]) - 1e-7, end_s=float(inside[-1]) + 1e-7)
    )

    assert found.sound >= 16
    assert not found.errors


def test_busy_share_and_times_are_those_of_the_wire():
    bits = frame_bits(0x123, b"\x00" * 8)
    segments = [(False, 1e-3), *on_the_wire([bits], BIT_S, lead_bits=0, gap_bits=0), (False, 1e-3)]

    found = decode_can(activity_of(segments), bit_rate=500e3)

    frame = found.frames[0]
    assert frame.start_s == pytest.approx(1e-3, abs=1e-9)
    assert frame.end_s - frame.start_s == pytest.approx(len(bits) * BIT_S, rel=0.01)
    assert found.busy_share == pytest.approx(len(bits) * BIT_S / (2e-3 + len(bits) * BIT_S), rel=0.01)


def test_the_words_say_how_the_traffic_is():
    good, bad = frame_bits(0x123, b"\x5a"), frame_bits(0x123, b"\x5a", ack=False)

    assert decoded([good] * 3).words == "3 sound CAN frames at 500 kbit/s, none faulty."
    assert decoded([good] * 3 + [bad]).words.endswith("1 faulty (1 not acknowledged).")
    assert decoded([bad] * 3).words.startswith("Activity, but no sound CAN frame")


def test_the_usual_rates_lie_far_enough_apart_to_be_told():
    rates = sorted(USUAL_BIT_RATES)

    assert all(upper / lower > 1.04 for lower, upper in pairwise(rates))
