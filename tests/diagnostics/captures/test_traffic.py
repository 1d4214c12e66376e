"""Frames as part of all there is to say about a recording."""

import json
from io import StringIO

import numpy as np
import pytest
from django.core.management import call_command

from diagnostics.captures.analyse import analyse
from diagnostics.captures.samples import Channel, held_in_memory
from tests.diagnostics.captures.decoding.encoding_can import frame_bits, on_the_wire
from tests.diagnostics.captures.decoding.encoding_serial import lin_frame
from tests.diagnostics.captures.decoding.encoding_wave import idle, joined, volts_of

CAN_FRAMES = on_the_wire([frame_bits(0x123, b"\x5a" * 4)] * 9 + [frame_bits(0x55, b"\x01", ack=False)], 2e-6)
LIN_FRAMES = joined(idle(2e-3), *[lin_frame(0x10, b"\x01\x02", 1 / 19_200)] * 5, idle(5e-3))


def volts(segments, driven_v, let_go_v, rate=5e6):
    return volts_of(segments, rate, driven_v=driven_v, let_go_v=let_go_v, noise_v=0.02, ramp_s=1 / rate)[1]


def recorded(*rows, names=("line",), rate=5e6):
    return held_in_memory([Channel(name, "V") for name in names], np.stack(rows), dt=1 / rate)


def test_the_two_wires_of_a_pair_are_one_line():
    pair = recorded(volts(CAN_FRAMES, 3.5, 2.5), volts(CAN_FRAMES, 1.5, 2.5), names=("CANH", "CANL"))

    (line,) = analyse(pair, bus="can").traffic

    assert line.channels == ("CANH", "CANL")
    assert (line.decoded.sound, dict(line.decoded.errors)) == (9, {"ack": 1})


def test_each_single_line_that_moves_is_decoded():
    moving, still = volts(LIN_FRAMES, 0.8, 12.4, 4e5), volts(LIN_FRAMES, 12.4, 12.4, 4e5)
    three = recorded(moving, still, moving, names=("a", "still", "b"), rate=4e5)

    found = analyse(three, bus="lin", battery_v=12.5).traffic

    assert [(line.channels, line.decoded.sound) for line in found] == [(("a",), 5), (("b",), 5)]


def test_nothing_is_decoded_where_no_bus_is_named():
    assert analyse(recorded(volts(CAN_FRAMES, 3.5, 2.5))).traffic == ()


@pytest.fixture
def exported(tmp_path):
    values = volts(CAN_FRAMES, 2.0, 0.0)
    path = tmp_path / "bus.csv"
    rows = "\n".join(f"{place * 2e-7:.7f},{value:.3f}" for place, value in enumerate(values))
    path.write_text(f"Time (s),Bus (V)\n{rows}\n")
    return path


def test_the_command_says_the_traffic_in_words(exported):
    out = StringIO()

    call_command("capture", str(exported), bus="can", stdout=out)

    assert "Frames on Bus: 9 sound CAN frames at 500 kbit/s, 1 faulty (1 not acknowledged)." in out.getvalue()


def test_the_command_gives_the_traffic_as_json(exported):
    out = StringIO()

    call_command("capture", str(exported), bus="can", json=True, stdout=out)

    (line,) = json.loads(out.getvalue())["traffic"]
    assert line["errors"] == {"ack": 1}
    assert line["offenders"] == [{"name": "55", "faulty": 1, "frames": 1}]
    assert line["bit_rate"] == pytest.approx(500e3, rel=0.002)
