import numpy as np
import pytest

from diagnostics.captures.recording import (
    MOST_SAMPLES,
    Channel,
    Chunk,
    Recording,
    UnreadableCapture,
    held_in_memory,
)

CHANNEL = (Channel("CH1", "V"),)


def pieces(*chunks):
    return Recording(CHANNEL, None, 0.0, None, lambda: iter(chunks))


def chunk(times, values):
    return Chunk(np.array(times, dtype=float), np.array([values], dtype=float))


def test_a_recording_can_be_read_again():
    recording = held_in_memory(CHANNEL, np.arange(5.0), dt=0.1, chunk=2)

    once, again = ([len(piece) for piece in recording.chunks()] for _ in range(2))

    assert once == again == [2, 2, 1]


def test_a_time_that_falls_is_refused_with_its_sample():
    with pytest.raises(UnreadableCapture, match="sample 3: Its time, 1 s, is before"):
        list(pieces(chunk([0, 2], [1, 1]), chunk([1, 3], [1, 1])).chunks())


def test_a_time_that_is_missing_is_refused():
    with pytest.raises(UnreadableCapture, match="sample 2: Its time is missing"):
        list(pieces(chunk([0, np.nan], [1, 1])).chunks())


def test_infinite_and_absurd_samples_count_as_missing():
    (read,) = pieces(chunk([0, 1, 2], [1, np.inf, -1e200])).chunks()

    assert np.isnan(read.values[0]).tolist() == [False, True, True]


def test_more_samples_than_allowed_are_refused():
    many = np.broadcast_to(0.0, MOST_SAMPLES // 2 + 1)
    piece = Chunk(many, many[None, :1].repeat(1, 0))

    with pytest.raises(UnreadableCapture, match="more than 50,000,000 samples"):
        list(pieces(piece, piece).chunks())


def test_a_channel_is_found_by_its_name_or_refused():
    recording = held_in_memory([Channel("A"), Channel("B")], np.zeros((2, 3)), dt=1.0)

    assert recording.index("B") == 1
    with pytest.raises(UnreadableCapture, match="There is no channel 'C'"):
        recording.index("C")
