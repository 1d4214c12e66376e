"""Frames out of a long recording of a busy two-wire bus, beside a plain comparison of all its samples."""

import numpy as np

from diagnostics.captures.decoding.decode import decode
from diagnostics.captures.samples import Channel, Chunk, Recording
from tests.bench.timing import Comparison, in_turns
from tests.diagnostics.captures.decoding.encoding_can import frame_bits, on_the_wire
from tests.diagnostics.captures.decoding.encoding_wave import volts_of

SAMPLE_S = 1e-7  # Twenty samples a bit at 500 kbit/s.
FRAMES_A_STRETCH = 400
STRETCHES = 6  # Some six million samples of each wire.


def measure(shop, repeats):
    recording, frames, samples = busy_pair(STRETCHES)

    def decoded():
        assert decode(recording, "CAN").sound == frames

    def compared():
        return sum(int((chunk.values[0] - chunk.values[1] >= 0.9).sum()) for chunk in recording.chunks())

    first, yardstick = in_turns(repeats, decoded, compared)
    note = f"{frames:,} frames in {samples:,} samples of two wires"
    return [Comparison("frames of a busy bus", first, "bare comparison", yardstick, samples, note)]


def busy_pair(stretches):
    """Return a recording of both wires, how many frames it has, and how many samples of each wire."""
    random = np.random.default_rng(0)
    bits = [frame_bits(int(random.integers(2048)), random.bytes(8)) for _ in range(FRAMES_A_STRETCH)]
    _, difference = volts_of(on_the_wire(bits, 2e-6), 1 / SAMPLE_S, driven_v=2.0, let_go_v=0.0, noise_v=0.1)
    values = np.stack([2.5 + difference / 2, 2.5 - difference / 2])
    size = difference.size

    def chunks():
        for place in range(stretches):
            yield Chunk((np.arange(size) + place * size) * SAMPLE_S, values)

    wires = (Channel("high", "V"), Channel("low", "V"))
    return Recording(wires, SAMPLE_S, 0.0, None, chunks), stretches * FRAMES_A_STRETCH, stretches * size
