import json
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared import computing
from shared.answer_lines import answer_line, answer_to, as_json
from shared.computing import Computation, Given

RIGHT = '{"name": "vin.verdict", "given": {"vin": "1M8GDM9AXKP042788"}}'


@dataclass(frozen=True)
class Band:
    low: float
    unit: str


@pytest.fixture
def echo(monkeypatch):
    """A computation that answers what it is given."""
    item = Given("x", "X", kind="any")
    monkeypatch.setitem(computing._registry, "test.echo", Computation("test.echo", lambda x: x, "x", (item,)))


def error_of(line):
    text, answered = answer_line(line)
    assert not answered
    return json.loads(text)["error"]


def test_a_line_is_answered():
    assert answer_line(RIGHT) == ('{"answer": "match"}', True)


@pytest.mark.parametrize("line", ["\ufeff" + RIGHT, RIGHT + "\r\n", "  " + RIGHT])
def test_a_mark_of_byte_order_and_line_ends_do_no_harm(line):
    assert answer_line(line.encode()) == ('{"answer": "match"}', True)


def test_a_refusal_names_field_message_and_what_is_allowed():
    assert error_of('{"name": "vin.verdict", "given": {"vin": "1M8"}}') == {
        "field": "vin",
        "message": "This VIN has 3 characters, not 17. Read the plate again.",
        "allowed": "17 characters: 0 to 9 and A to Z without I, O and Q",
    }


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("", "nothing here"),
        ("   \n", "nothing here"),
        ("{", "This is not JSON"),
        ('{"name": "vin.format",}', "at character 23"),
        ("[]", "must be an object"),
        ("null", "must be an object"),
        ("NaN", "NaN is not a number"),
        ('{"name": "vin.format", "given": {"vin": -Infinity}}', "-Infinity is not a number"),
        ('{"name": "vin.format", "given": {"vin": 1e999}}', "too large"),
        ('{"name": "vin.format", "given": {"vin": ' + "9" * 5000 + "}}", "too large"),
        ("[" * 100_000, "nested too deeply"),
        ('{"a":' * 100_000, "nested too deeply"),
        (b"\xff\xfe{}", "not UTF-8"),
        (b"\x00", "This is not JSON"),
    ],
)
def test_a_line_that_cannot_be_read_says_why(line, told):
    error = error_of(line)

    assert error["field"] == "line"
    assert told in error["message"]


def test_a_line_without_a_name_is_refused():
    assert error_of("{}")["field"] == "name"


def test_a_line_without_values_asks_for_them():
    assert error_of('{"name": "vin.format"}')["field"] == "vin"


def test_half_a_surrogate_pair_comes_back_as_an_escape():
    text, answered = answer_line('{"name": "\\ud800", "given": {}}')

    assert not answered
    assert text.isascii()


def test_numbers_keep_every_digit(echo):
    assert answer_to("test.echo", '{"x": [0.1, 1e-300, 12345678901234567890]}') == (
        '{"answer": [0.1, 1e-300, 12345678901234567890]}',
        True,
    )


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (Decimal("12.50"), '"12.50"'),
        (Fraction(1, 3), '"1/3"'),
        (date(2026, 2, 28), '"2026-02-28"'),
        (datetime(2026, 2, 28, 9, tzinfo=UTC), '"2026-02-28T09:00:00+00:00"'),
        ((1, 2), "[1, 2]"),
        ({"b", "a"}, '["a", "b"]'),
        (Band(1.5, "V"), '{"low": 1.5, "unit": "V"}'),
        ("Ω", '"\\u03a9"'),
    ],
)
def test_money_dates_and_records_have_one_form(value, text):
    assert as_json(value) == text


def test_arrays_go_out_as_lists():
    numpy = pytest.importorskip("numpy")

    assert as_json({"x": numpy.array([1, 2]), "y": numpy.int64(3)}) == '{"x": [1, 2], "y": 3}'


def test_what_has_no_form_is_said():
    with pytest.raises(TypeError, match="object has no form in JSON"):
        as_json(object())


def test_a_fault_of_a_computation_is_an_error_line(monkeypatch):
    broken = Computation("test.broken", lambda: [][0], "x", ())
    monkeypatch.setitem(computing._registry, "test.broken", broken)

    assert (
        error_of('{"name": "test.broken"}')["message"]
        == "The computation failed on these values (IndexError)."
    )


def test_values_nested_as_deep_as_the_reader_allows_are_answered_or_refused(echo):
    for depth in (100, 900, 960, 990, 1000):
        text, _ = answer_to("test.echo", '{"x": ' + "[" * depth + "]" * depth + "}")

        assert json.loads(text).keys() <= {"answer", "error"}


@given(st.binary(max_size=200) | st.text(max_size=200))
def test_any_line_gives_one_line_of_json(line):
    text, answered = answer_line(line)

    assert "\n" not in text
    assert text.isascii()
    assert json.loads(text).keys() == ({"answer"} if answered else {"error"})


@given(st.text(max_size=40))
def test_any_text_as_a_vin_gives_one_line(vin):
    text, answered = answer_to("vin.verdict", json.dumps({"vin": vin}))

    assert json.loads(text).keys() == ({"answer"} if answered else {"error"})
