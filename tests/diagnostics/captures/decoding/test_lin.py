"""LIN frames that went onto the wire against those that come back."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.captures.decoding.activity import Thresholds, from_edges, from_volts
from diagnostics.captures.decoding.lin import decode_lin
from tests.diagnostics.captures.decoding.encoding_serial import lin_frame, lin_header, lin_identifier
from tests.diagnostics.captures.decoding.encoding_wave import edges_of, idle, in_blocks, joined, volts_of

BIT_S = 1 / 19_200


def activity_of(segments, **drift):
    edges, driven, end = edges_of(segments, **drift)
    return from_edges([edges], active=driven, start_s=0.0, end_s=end)


def some_frames(count, seed=0):
    random = np.random.default_rng(seed)
    return [(place % 64, random.bytes(1 + place % 8)) for place in range(count)]


def on_the_wire(*frames, bit_s=BIT_S):
    return joined(idle(20 * bit_s), *frames, idle(30 * bit_s))


@pytest.mark.parametrize(
    ("bit_rate", "samples_per_bit", "noise_v", "clock"),
    list(product((2400, 9600, 10_417, 19_200, 20_000), (5, 40), (0.0, 0.5), (0.86, 1.0, 1.14))),
)
def test_frames_come_back_from_noisy_samples(bit_rate, samples_per_bit, noise_v, clock):
    # LIN 2.x lets a node without a crystal be 14 % off before it has seen a sync field. From memory.
    sent, bit_s = some_frames(64), 1 / bit_rate
    frames = [
        lin_frame(
            ident,
            data,
            bit_s,
            enhanced=place % 2 == 0,
            gap_bits=place % 3,
            node_clock=0.98 + 0.01 * (place % 5),
        )
        for place, (ident, data) in enumerate(sent)
    ]
    times, volts = volts_of(
        on_the_wire(*frames, bit_s=bit_s),
        samples_per_bit * bit_rate,
        driven_v=0.8,
        let_go_v=12.4,
        noise_v=noise_v,
        ramp_s=0.1 * bit_s,
        jitter_s=0.01 * bit_s,
        clock=clock,
    )

    found = decode_lin(from_volts(in_blocks(times, volts), Thresholds(4.96, 7.44), active_high=False))

    assert [(each.identifier, each.bytes) for each in found.frames] == sent
    assert (found.sound, found.faulty) == (64, 0)
    assert found.bit_rate == pytest.approx(bit_rate / clock, rel=0.03)


@given(
    st.lists(
        st.tuples(st.integers(0, 63), st.binary(min_size=1, max_size=8), st.booleans()),
        min_size=1,
        max_size=8,
    )
)
@settings(deadline=None)
def test_any_frames_come_back(frames):
    wire = [lin_frame(ident, data, BIT_S, enhanced=enhanced) for ident, data, enhanced in frames]

    found = decode_lin(activity_of(on_the_wire(*wire)))

    assert [(each.identifier, each.bytes) for each in found.frames if each.valid] == [f[:2] for f in frames]


def test_the_note_says_which_checksum_fits():
    wire = [
        lin_frame(0x10, b"\x01\x02", BIT_S, enhanced=True),
        lin_frame(0x10, b"\x01\x02", BIT_S, enhanced=False),
        lin_frame(0x3C, b"\x01\x02", BIT_S),
    ]

    notes = [frame.note for frame in decode_lin(activity_of(on_the_wire(*wire))).frames]

    assert notes == ["enhanced checksum", "classic checksum", "classic checksum"]


def without_stop(bit_s):
    whole = lin_frame(0x21, b"\x5a\x5a", bit_s)
    # Header: break, delimiter, ten bits each of sync and identifier; then a gap and the first data byte.
    return [*whole[:32], (True, bit_s), *whole[33:]]


@pytest.mark.parametrize(
    ("kind", "damaged"),
    [
        ("checksum", lin_frame(0x21, b"\x01\x02", BIT_S, wrong=0x10)),
        (
            "parity",
            lin_frame(0x21, b"\x01\x02", BIT_S, enhanced=False, protected=lin_identifier(0x21) ^ 0x80),
        ),
        ("response", [*lin_header(lin_identifier(0x21), BIT_S), (False, 60 * BIT_S)]),
        ("baud", [*lin_header(lin_identifier(0x21), BIT_S, sync=0x53), (False, 60 * BIT_S)]),
        ("length", lin_frame(0x21, bytes(9), BIT_S)),
        ("framing", without_stop(BIT_S)),
    ],
)
def test_every_damaged_frame_is_counted_by_its_kind(kind, damaged):
    frames = [each for ident, data in some_frames(50) for each in (lin_frame(ident, data, BIT_S), damaged)]

    found = decode_lin(activity_of(on_the_wire(*frames)))

    assert found.sound == 50
    assert found.faulty == 50
    assert found.errors[kind] == 50


def test_a_frame_cut_by_the_end_of_the_recording_is_no_fault():
    whole = activity_of(on_the_wire(*(lin_frame(7, b"\x01\x02\x03", BIT_S) for _ in range(4))))
    edges = whole.edges_s[:-6]

    found = decode_lin(from_edges([edges], active=False, start_s=0.0, end_s=float(edges[-1]) + 0.2 * BIT_S))

    assert (found.sound, found.faulty, found.cut) == (3, 0, 1)
