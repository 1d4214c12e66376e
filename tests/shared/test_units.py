"""Units: kinds, exact factors, spellings; factors checked against SciPy and NIST SP 811."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants

from shared.units import UNITS, UnitsDoNotMatch, convert, convert_exactly, find_unit, is_known, same_kind


@pytest.mark.parametrize(
    ("a", "b"),
    [
        ("V", "mV"),
        ("uV", "µV"),
        ("μV", "µV"),  # Greek mu and micro sign
        ("ohm", "Ω"),
        ("Ω", "Ω"),  # ohm sign and Greek omega
        ("kohm", "Mohm"),
        ("°C", "°F"),
        ("C", "K"),
        ("kPa", "psi"),
        ("inHg", "mbar"),
        ("Nm", "ft-lb"),
        ("in lb", "N·m"),
        ("km/h", "mph"),
        ("L", "mL"),
        ("ms", "min"),
        ("lb", "g"),
        ("uF", "farad"),
        (" V ", "V"),
    ],
)
def test_units_that_measure_the_same_are_of_one_kind(a, b):
    assert same_kind(a, b)
    assert same_kind(b, a)


@pytest.mark.parametrize(
    ("a", "b"),
    [
        ("V", "A"),
        ("Hz", "rpm"),
        ("psi", "psia"),
        ("min", "in"),
        ("g", "g/s"),
        ("%", "1"),
        ("V", "furlong"),
        ("furlong", "V"),
        ("furlong", "chain"),
        ("", ""),
        (" ", ""),
        ("", "V"),
    ],
)
def test_units_that_measure_something_else_or_are_not_known_are_not(a, b):
    assert not same_kind(a, b)


def test_an_unknown_unit_is_of_its_own_kind_only():
    assert same_kind("notch", " notch ")
    assert not same_kind("notch", "Notch")
    assert not is_known("notch")


@pytest.mark.parametrize(
    ("a", "b"), [("mohm", "Mohm"), ("mΩ", "MΩ"), ("mV", "kV"), ("mW", "kW"), ("ms", "s"), ("mH", "H")]
)
def test_case_and_prefix_tell_units_apart(a, b):
    assert find_unit(a) is not find_unit(b)


def test_no_spelling_stands_for_two_units():
    spellings = [spelling for unit in UNITS for spelling in (unit.symbol, *unit.spellings)]

    assert len(spellings) == len(set(spellings))
    assert all(find_unit(s) is unit for unit in UNITS for s in (unit.symbol, *unit.spellings))


@pytest.mark.parametrize(
    ("value", "unit", "to", "expected"),
    [
        ("12.30", "V", "mV", "12300"),
        ("250", "mV", "V", "0.25"),
        ("4.7", "kohm", "ohm", "4700"),
        ("1", "Mohm", "kohm", "1000"),
        ("100", "°C", "°F", "212"),
        ("-40", "°F", "°C", "-40"),
        ("0", "°C", "K", "273.15"),
        ("98.6", "F", "C", "37"),
        ("2.2", "bar", "kPa", "220"),
        ("1013.25", "hPa", "mbar", "1013.25"),
        ("1", "ft", "in", "12"),
        ("1", "mi", "km", "1.609344"),
        ("60", "mph", "km/h", "96.56064"),
        ("12", "in-lb", "ft-lb", "1"),
        ("16", "oz", "lb", "1"),
        ("1", "h", "min", "60"),
        ("1", "L/min", "L/h", "60"),
        ("50", "Ah", "mAh", "50000"),
        ("1", "US gal", "qt", "4"),
        ("100", "ppm", "%", "0.01"),
    ],
)
def test_conversions_by_definition_are_exact(value, unit, to, expected):
    assert convert(Decimal(value), unit, to) == Decimal(expected)


# SciPy 1.17, scipy.constants (an independent table of the same definitions).
SCIPY = [
    ("psi", "Pa", constants.psi),
    ("in", "m", constants.inch),
    ("ft", "m", constants.foot),
    ("mi", "m", constants.mile),
    ("mph", "m/s", constants.mph),
    ("km/h", "m/s", constants.kmh),
    ("lb", "kg", constants.pound),
    ("oz", "kg", constants.ounce),
    ("lbf", "N", constants.lbf),
    ("gal", "L", constants.gallon * 1000),
    ("hp", "W", constants.hp),
    ("bar", "Pa", constants.bar),
    ("min", "s", constants.minute),
    ("h", "s", constants.hour),
    ("d", "s", constants.day),
]


@pytest.mark.parametrize(("unit", "to", "expected"), SCIPY)
def test_factors_agree_with_scipy(unit, to, expected):
    assert float(convert_exactly(Decimal(1), unit, to)) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("fahrenheit", "celsius"), [("0", "-17.7778"), ("68", "20"), ("212", "100"), ("-459.67", "-273.15")]
)
def test_temperatures_agree_with_scipy(fahrenheit, celsius):
    ours = float(convert(Decimal(fahrenheit), "°F", "°C"))

    assert ours == pytest.approx(constants.convert_temperature(float(fahrenheit), "F", "C"), abs=1e-9)
    assert ours == pytest.approx(float(celsius), abs=1e-4)


# NIST Special Publication 811 (2008), appendix B.8, seven digits. From memory.
NIST = [
    ("psi", "Pa", "6894.757"),
    ("inHg", "Pa", "3386.389"),
    ("mmHg", "Pa", "133.3224"),
    ("inH2O", "Pa", "249.0889"),
    ("ft-lb", "N·m", "1.355818"),
    ("in-lb", "N·m", "0.1129848"),
    ("hp", "W", "745.6999"),
    ("PS", "W", "735.4988"),
    ("gal", "L", "3.785412"),
]


@pytest.mark.parametrize(("unit", "to", "printed"), NIST)
def test_factors_agree_with_nist_sp_811_to_the_printed_digits(unit, to, printed):
    ours = convert(Decimal(1), unit, to)
    last_digit = Decimal(1).scaleb(Decimal(printed).as_tuple().exponent)

    assert abs(ours - Decimal(printed)) <= last_digit * Decimal("0.5")


def test_gauge_and_absolute_pressure_have_one_factor_and_two_kinds():
    assert convert(Decimal(1), "psia", "kPa abs") == convert(Decimal(1), "psi", "kPa")
    assert not same_kind("kPa abs", "kPa")


def test_a_value_in_its_own_unit_stays_as_written():
    assert str(convert(Decimal("12.30"), "V", "volts")) == "12.30"
    assert str(convert(Decimal("7.0"), "notch", "notch")) == "7.0"


@given(
    st.sampled_from(UNITS),
    st.decimals("-1000", "1000", places=4),
    st.data(),
)
def test_there_and_back_is_the_same_value(unit, value, data):
    to = data.draw(st.sampled_from([u for u in UNITS if u.kind == unit.kind]))

    there = convert_exactly(value, unit.symbol, to.symbol)

    assert convert_exactly(there, to.symbol, unit.symbol) == Fraction(value)


@pytest.mark.parametrize(
    ("unit", "to", "message"),
    [
        ("V", "A", "'V' measures voltage and 'A' measures current"),
        ("furlong", "m", "'furlong' is not a unit this site knows"),
        ("m", "furlong", "'furlong' is not a unit this site knows"),
    ],
)
def test_units_of_two_kinds_are_not_converted(unit, to, message):
    with pytest.raises(UnitsDoNotMatch, match=message):
        convert(Decimal(1), unit, to)
