"""Sessions as the open description has them, and archives that mean harm."""

import zipfile

import numpy as np
import pytest

from diagnostics.captures import sigrok_files
from diagnostics.captures.recording import UnreadableCapture, open_recording

METADATA = """[global]
sigrok version=0.5.2

[device 1]
capturefile=logic-1
total probes=2
samplerate=1 MHz
total analog=1
probe1=RX
probe9=TX
analog10=Supply
unitsize=2
"""


@pytest.fixture
def session(tmp_path):
    def writing(metadata=METADATA, members=(), version="2", packing=zipfile.ZIP_DEFLATED):
        path = tmp_path / "session.sr"
        with zipfile.ZipFile(path, "w", packing) as archive:
            if version:
                archive.writestr("version", version)
            if metadata:
                archive.writestr("metadata", metadata)
            for name, raw in members:
                archive.writestr(name, raw)
        return path

    return writing


LOGIC = np.array([0x000, 0x001, 0x100, 0x101, 0x001], "<u2")


def test_logic_and_analog_are_read_side_by_side(session):
    volts = np.linspace(0, 5, 4, dtype="<f4")
    members = [("logic-1-1", LOGIC[:2].tobytes()), ("logic-1-2", LOGIC[2:].tobytes())]
    recording = open_recording(session(members=[*members, ("analog-1-10-1", volts.tobytes())]))

    (chunk,) = recording.chunks()

    assert [channel.name for channel in recording.channels] == ["RX", "TX", "Supply"]
    assert recording.dt == 1e-6
    np.testing.assert_array_equal(chunk.values[:2], [[0, 1, 0, 1, 1], [0, 0, 1, 1, 0]])
    np.testing.assert_allclose(chunk.values[2], [*volts, np.nan])


def test_the_tenth_member_comes_after_the_ninth(session):
    members = [(f"logic-1-{n}", np.array([n & 1], "<u2").tobytes()) for n in range(1, 13)]

    (chunk,) = open_recording(session(members=reversed(members))).chunks()

    assert chunk.values[0].tolist() == [1, 0] * 6


def test_members_larger_than_a_chunk_are_read_in_pieces(session, monkeypatch):
    monkeypatch.setattr(sigrok_files, "CHUNK_SAMPLES", 7)
    recording = open_recording(session(members=[("logic-1-1", LOGIC.tobytes() * 4)]))

    values = np.concatenate([chunk.values for chunk in recording.chunks()], axis=1)

    assert values[0].tolist() == [0, 1, 0, 1, 1] * 4


GOOD = [("logic-1-1", LOGIC.tobytes())]


@pytest.mark.parametrize(
    ("about", "said"),
    [
        ({"version": ""}, "no `version`"),
        ({"metadata": ""}, "no `metadata`"),
        ({"metadata": "samplerate=1"}, "cannot be read"),
        ({"metadata": "[global]\nx=1"}, "names no device"),
        ({"metadata": METADATA.replace("1 MHz", "fast")}, "sample rate is 'fast'"),
        ({"metadata": METADATA.replace("unitsize=2", "unitsize=99")}, "sample of 99 bytes"),
        ({"metadata": METADATA.replace("unitsize=2", "unitsize=-2")}, "unitsize is '-2'"),
        ({"metadata": METADATA.replace("probe9", "probe17")}, "more probes than"),
        ({"metadata": "x" * 70_000}, "too long"),
        ({"members": []}, "0 channels"),
        ({"members": [*GOOD, ("../evil", b"x")]}, "would lie outside"),
        ({"members": [*GOOD, ("/etc/x", b"x")]}, "would lie outside"),
        ({"members": [*GOOD, ("C:\\x", b"x")]}, "would lie outside"),
        ({"members": [("logic-1-1", bytes(20_000_000))]}, "times its size"),
        ({"members": [(f"m{n}", b"") for n in range(4100)]}, "4,102 members"),
        ({"members": GOOD, "packing": zipfile.ZIP_LZMA}, "packed in an unusual way"),
    ],
)
def test_a_session_that_is_damaged_or_means_harm_is_refused(session, about, said):
    path = session(**{"members": GOOD, **about})

    with pytest.raises(UnreadableCapture, match=said):
        list(open_recording(path).chunks())


def test_an_archive_that_would_fill_the_disk_is_refused_by_its_size(session, monkeypatch):
    monkeypatch.setattr(sigrok_files, "MOST_UNPACKED", 100)

    with pytest.raises(UnreadableCapture, match="would unpack to"):
        open_recording(session(members=GOOD))


def test_a_member_whose_sum_is_wrong_is_refused(session):
    path = session(members=GOOD, packing=zipfile.ZIP_STORED)
    path.write_bytes(path.read_bytes().replace(LOGIC.tobytes(), LOGIC[::-1].tobytes()))

    with pytest.raises(UnreadableCapture, match="It is damaged"):
        list(open_recording(path).chunks())
