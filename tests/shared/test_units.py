"""Units: kinds, exact factors, spellings; factors checked against SciPy and NIST SP 811."""

from decimal import Decimal
from fractions import Fraction

import pint
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import constants

from shared.units import (
    UNITS,
    NoSuchValue,
    UnitsDoNotMatch,
    convert,
    convert_exactly,
    find_unit,
    inverts,
    is_known,
    same_kind,
    scaled,
)


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
    assume(value or not inverts(unit.symbol, to.symbol))  # 0 mpg is no number of litres.

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


# pint 0.25 (an independent table of units): what it spells otherwise than we do, as factor and unit.
PINT = {
    "Ω": "ohm", "µΩ": "microohm", "mΩ": "milliohm", "kΩ": "kiloohm", "MΩ": "megaohm", "GΩ": "gigaohm",
    "CCA": "A", "°C": "degC", "°F": "degF", "inHg": "inch_Hg", "inH2O": "inch_H2O_39F",
    "mmHg": "millimeter_Hg", "kgf/cm²": "kgf/cm**2", "Torr": "torr", "mTorr": "millitorr",
    "µmHg": "micrometer_Hg", "N·m": "N*m", "N·cm": "N*cm", "kgf·m": "kgf*m", "ft-lb": "foot*lbf",
    "in-lb": "inch*lbf", "km/h": "kilometer/hour", "m/s²": "m/s**2", "g0": "standard_gravity",
    "mm²": "mm**2", "cm²": "cm**2", "m²": "m**2", "in²": "inch**2", "in": "inch", "gal": "gallon",
    "qt": "quart", "pt": "pint", "fl oz": "floz", "imp gal": "imperial_gallon", "cu in": "inch**3",
    "mm³": "mm**3", "m³": "m**3", "mpg": "mile/gallon", "mpg imp": "mile/imperial_gallon",
    "m³/h": "m**3/hour", "cfm": "ft**3/min", "gal/h": "gallon/hour", "gal/min": "gallon/min",
    "L/h": "L/hour", "lb/h": "lb/hour", "kg/h": "kg/hour", "mg/stroke": "mg", "%": "percent",
    "°": "degree", "arcmin": "arcminute", "g/cm³": "g/cm**3", "kg/m³": "kg/m**3",
    "PS": "metric_horsepower", "BTU/h": "Btu_it/hour", "BTU": "Btu_it", "Ah": "A*hour", "mAh": "mA*hour",
    "Wh": "W*hour", "kWh": "kW*hour", "t": "tonne", "1": "", "H": "henry", "mH": "millihenry",
    "µH": "microhenry", "h": "hour", "d": "day", "lx": "lux", "kbit/s": "kilobit/s",
    "Mbit/s": "megabit/s",
}  # fmt: skip
PINT_MULTIPLES = {
    "ksi": (1000, "psi"), "oz-in": (1 / 16, "inch*lbf"), "32nds": (1 / 32, "inch"),
    "inH2O": (25.4 * 9.80665, "Pa"), "mmH2O": (9.80665, "Pa"),
}  # fmt: skip
# Scales of their own, with one unit each: there is nothing to convert.
ALONE = {"λ", "AFR", "SG", "pH", "dB", "dB(A)"}
# pint takes mercury of 13.5951 g/cm3 too, but states the product to fewer digits.
ROUNDED_IN_PINT = {"inHg", "mmHg", "µmHg"}


@pytest.fixture(scope="module")
def registry():
    return pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


def gauge(symbol):
    """The unit without its mark of absolute pressure: bara is bar."""
    bare = symbol.removesuffix(" abs")
    return {"kPaa": "kPa", "bara": "bar", "psia": "psi", "inHgA": "inHg"}.get(bare, bare)


def in_pint(registry, symbol):
    factor, name = PINT_MULTIPLES.get(gauge(symbol), (1, PINT.get(gauge(symbol), gauge(symbol))))
    return registry.Quantity(factor, name)


@pytest.mark.parametrize(
    "unit", [u for u in UNITS if u.symbol not in ALONE | {"L/100 km"}], ids=lambda u: u.symbol
)
def test_every_unit_agrees_with_pint(registry, unit):
    base = next(u for u in UNITS if u.kind == unit.kind and not u.offset)
    one, other = in_pint(registry, unit.symbol), in_pint(registry, base.symbol)
    theirs = one.to(other.units).magnitude / other.magnitude

    ours = float(convert_exactly(Decimal(1), unit.symbol, base.symbol))

    is_rounded = {gauge(unit.symbol), gauge(base.symbol)} & ROUNDED_IN_PINT
    assert ours == pytest.approx(theirs, rel=1e-5 if is_rounded else 1e-9)


@given(st.decimals(min_value="0.1", max_value=500, places=1))
def test_litres_per_100_km_agree_with_pint(registry, value):
    theirs = (100 / registry.Quantity(float(value), "mile/gallon")).to("L/km").magnitude

    assert float(convert_exactly(value, "mpg", "L/100 km")) == pytest.approx(theirs, rel=1e-9)


def test_units_that_stand_alone_have_no_other_of_their_kind():
    kinds = [u.kind for u in UNITS]

    assert all(kinds.count(u.kind) == 1 for u in UNITS if u.symbol in ALONE)


# Fuel economy counts the other way round: 235.2146 / mpg is L/100 km (NIST SP 811 appendix B.8, from memory).
@pytest.mark.parametrize(("mpg", "litres"), [("30", "7.840486"), ("235.2145833", "1"), ("50", "4.704292")])
def test_miles_per_gallon_and_litres_per_100_km_are_reciprocal(mpg, litres):
    assert float(convert(Decimal(mpg), "mpg", "L/100 km")) == pytest.approx(float(litres), rel=1e-6)
    assert inverts("mpg", "L/100 km")
    assert not inverts("mpg", "km/L")


@given(st.decimals(min_value="0.01", max_value=1000, places=2))
def test_fuel_economy_goes_there_and_back_exactly(value):
    there = convert_exactly(value, "mpg imp", "L/100 km")

    assert convert_exactly(there, "L/100 km", "mpg imp") == Fraction(value)


def test_nothing_per_100_km_is_no_number_of_miles():
    with pytest.raises(NoSuchValue, match="0 has no counterpart in L/100 km"):
        convert(Decimal(0), "L/100 km", "mpg")


@pytest.mark.parametrize(
    ("unit", "factor", "other"),
    [
        ("V", 1000, "kV"),
        ("V", Fraction(1, 1000), "mV"),
        ("bar", Fraction(1, 1000), "mbar"),
        ("°C", 1000, None),
        ("ft", 1000, None),
        ("L/100 km", 1000, None),
    ],
)
def test_the_unit_of_the_next_prefix_is_found_where_there_is_one(unit, factor, other):
    found = scaled(unit, Fraction(factor))

    assert (found and found.symbol) == other
