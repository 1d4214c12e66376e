import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.captures.files import ALLOWED_WORDS, suffix_of, why_not

WAV = b"RIFF\x24\x00\x00\x00WAVEfmt "


@pytest.mark.parametrize(
    ("name", "head"),
    [
        ("a.csv", b"time,V\n0,1"),
        ("A.CSV", b"\xef\xbb\xbftime;V\n0,0;1"),
        ("a.tsv", b"0\t1"),
        ("a.txt", b"\xff\xfet\x00i\x00"),
        ("a.wav", WAV),
        ("a.vcd", b"$date today $end"),
        ("a.sr", b"PK\x03\x04rest"),
        ("C:\\scope\\a.csv", b"0,1"),
    ],
)
def test_what_may_be_a_recording_is_let_in(name, head):
    assert why_not(name, head) == ""


@pytest.mark.parametrize("name", ["a", "a.exe", "a.csv.exe", "a.svg", "a.html", ".csv/", "a.csv\x00.png"])
def test_another_ending_is_refused(name):
    assert why_not(name, b"0,1") == f"A file of this ending is not read. Allowed: {ALLOWED_WORDS}."


@pytest.mark.parametrize(
    ("name", "head"),
    [
        ("a.csv", b"\x89PNG\r\n\x1a\n"),
        ("a.csv", b"PK\x03\x04"),
        ("a.csv", b"0,1\n\x00\x00"),
        ("a.csv", WAV),
        ("a.wav", b"RIFF\x24\x00\x00\x00AVI "),
        ("a.wav", b"time,V"),
        ("a.sr", b"time,V"),
        ("a.vcd", b"\x7fELF"),
    ],
)
def test_content_that_is_not_what_its_ending_says_is_refused(name, head):
    assert why_not(name, head).endswith(f"Save it again from the instrument as {ALLOWED_WORDS}.")


@given(st.text(max_size=80), st.binary(max_size=64))
def test_anything_gets_an_answer(name, head):
    assert isinstance(why_not(name, head), str)
    assert suffix_of(name) == "" or suffix_of(name).startswith(".")
