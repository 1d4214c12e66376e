import io
import json

import pytest
from django.core.management import CommandError, call_command

from diagnostics.management.commands.capture import _Progress

TABLE = "Time (ms),CH1 (V)\n" + "".join(f"{n},{5 * (n % 10 < 3)}\n" for n in range(200))


@pytest.fixture
def capture(tmp_path):
    def running(text, *arguments):
        path = tmp_path / "bay.csv"
        path.write_text(text)
        out = io.StringIO()
        call_command("capture", str(path), *arguments, stdout=out, stderr=io.StringIO())
        return out.getvalue()

    return running


def test_it_says_the_state_the_rule_and_the_figures(capture):
    said = capture(TABLE)

    assert "CH1: The signal is active between two levels." in said
    assert "rule: toggles between 0 and 5 V, 39 edges" in said
    assert "duty cycle 30 %" in said


def test_as_json_it_is_one_object(capture):
    found = json.loads(capture(TABLE, "--json", "--battery-v", "12.6"))

    (channel,) = found["channels"]
    assert channel["verdict"]["state"] == "active"
    assert channel["frequency_hz"] == pytest.approx(100)


def test_changes_are_listed(capture):
    said = capture(TABLE.replace("5\n", "0\n", 1), "--bus", "none")

    assert "no pulses yet" in said or "missing" in said


def test_a_file_that_cannot_be_read_says_where_and_what_is_allowed(capture):
    with pytest.raises(CommandError, match=r"bay.csv: file: There are no rows of numbers"):
        capture("words\nonly\n")


def test_a_file_that_is_not_there_says_so():
    with pytest.raises(CommandError, match="cannot be opened"):
        call_command("capture", "/nowhere/bay.csv")


def test_a_long_job_says_how_far_it_has_come(monkeypatch):
    moments = iter([0.0, 1.0, 2.5, 3.0, 3.6])
    monkeypatch.setattr("time.monotonic", lambda: next(moments))
    stream = io.StringIO()
    progress = _Progress(stream)

    for done in (10, 20, 30, 40):
        progress(2, done)

    assert stream.getvalue() == "pass 2 of 3: 20 samplespass 2 of 3: 40 samples"
