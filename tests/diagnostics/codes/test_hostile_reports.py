"""Nothing that is pasted or uploaded breaks the reader: a clear refusal, or an honest result."""

import random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from diagnostics.codes.decoding import MOST_BYTES, Unreadable, decode_text
from diagnostics.codes.draft import MOST_CODES
from diagnostics.codes.scan_text import MOST_LINES, read_scan
from diagnostics.codes.shop_table import read_table

REPORT = "Engine:\nP0171 Gemisch für “kalt”, pending\nABS: no response\n"
PIECES = [
    "P0171", "C0035-11", "Engine", "ABS", "no response", "no codes", "pending", "Module;Code", "|", ";", ",",
    "\t", "{", "}", "[", "]", '"', ":", "<", ">", "</a>", "<a b='c'>", "<table>", "<tr>", "<td>", "43 01 33",
    "7E8 06 43", "59 02 FF", "\x00", "\x07", "\ufeff", "\u2028", "\ud800", "é", "0x0171", "=", "-", "--",
    "Status:", "VIN:", "\n", "\n\n", "  ", " ", "41 01 81 07 6D 6D", "Catalyst: ready", "&amp;", "\\u0000",
    "\\", "Odometer: 9,9,9",
]  # fmt: skip


def tried(text):
    """Read a text and return what was found; None where it was refused."""
    try:
        return read_scan(text)
    except Unreadable:
        return None


def test_a_thousand_malformed_reports_are_read_or_refused():
    chance = random.Random(7)

    for _ in range(1000):
        text = "".join(chance.choice(PIECES) for _ in range(chance.randint(0, 60)))
        found = tried(text)
        if found is not None:
            assert all(1 <= code.line <= max(1, found.lines) for code in found.codes)


@given(st.binary(max_size=400))
def test_any_bytes_are_decoded_and_read_or_refused(data):
    try:
        text = decode_text(data)
    except Unreadable:
        return
    assert "\x00" not in text
    tried(text)


@settings(suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(st.sampled_from(PIECES), max_size=40).map("".join))
def test_every_line_of_a_code_is_a_line_of_the_report(text):
    found = tried(text)

    for code in found.codes if found else ():
        assert code.code.base[0] in "PCBU"
        assert 1 <= code.line <= found.lines


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32", "cp1252"]
)
def test_every_usual_encoding_gives_the_same_codes(encoding):
    found = read_scan(decode_text(REPORT.encode(encoding)))

    assert [str(code.code) for code in found.codes] == ["P0171"]
    assert [module.name for module in found.silent] == ["ABS"]
    assert found.codes[0].text == "Gemisch für “kalt”"


def test_latin_1_is_read_as_the_letters_it_has():
    assert decode_text("Türsteuergerät: P0171".encode("latin-1")) == "Türsteuergerät: P0171"


def test_a_picture_is_no_text():
    with pytest.raises(Unreadable, match="not a text file"):
        decode_text(b"\x89PNG\r\n\x1a\n" + bytes(range(32)) * 40)


def test_a_report_of_more_than_two_megabytes_is_refused():
    with pytest.raises(Unreadable, match="2 MB are the most"):
        decode_text(b"x" * (MOST_BYTES + 1))
    with pytest.raises(Unreadable, match="2 MB are the most"):
        read_scan("é" * (MOST_BYTES // 2 + 1))


def test_too_many_lines_are_refused():
    with pytest.raises(Unreadable, match="lines; 60000 are the most"):
        read_scan("x\n" * (MOST_LINES + 1))


def test_an_export_of_too_many_parts_is_refused():
    with pytest.raises(Unreadable, match="too many parts"):
        read_scan('{"a":' * 300_000)


def test_more_codes_than_a_vehicle_can_have_are_counted_and_left_out():
    found = read_scan(
        "\n".join(f"P{number >> 12}{number & 0xFFF:03X}" for number in range(1, MOST_CODES + 11))
    )

    assert len(found.codes) == MOST_CODES
    assert "10" in found.doubts[0].why


def test_a_line_without_end_still_gives_its_codes():
    found = read_scan("x " * 5000 + "P0171 " + "y " * 5000)

    assert [str(code.code) for code in found.codes] == ["P0171"]
    assert "too long" in found.unread[0].why


@pytest.mark.parametrize("text", ["", " \n\t\n", "hello", "\x0c"])
def test_an_empty_or_foreign_text_gives_an_honest_nothing(text):
    found = read_scan(text)

    assert found.is_empty
    assert not found.codes


@given(st.text(max_size=200))
def test_any_table_gives_rows_or_faults(text):
    try:
        table = read_table(text)
    except Unreadable:
        return
    assert len({row.code for row in table.rows}) == len(table.rows)
