"""Dumps of value changes, written by pyvcd's own writer."""

import io

import numpy as np
import pytest
from vcd import VCDWriter

from diagnostics.captures.measured import measure
from diagnostics.captures.recording import UnreadableCapture, open_recording


@pytest.fixture
def dumped(tmp_path):
    def writing(changes, timescale="1 us"):
        text = io.StringIO()
        with VCDWriter(text, timescale=timescale, date="", init_timestamp=0) as writer:
            line = writer.register_var("bench", "line", "wire", size=1, init=0)
            volts = writer.register_var("bench", "volts", "real", init=0.5)
            for at, level in changes:
                writer.change(line, at, level)
                writer.change(volts, at, level * 5.0)
            writer.close(changes[-1][0] + 10)
        path = tmp_path / "dump.vcd"
        path.write_text(text.getvalue())
        return path

    return writing


def test_changes_are_edges_at_their_very_times(dumped):
    recording = open_recording(dumped([(at, at // 30 % 2) for at in range(30, 900, 30)]))

    line, volts = measure(recording)

    assert [channel.kind for channel in recording.channels] == ["logic", "analog"]
    assert line.timing.edges.middle == pytest.approx(np.arange(30, 900, 30) * 1e-6)
    assert line.timing.periods.mean == pytest.approx(60e-6)
    assert line.timing.rises.mean == pytest.approx(0, abs=1e-12)
    assert volts.levels.high == pytest.approx(5, abs=1e-9)


def test_a_dump_counts_by_time_not_by_changes(dumped):
    line, _ = measure(open_recording(dumped([(90, 1), (100, 0)])))

    assert line.summary.mean == pytest.approx(10 / 110)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("$timescale 1 us $end $var wire 1 ! a $end", "have no end"),
        ("$timescale 1 us $end $enddefinitions $end #0 1!", "0 variables"),
        ("$date x $end $var wire 1 ! a $end $enddefinitions $end #0 1!", "no time scale"),
        ("$timescale 1 us $end $var wire 1 ! a $end $enddefinitions $end", "no changes"),
        (
            "$timescale 1 us $end $var wire 1 ! a $end $enddefinitions $end #9 1! #3 0!",
            "does not come after #9",
        ),
        ("$timescale 1 us $end $var wire 1 ! a $end $enddefinitions $end #9 1! @@@", "line 1"),
        ("$comment " + "x" * 2_000_000, "no end"),
    ],
)
def test_a_damaged_dump_is_refused_with_the_reason(tmp_path, text, said):
    path = tmp_path / "dump.vcd"
    path.write_text(text)

    with pytest.raises(UnreadableCapture, match=said):
        list(open_recording(path).chunks())
