"""Text exports in the ways that instruments write them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.captures import csv_files
from diagnostics.captures.csv_numbers import Grid, numbers
from diagnostics.captures.recording import AsRead, UnreadableCapture, open_recording


@pytest.fixture
def read(tmp_path):
    def reading(text, encoding="utf-8", **as_read):
        path = tmp_path / "capture.csv"
        path.write_bytes(text.encode(encoding))
        recording = open_recording(path, as_read=AsRead(**as_read))
        chunks = list(recording.chunks())
        times = np.concatenate([chunk.times for chunk in chunks])
        return recording, times, np.concatenate([chunk.values for chunk in chunks], axis=1)

    return reading


@pytest.mark.parametrize(
    "text",
    [
        "Time (s),CH1 (V)\n0.0,1.5\n0.1,1.6\n0.2,1.7\n",
        "Time;CH1\n(s);(V)\n0,0;1,5\n0,1;1,6\n0,2;1,7\n",
        "time [ms]\tCH1 [mV]\n0\t1500\n100\t1600\n200\t1700\n",
        "t(s)   CH1(V)\n0.0   1.5\n0.1   1.6\n0.2   1.7\n",
        '"Time (s)","CH1 (V)"\r\n"0.0","1.5"\r\n"0.1","1.6"\r\n"0.2","1.7"\r\n',
        "Bench instrument 7\nDate,2026-11-25\n\nTime (s),CH1 (V),\n0,1.5,\n1e-1,1.6,\n2E-1,1.7,\n",
        "Sample Interval,0.1\nCH1 (V)\n1.5\n1.6\n1.7\n",
        "# Sample rate: 10 Hz\n# CH1/V\n1.5\n1.6\n1.7\n",
        "Sampling frequency (Hz);10\nsample;CH1 (V)\n0;1.5\n1;1.6\n2;1.7\n",
        "Time (s),CH1 in V\r0,1.5\r0.1,1.6\r0.2,1.7\r",
        "Time (s)|CH1 (V)\n0|1.5\n".replace("|", " , ") + " 0.1 , 1.6\n0.2,1.7",
    ],
)
def test_one_table_is_read_alike_in_whatever_way_it_is_written(read, text):
    recording, times, values = read(text)

    assert (recording.channels[0].name, recording.channels[0].unit) == ("CH1", "V")
    assert recording.dt == pytest.approx(0.1)
    assert times == pytest.approx([0, 0.1, 0.2])
    assert values[0] == pytest.approx([1.5, 1.6, 1.7])


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_the_micro_sign_is_read_in_each_encoding(read, encoding):
    recording, times, _ = read("Time (µs),CH1 (V)\n0,1\n1,2\n2,1\n", encoding)

    assert recording.dt == pytest.approx(1e-6)
    assert times[-1] == pytest.approx(2e-6)


def test_columns_of_noughts_and_ones_are_logic(read):
    recording, _, values = read("time,D0,CH1 (V)\n0,0,1\n1,1,0\n2,0,0\n")

    assert [channel.kind for channel in recording.channels] == ["logic", "analog"]
    assert values[0].tolist() == [0, 1, 0]


@pytest.mark.parametrize("cell", ["", "nan", "OL", "---", "inf", "∞", "****"])
def test_a_cell_without_a_sample_is_missing(read, cell):
    _, _, values = read(f"time (s),CH1 (V),CH2 (V)\n0,1,2\n1,{cell},3\n2,4,{cell}\n3,5,6\n")

    assert np.isnan(values).tolist() == [[False, True, False, False], [False, False, True, False]]


def test_what_was_taken_for_granted_is_said(read):
    recording, _, _ = read("time,a\n0,1\n1,2\n")

    assert any("taken as seconds" in remark for remark in recording.remarks)
    assert any("volts are taken" in remark for remark in recording.remarks)


def test_units_and_a_rate_can_be_given_by_hand(read):
    recording, times, _ = read("a,b\n1.5,2.5\n0.5,2.5\n", sample_rate_hz=100.0, unit="A")

    assert [channel.unit for channel in recording.channels] == ["A", "A"]
    assert times.tolist() == [0.0, 0.01]


def test_steps_that_are_not_even_give_no_interval(read):
    recording, times, _ = read("time (s),a (V)\n0,1\n1,2\n5,1\n6,2\n30,1\n31,4\n")

    assert recording.dt is None
    assert times[-1] == 31


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("hello\nworld\n", "no rows of numbers"),
        ("a,b\n1.5,2\n1.4,3\n", "Neither a column of times nor a sample rate"),
        ("0,5\n0,4\n0,6\n", "decimal commas or 2 columns"),
        ("Time (s)\n0\n1\n2\n", "0 columns of values"),
        ("Time (kV),b\n1,2\n2,3\n", "Neither a column of times"),
        ("time (s),b\n" + "".join(f"{n},1\n" for n in range(9)) + "9,abc\n", "line 11: 'abc' is no number"),
        ("time (s),b\n" + "".join(f"{n},1\n" for n in range(9)) + "9,1,2\n10,1\n", "line 11: It has 3 cells"),
        ("time (s),b\n" + "".join(f"{n},1\n" for n in range(9)) + "4,1\n", "sample 10: Its time, 4 s, is"),
        ("time (s),b\n" + "".join(f"{n},1\n" for n in range(9)) + ",1\n", "sample 10: Its time is missing"),
        ("Sample rate,1e30\nb\n1\n2\n", "A sample every 1e-30 s"),
        ("", "The file is empty"),
        ("time,b\n0,1\n\0\0\0\0", "no text"),
        ("Time (s)" + ",c" * 80 + "\n1" + ",1" * 80 + "\n", "80 columns"),
    ],
)  # fmt: skip
def test_a_table_that_cannot_be_read_is_refused_with_the_reason(read, text, said):
    with pytest.raises(UnreadableCapture, match=said):
        read(text)


def test_a_line_that_was_cut_off_at_the_end_is_left_out(read):
    _, times, _ = read("time (s),a (V),b (V)\n0,1,2\n1,1,2\n2,1")

    assert times.tolist() == [0, 1]


def test_blocks_are_joined_without_loss(read, monkeypatch):
    monkeypatch.setattr(csv_files, "BLOCK_BYTES", 61)
    lines = [f"{n},{n / 8}" for n in range(500)]

    recording, times, values = read("Time (s),CH1 (V)\r\n" + "\r\n".join(lines))

    assert times.tolist() == list(range(500))
    assert values[0].tolist() == [n / 8 for n in range(500)]
    assert recording.dt == 1


@given(
    st.lists(st.lists(st.floats(allow_infinity=False), min_size=3, max_size=3), min_size=1, max_size=40),
    st.sampled_from([(b",", "."), (b";", ","), (b";", "."), (b"\t", ","), (b" ", ",")]),
    st.sampled_from(["{!r}", "{:.6f}", "{:.3e}", "{:+g}"]),
)
def test_numbers_are_those_that_python_reads(rows, written, form):
    separator, comma = written
    cells = [[form.format(value) for value in row] for row in rows]
    lines = [separator.decode().join(cell.replace(".", comma) for cell in row) for row in cells]

    found = numbers(("\n".join(lines) + "\n").encode(), Grid(separator, 3), 1)

    np.testing.assert_array_equal(found, [[float(cell) for cell in row] for row in cells])


def test_a_bad_cell_deep_in_a_large_block_is_named_by_its_line():
    lines = [f"{n},{n}" for n in range(20_000)]
    lines[12_345] = "12345,1O"

    with pytest.raises(UnreadableCapture, match="line 12348: '1O' is no number"):
        numbers(("\n".join(lines) + "\n").encode(), Grid(b",", 2), 3)
