"""What is counted, kept and said of the frames of a recording."""

import json

import numpy as np
import pytest

from diagnostics.captures.decoding import frames
from diagnostics.captures.decoding.activity import Activity
from diagnostics.captures.decoding.frames import FAULT_WORDS, Decoded, Frame, Offender, Tally


def an_activity(*, length_s=1.0, gaps=()):
    return Activity(0.0, length_s, False, np.empty(0), gaps_s=np.asarray(gaps, dtype=float).reshape(-1, 2))


def a_frame(start_s=0.1, *, faults=(), identifier=0x10, kind="data", length_s=0.01):
    return Frame(start_s, start_s + length_s, kind, identifier, faults=faults)


def counted(*some, **about):
    tally = Tally("CAN", an_activity(**about))
    tally.add_all(some)
    return tally.result(500e3)


def test_a_frame_with_two_faults_is_one_faulty_frame_and_in_both_counts():
    found = counted(a_frame(), a_frame(0.2, faults=("stuff", "error-frame")))

    assert (found.sound, found.faulty) == (1, 1)
    assert found.errors == {"error-frame": 1, "stuff": 1}
    assert found.error_times_s == (0.2,)


def test_the_worst_identifier_comes_first():
    bad = [a_frame(0.1 * place, faults=("crc",), identifier=0x22) for place in range(3)]

    found = counted(a_frame(), a_frame(identifier=0x22), a_frame(faults=("ack",)), *bad)

    assert found.offenders == (Offender("22", 3, 4), Offender("10", 1, 2))


def test_a_cut_frame_is_neither_sound_nor_faulty():
    found = counted(a_frame(faults=("cut",)))

    assert (found.sound, found.faulty, found.cut, found.errors) == (0, 0, 1, {})


def test_the_ways_of_waking_are_kept_and_not_counted():
    found = counted(a_frame(kind="init"))

    assert (found.sound, len(found.frames)) == (0, 1)


@pytest.mark.parametrize(
    ("start_s", "gap", "cut"),
    [(0.1, (0.105, 0.2), 1), (0.1, (0.05, 0.101), 1), (0.1, (0.2, 0.3), 0), (0.1, (0.01, 0.09), 0)],
)
def test_only_a_faulty_frame_across_a_gap_is_laid_to_the_recording(start_s, gap, cut):
    assert counted(a_frame(start_s, faults=("crc",)), gaps=[gap]).cut == cut
    assert counted(a_frame(start_s), gaps=[gap]).sound == 1


def test_all_are_counted_though_only_the_first_are_kept(monkeypatch):
    monkeypatch.setattr(frames, "KEPT_FRAMES", 3)

    found = counted(*(a_frame(0.01 * place) for place in range(10)))

    assert (found.sound, len(found.frames)) == (10, 3)


def test_hopeless_noise_is_given_up_and_that_is_said(monkeypatch):
    monkeypatch.setattr(frames, "HOPELESS_AFTER", 5)
    tally = Tally("CAN", an_activity())

    tally.add_all((a_frame(0.01 * place, faults=("crc",)) for place in range(10)), hopeful=False)

    assert tally.result(None).faulty == 5
    assert tally.notes == [
        "Nothing sound in excerpts of the whole; the faults were counted up to 0.05 s only"
    ]


def test_the_busy_share_is_that_of_all_frames():
    assert counted(
        a_frame(length_s=0.2), a_frame(0.5, faults=("crc",), length_s=0.3)
    ).busy_share == pytest.approx(0.5)


def test_a_recording_of_no_length_is_not_busy():
    assert counted(length_s=0.0).busy_share == 0.0


@pytest.mark.parametrize(
    ("found", "words"),
    [
        (Decoded("LIN"), "No LIN frame was found."),
        (Decoded("LIN", sound=1), "1 sound LIN frame, none faulty."),
        (Decoded("LIN", sound=2, bit_rate=19_200.4), "2 sound LIN frames at 19.2 kbit/s, none faulty."),
        (
            Decoded("LIN", sound=2, faulty=1, errors={"checksum": 1}),
            "2 sound LIN frames, 1 faulty (1 wrong checksum).",
        ),
        (
            Decoded("LIN", faulty=1, errors={"baud": 1}),
            "Activity, but no sound LIN frame: 1 faulty (1 sync field off).",
        ),
    ],
)
def test_the_words_say_what_was_found(found, words):
    assert found.words == words


def test_every_fault_has_words():
    for kind in FAULT_WORDS:
        assert FAULT_WORDS[kind] in Decoded("CAN", faulty=1, errors={kind: 1}).words


def test_a_name_is_the_identifier_in_hexadecimal():
    assert a_frame(identifier=0x7DF).name == "7DF"
    assert a_frame(identifier=None).name == "unknown"
    assert Frame(0, 1, "data", 0x123, extended=True).name == "00000123"


def test_a_summary_is_plain_json():
    found = counted(a_frame(), a_frame(faults=("crc",)))

    assert json.loads(json.dumps(found.summary()))["errors"] == {"crc": 1}
