"""`manage.py codes`: the keys stay, and what cannot be read says why."""

import io
import json

import pytest
from django.core.management import CommandError, call_command

from tests.factories import CodeMeaningFactory

pytestmark = pytest.mark.django_db

TEXT = (
    "VIN: 2Z9BC34D8EF567890\nOdometer: 99 000 km\nEngine (7E8):\n P0123-11 pending\nABS: no response\n"
    "nobody knows\n"
)


def codes(path, *options):
    out = io.StringIO()
    call_command("codes", str(path), *options, stdout=out)
    return out.getvalue()


@pytest.fixture
def report(tmp_path):
    path = tmp_path / "report.txt"
    path.write_text(TEXT)
    return path


def test_the_keys_stay(report):
    answer = json.loads(codes(report, "--json"))

    assert list(answer) == [
        "modules", "codes", "silent", "no_codes", "vin", "odometer", "dates", "lamp", "monitors", "doubts",
        "not_understood", "lines", "caution",
    ]  # fmt: skip
    assert answer["codes"] == ["P0123-11"]
    assert answer["silent"] == ["ABS"]
    assert answer["odometer"] == {"value": 99000, "unit": "km"}
    assert answer["not_understood"] == [{"line": 6, "text": "nobody knows", "why": None}]
    assert answer["modules"][0]["codes"] == [
        {
            "code": "P0123", "failure_type": "11", "failure": "short to ground", "states": ["pending"],
            "system": "powertrain", "area": "fuel and air metering", "control": "iso-sae",
            "meaning": "throttle or pedal sensor A signal high", "meaning_from": "starter", "text": None,
            "line": 4, "read_from": "text",
        }
    ]  # fmt: skip


def test_the_shop_s_words_are_used_when_asked_for(report):
    CodeMeaningFactory(code="P0123", meaning="pedal high")

    assert "pedal high" in codes(report, "--shop")
    assert "pedal high" not in codes(report)


def test_without_json_it_is_read_by_a_person(report):
    shown = codes(report)

    assert "Engine 7E8\n  line 4: P0123-11 (pending) throttle" in shown
    assert "ABS: did not answer" in shown
    assert "not understood, line 6: nobody knows" in shown


def test_standard_input_is_read_with_a_hyphen(monkeypatch):
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO("P0171".encode("utf-16"))))

    assert json.loads(codes("-", "--json"))["codes"] == ["P0171"]


@pytest.mark.parametrize(
    ("data", "said"), [(bytes(range(256)) * 9, "not a text file"), (b"x" * 2_100_000, "2 MB are the most")]
)
def test_what_is_no_report_is_refused(tmp_path, data, said):
    path = tmp_path / "report.bin"
    path.write_bytes(data)

    with pytest.raises(CommandError, match=said):
        codes(path)


def test_a_file_that_is_not_there_is_named(tmp_path):
    with pytest.raises(CommandError, match="cannot be read: No such file"):
        codes(tmp_path / "none.txt")
