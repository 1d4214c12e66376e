"""WAV against SciPy's own writer and reader, and against the standard library's."""

import struct
import wave

import numpy as np
import pytest
from scipy.io import wavfile

from diagnostics.captures.recording import AsRead, UnreadableCapture, open_recording


def all_of(recording):
    return np.concatenate([chunk.values for chunk in recording.chunks()], axis=1)


@pytest.mark.parametrize("kind", ["uint8", "int16", "int32", "float32", "float64"])
@pytest.mark.parametrize("channels", [1, 2, 4])
def test_samples_are_those_that_scipy_reads(tmp_path, kind, channels):
    path = tmp_path / "a.wav"
    samples = np.random.default_rng(1).integers(0, 250, (3001, channels)).astype(kind)
    wavfile.write(path, 96_000, samples)

    recording = open_recording(path, as_read=AsRead(volts_per_count=1.0))

    rate, theirs = wavfile.read(path)
    middle = 128 if kind == "uint8" else 0
    assert recording.dt == 1 / rate
    np.testing.assert_array_equal(all_of(recording).T, theirs.reshape(-1, channels).astype(float) - middle)


def test_three_bytes_a_sample_are_those_that_scipy_reads(tmp_path):
    path = tmp_path / "a.wav"
    counts = np.array([0, 1, -1, 2**23 - 1, -(2**23)], "<i4")
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(3)
        file.setframerate(1000)
        file.writeframes(b"".join(struct.pack("<i", count)[:3] for count in counts.tolist()))

    found = all_of(open_recording(path, as_read=AsRead(volts_per_count=1.0)))

    np.testing.assert_array_equal(found[0], counts)
    np.testing.assert_array_equal(found[0], wavfile.read(path)[1] >> 8)  # SciPy fills the upper three bytes.


def test_without_volts_per_count_samples_are_shares_of_full_scale(tmp_path):
    path = tmp_path / "a.wav"
    wavfile.write(path, 8000, np.array([-32768, 16384], np.int16))

    recording = open_recording(path)

    assert all_of(recording)[0].tolist() == [-1.0, 0.5]
    assert recording.channels[0].unit == "FS"
    assert "names no volts" in recording.remarks[0]


@pytest.mark.parametrize("claimed", [0, 12, 0xFFFFFFFF, 0x7FFFFFFF])
def test_the_number_of_samples_is_that_of_the_file_not_of_its_head(tmp_path, claimed):
    path = tmp_path / "a.wav"
    wavfile.write(path, 8000, np.arange(6, dtype=np.int16))
    raw = bytearray(path.read_bytes())
    raw[40:44] = struct.pack("<I", claimed)
    path.write_bytes(raw)

    recording = open_recording(path)

    assert recording.samples == all_of(recording).shape[1] == 6


def test_a_file_that_was_cut_off_is_read_as_far_as_it_goes(tmp_path):
    path = tmp_path / "a.wav"
    wavfile.write(path, 8000, np.arange(100, dtype=np.int16))
    path.write_bytes(path.read_bytes()[:-51])

    recording = open_recording(path)

    assert recording.samples == 74
    assert "shorter than its head says" in recording.remarks[0]


@pytest.mark.parametrize(
    ("at", "bytes_", "said"),
    [
        (8, b"AVI ", "does not begin as a WAV"),
        (20, struct.pack("<H", 85), "Samples of kind 85"),
        (22, struct.pack("<H", 0), "0 channels"),
        (24, struct.pack("<I", 0), "sample rate of 0 Hz"),
        (34, struct.pack("<H", 12), "with 12 bits"),
        (32, struct.pack("<H", 7), "frames of 7 bytes"),
        (12, b"junk", "before their description"),
        (36, b"junk", "no samples"),
    ],
)
def test_a_damaged_head_is_refused_with_the_reason(tmp_path, at, bytes_, said):
    path = tmp_path / "a.wav"
    wavfile.write(path, 8000, np.arange(100, dtype=np.int16))
    raw = bytearray(path.read_bytes())
    raw[at : at + len(bytes_)] = bytes_
    path.write_bytes(raw)

    with pytest.raises(UnreadableCapture, match=said):
        open_recording(path)


@pytest.mark.parametrize("volts", [0.0, -1.0, float("nan"), float("inf")])
def test_a_scale_that_cannot_be_used_is_refused(volts):
    with pytest.raises(UnreadableCapture, match="volts_per_count"):
        AsRead(volts_per_count=volts)
