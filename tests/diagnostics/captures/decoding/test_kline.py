"""K line messages that went onto the wire against those that come back."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.captures.decoding.activity import Thresholds, from_edges, from_volts
from diagnostics.captures.decoding.kline import decode_kline
from tests.diagnostics.captures.decoding.encoding_serial import (
    character,
    fast_waking,
    kline_message,
    slow_waking,
)
from tests.diagnostics.captures.decoding.encoding_wave import edges_of, idle, in_blocks, joined, volts_of

BIT_S = 1 / 10_400


def activity_of(segments, **drift):
    edges, driven, end = edges_of(segments, **drift)
    return from_edges([edges], active=driven, start_s=0.0, end_s=end)


def some_messages(count, seed=0):
    """Payloads with every header of ISO 14230-2 and that of ISO 9141-2, without the check byte."""
    random = np.random.default_rng(seed)
    heads = (
        lambda n: [0x80 | n, 0x10, 0xF1],
        lambda n: [0xC0 | n, 0x33, 0xF1],
        lambda n: [0x80, 0x10, 0xF1, n],
        lambda n: [n],
        lambda n: [0x00, n],
        lambda n: [0x48, 0x6B, 0x10],
    )
    return [[*heads[place % 6](1 + place % 7), *random.bytes(1 + place % 7)] for place in range(count)]


def messages_of(found):
    return [list(each.bytes[:-1]) for each in found.frames if each.valid and each.kind == "data"]


def key_bytes(bit_s):
    answers = [(0x55, 0.01), (0x08, 0.01), (0x08, 0.03), (0xF7, 0.03), (0xCC, 0.06)]
    return joined(*([*character(value, bit_s), (False, pause)] for value, pause in answers))


@pytest.mark.parametrize(
    ("bit_rate", "samples_per_bit", "noise_v", "clock"),
    list(product((10_400, 9600, 4800), (5, 40), (0.0, 0.5), (0.98, 1.02))),
)
def test_wakings_and_messages_come_back_from_noisy_samples(bit_rate, samples_per_bit, noise_v, clock):
    sent, bit_s = some_messages(24), 1 / bit_rate
    wire = [kline_message(each, bit_s, gap_s=0.001 * (place % 8)) for place, each in enumerate(sent)]
    segments = joined(
        idle(0.4), slow_waking(0x33), key_bytes(bit_s), *wire, idle(0.4), fast_waking(), *wire, idle(0.1)
    )
    times, volts = volts_of(
        segments,
        samples_per_bit * bit_rate,
        driven_v=0.8,
        let_go_v=12.4,
        noise_v=noise_v,
        ramp_s=0.1 * bit_s,
        jitter_s=0.01 * bit_s,
        clock=clock,
    )

    found = decode_kline(from_volts(in_blocks(times, volts), Thresholds(3.72, 8.68), active_high=False))

    assert messages_of(found) == sent + sent
    assert (found.sound, found.faulty) == (48, 0)
    assert found.bit_rate == pytest.approx(bit_rate / clock, rel=0.005)
    assert [each.note for each in found.frames if each.kind == "init"] == [
        "slow waking with 5 bit/s, address 33",
        "key bytes",
        "key bytes",
        "key bytes",
        "fast waking: 25 ms low, 25 ms high",
    ]


@given(st.lists(st.binary(min_size=1, max_size=40), min_size=1, max_size=6))
@settings(deadline=None)
def test_any_payload_with_a_header_comes_back(payloads):
    sent = [[0x80 | len(each), 0x10, 0xF1, *each] for each in payloads]
    segments = joined(idle(0.1), *(kline_message(each, BIT_S) for each in sent), idle(0.1))

    assert messages_of(decode_kline(activity_of(segments), bit_rate=10_400)) == sent


def test_messages_without_a_pause_between_them_are_told_apart_by_their_length():
    sent = some_messages(5)
    segments = joined(
        idle(0.1), *(kline_message(each, BIT_S, gap_s=0, after_s=0) for each in sent), idle(0.1)
    )

    assert messages_of(decode_kline(activity_of(segments))) == sent


def test_the_published_start_of_communication_comes_back():
    # ISO 14230-2 start-communication request with its check byte 66, from memory.
    segments = joined(idle(0.3), fast_waking(), kline_message([0xC1, 0x33, 0xF1, 0x81], BIT_S))

    found = decode_kline(activity_of(segments))

    assert found.frames[-1].bytes == bytes.fromhex("C133F18166")
    assert found.frames[-1].name == "F1"


@pytest.mark.parametrize(
    ("kind", "damaged"),
    [
        ("checksum", kline_message([0x82, 0x10, 0xF1, 1, 2], BIT_S, wrong=7)),
        ("checksum", kline_message([0x68, 0x6A, 0xF1, 1, 0], BIT_S, wrong=7)),
        ("framing", kline_message([0x82, 0x10, 0xF1, 1, 2], BIT_S, without_stop=4)),
        ("length", kline_message([0x84, 0x10, 0xF1, 1, 2], BIT_S)),
        ("length", kline_message([0x68, 0x6A], BIT_S)),
    ],
)
def test_every_damaged_message_is_counted_by_its_kind(kind, damaged):
    sent = some_messages(30)
    wire = [each for message in sent for each in (kline_message(message, BIT_S), damaged)]

    found = decode_kline(activity_of(joined(idle(0.1), *wire, idle(0.1))))

    assert found.sound == 30
    assert found.faulty == 30
    assert found.errors[kind] == 30
