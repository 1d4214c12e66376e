"""What hands type into a field of a sum, against Pint where a unit is converted."""

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.bench_sums import typed
from shared.computing import Given

UNITS = pint.UnitRegistry()
VOLTS = Given("volts", "Voltage", "V", low=0, high=20)
KPA = Given("kpa", "Compression", "kPa", "numbers", above=0, high=20_000)
OHMS = Given("ohms", "Resistance", "Ω", above=0)
PLAIN = Given("sg", "Specific gravity", low=1, high=1.4)
GAUGE = Given("awg", "Gauge", "AWG", "whole", low=-3, high=56)


@pytest.mark.parametrize(
    ("given", "text", "value"),
    [
        (VOLTS, "12.31", 12.31),
        (VOLTS, "350 mV", 0.35),
        (VOLTS, " 12,31 V ", 12.31),
        (OHMS, "4k7", 4700),
        (OHMS, "10k", 10_000),
        (PLAIN, "1.225", 1.225),
        (PLAIN, "8.76741e-08", 8.76741e-08),
        (Given("celsius", "Temperature", "°C"), "50 °F", 10),
        (Given("vacuum", "Vacuum", "kPa"), "20 inHg", (20 * UNITS.inHg_32F).to("kPa").magnitude),
        (Given("mm", "Depth", "mm"), "2/32 in", (2 / 32 * UNITS.inch).to("mm").magnitude),
        (Given("mohm", "Each metre", "mΩ/m"), "12.7 mΩ/m", 12.7),
    ],
)
def test_a_number_is_taken_in_the_unit_asked_for(given, text, value):
    assert typed.read(given, text) == pytest.approx(value, rel=2e-5)


@pytest.mark.parametrize(
    ("text", "awg"), [("18", 18), ("1/0", 0), ("4/0", -3), ("2 / 0", -1), ("-1", -1), ("18 AWG", 18)]
)
def test_a_gauge_may_be_written_as_on_the_wire(text, awg):
    assert typed.read(GAUGE, text) == awg


def test_a_whole_number_stays_one_and_a_broken_one_is_left_to_be_refused():
    assert isinstance(typed.read(GAUGE, "10"), int)
    assert typed.read(GAUGE, "10.5") == 10.5


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("1200 1180 900", [1200, 1180, 900]),
        ("1200, 1180, 900", [1200, 1180, 900]),
        ("1200,1180,900", [1200, 1180, 900]),
        ("1200;1180; 900", [1200, 1180, 900]),
        ("1200\n1180", [1200, 1180]),
        ("1.2 1.18 MPa", [1200, 1180]),
        ("1.2 MPa 900", [1200, 900]),
        ("1.2 MPa, 900 kPa", [1200, 900]),
        ("1200", [1200]),
    ],
)
def test_several_numbers_are_parted_by_blanks_or_commas(text, values):
    assert typed.read(KPA, text) == pytest.approx(values)


@given(
    st.lists(st.decimals("0.01", "9999", places=2), min_size=1, max_size=20),
    st.sampled_from([" ", ", ", ";", "\n"]),
)
def test_numbers_come_back_as_they_were_written(values, separator):
    assert typed.read(KPA, separator.join(map(str, values))) == [float(value) for value in values]


@pytest.mark.parametrize("text", ["22,41", "12,5 13,5", "1200,1180 900"])
def test_a_comma_that_may_be_a_decimal_one_is_asked_about(text):
    with pytest.raises(typed.Unclear, match="a decimal comma, or does it part two numbers"):
        typed.read(KPA, text)


@pytest.mark.parametrize(
    ("given", "text", "match"),
    [
        (VOLTS, "3 A", "write the number in V, or in another unit of voltage"),
        (PLAIN, "1.2 V", "write the number without a unit"),
        (VOLTS, "twelve", "'twelve' is not a number"),
        (VOLTS, "OL", "is not one number. Allowed: a number, 0 to 20 V"),
        (VOLTS, "12.4 to 12.9", "is not one number"),
        (VOLTS, "< 3", "is not one number"),
        (Given("celsius", "Temperature", "°C"), "-400 °C", "absolute zero"),
        (GAUGE, "5/0", "5/0"),
        (KPA, "1200 abc", "abc"),
        (Given("table", "Table", kind="list"), "[1, 2", "This is not JSON"),
        (Given("table", "Table", kind="object"), '{"a": NaN}', "This is not JSON"),
    ],
)
def test_what_is_no_value_is_answered_with_what_would_be(given, text, match):
    with pytest.raises(typed.Unclear, match=match):
        typed.read(given, text)


def test_texts_stand_one_a_line_and_json_is_read():
    assert typed.read(Given("codes", "Codes", kind="texts"), "P0171\nP0174, ") == ["P0171", "P0174"]
    assert typed.read(Given("table", "Table", kind="list"), "[[1, 2], [3, 4]]") == [[1, 2], [3, 4]]
    assert typed.read(Given("any", "Anything", kind="any"), "as it is") == "as it is"


@given(st.text(max_size=80), st.sampled_from([VOLTS, KPA, OHMS, PLAIN, GAUGE]))
def test_any_text_is_a_value_or_a_question(text, given):
    try:
        value = typed.read(given, text)
    except typed.Unclear as why:
        outcome = str(why)
    else:
        outcome = isinstance(value, float | int | list)

    assert outcome
