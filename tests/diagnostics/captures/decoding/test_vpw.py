"""VPW frames that went onto the wire against those that come back."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.captures.decoding.activity import Thresholds, from_edges, from_volts
from diagnostics.captures.decoding.vpw import decode_vpw
from tests.diagnostics.captures.decoding.encoding_vpw import frame, with_check
from tests.diagnostics.captures.decoding.encoding_wave import edges_of, idle, in_blocks, joined, volts_of

RECEIVER = Thresholds(3.5, 4.25)


def activity_of(segments, **drift):
    edges, driven, end = edges_of(segments, **drift)
    return from_edges([edges], active=driven, start_s=0.0, end_s=end)


def some_messages(count, seed=0):
    random = np.random.default_rng(seed)
    return [with_check(random.bytes(3 + place % 9)) for place in range(count)]


def on_the_wire(*frames):
    return joined(idle(1e-3), *frames, idle(1e-3))


@pytest.mark.parametrize(
    ("speed", "samples_per_short", "noise_v", "clock"),
    list(product((1, 4), (6, 30), (0.0, 0.2, 0.4), (0.93, 1.0, 1.07))),
)
def test_frames_come_back_from_noisy_samples(speed, samples_per_short, noise_v, clock):
    sent = some_messages(40)
    answers = [b"\x55" if place % 5 == 0 else None for place in range(40)]
    segments = on_the_wire(*(frame(m, answer=a, speed=speed) for m, a in zip(sent, answers, strict=True)))
    times, volts = volts_of(
        segments,
        samples_per_short * speed / 64e-6,
        driven_v=7.0,
        let_go_v=0.1,
        noise_v=noise_v,
        ramp_s=14e-6 / speed,
        jitter_s=2e-6 / speed,
        clock=clock,
    )

    found = decode_vpw(from_volts(in_blocks(times, volts), RECEIVER))

    assert [each.bytes for each in found.frames] == sent
    assert (found.sound, found.faulty) == (40, 0)
    # 10.4 kbit/s: AU5783 data sheet.
    assert found.bit_rate == pytest.approx(10_400 * speed / clock, rel=0.02)


def test_an_answer_within_the_frame_is_noted():
    found = decode_vpw(activity_of(on_the_wire(frame(with_check(b"\x88\x10\xf1"), answer=b"\x5a"))))

    assert found.sound == 1
    assert found.frames[0].note == "answered within the frame: 5A"


@given(st.lists(st.binary(min_size=1, max_size=11), min_size=1, max_size=8))
@settings(deadline=None)
def test_any_messages_come_back(payloads):
    sent = [with_check(payload) for payload in payloads]

    found = decode_vpw(activity_of(on_the_wire(*map(frame, sent))), speed=1)

    assert [each.bytes for each in found.frames if each.valid] == sent


def test_the_sender_is_the_third_byte_of_the_header():
    assert decode_vpw(activity_of(on_the_wire(frame(with_check(b"\x48\x6b\x10\x41"))))).frames[0].name == "10"


def flipped(random):
    message = bytearray(with_check(random.bytes(7)))
    message[int(random.integers(8))] ^= 1 << int(random.integers(8))
    return frame(bytes(message))


def spiked(random):
    whole = frame(with_check(random.bytes(7)))
    place = int(random.integers(2, len(whole) - 1))
    driven, seconds = whole[place]
    part = (seconds - 20e-6) / 2
    return [*whole[:place], (driven, part), (not driven, 20e-6), (driven, part), *whole[place + 1 :]]


def too_long(random):
    return frame(with_check(random.bytes(12)))


def half_a_byte(random):
    whole = frame(with_check(random.bytes(4)))
    return [*whole[:-5], whole[-1]]


def broken(random):
    return [*frame(with_check(random.bytes(7)))[:21], (True, 300e-6), (False, 300e-6)]


@pytest.mark.parametrize(
    ("kind", "damaged"),
    [("crc", flipped), ("symbol", spiked), ("length", too_long), ("length", half_a_byte), ("break", broken)],
)
def test_every_damaged_frame_is_counted_by_its_kind(kind, damaged):
    random = np.random.default_rng(1)
    frames = [each for message in some_messages(50) for each in (frame(message), damaged(random))]

    found = decode_vpw(activity_of(on_the_wire(*frames)))

    assert found.sound == 50
    assert found.errors[kind] == 50


def test_a_break_between_frames_is_counted():
    pause = [(True, 300e-6), (False, 400e-6)]
    found = decode_vpw(activity_of(on_the_wire(frame(with_check(b"abc")), pause, frame(with_check(b"def")))))

    assert found.sound == 2
    assert found.errors == {"break": 1}


def test_frames_cut_by_the_recording_are_no_faults():
    whole = activity_of(on_the_wire(*map(frame, some_messages(6))))
    inside = whole.edges_s[11:-9]

    found = decode_vpw(
        from_edges([inside], active=True, start_s=float(inside[0]) - 5e-5, end_s=float(inside[-1]) + 5e-5)
    )

    assert found.sound == 4
    assert not found.errors
    assert found.cut >= 1
