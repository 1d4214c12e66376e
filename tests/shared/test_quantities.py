"""What hands type: every form, every question, round trips, and hostile text."""

import random
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.plausible import BANDS
from shared.quantities import Quantity, Question, read_quantity
from shared.units import UNITS, find_unit


@pytest.mark.parametrize(
    ("text", "unit", "value", "read_unit", "resolution"),
    [
        ("12.31", "V", "12.31", "V", "0.01"),
        ("12.30", "V", "12.30", "V", "0.01"),
        ("12,31 V", "", "12.31", "V", "0.01"),
        ("350 mV", "V", "350", "mV", "1"),
        ("-0.5", "V", "-0.5", "V", "0.1"),
        ("\u22120,5 V", "V", "-0.5", "V", "0.1"),
        ("minus 0.5 volts", "V", "-0.5", "V", "0.1"),
        ("12 point 3 volts", "V", "12.3", "V", "0.1"),
        ("12 310", "V", "12310", "V", "1"),
        ("12\u2009310 V", "", "12310", "V", "1"),
        ("1'200.5", "Ω", "1200.5", "Ω", "0.1"),
        ("1,200.5", "Ω", "1200.5", "Ω", "0.1"),
        ("1.200,5", "Ω", "1200.5", "Ω", "0.1"),
        ("1,234,567", "Ω", "1234567", "Ω", "1"),
        ("1.2e3", "Ω", "1.2E+3", "Ω", "1E+2"),
        ("1.2×10^3", "Ω", "1.2E+3", "Ω", "1E+2"),
        ("4.7·10³ ohm", "", "4.7E+3", "Ω", "1E+2"),
        ("5e-3", "A", "0.005", "A", "0.001"),
        ("0R12", "Ω", "0.12", "Ω", "0.01"),
        ("R47", "Ω", "0.47", "Ω", "0.01"),
        ("4k7", "Ω", "4.7", "kΩ", "0.1"),
        ("4k7 ohm", "", "4.7", "kΩ", "0.1"),
        ("4n7", "µF", "4.7", "nF", "0.1"),
        ("1.2 M", "Ω", "1.2", "MΩ", "0.1"),
        ("1.2M", "Hz", "1.2", "MHz", "0.1"),
        ("350 m", "V", "350", "mV", "1"),
        ("12 m", "mm", "12", "m", "1"),
        ("100 n", "µF", "100", "nF", "1"),
        ("470 F", "farad", "470", "farad", "1"),
        ("212 F", "°C", "212", "°F", "1"),
        ("4/32 in", "mm", "0.125", "in", "0.03125"),
        ('5/32"', "mm", "0.15625", "in", "0.03125"),
        ("1 1/2 in", "", "1.5", "in", "0.5"),
        ("1½ in", "", "1.5", "in", "0.5"),
        ("5 32nds", "mm", "5", "32nds", "1"),
        ("32 psi", "bar", "32", "psi", "1"),
        ("80 ft-lb", "Nm", "80", "ft-lb", "1"),
        ("28 mpg", "L/100 km", "28", "mpg", "1"),
        ("640 CCA", "CCA", "640", "CCA", "1"),
        ("500 microns", "Torr", "500", "µmHg", "1"),
        ("48 ° dwell", "°", "48", "°", "1"),
        ("12 clicks", "clicks", "12", "clicks", "1"),
    ],
)
def test_one_number_with_its_unit(text, unit, value, read_unit, resolution):
    found = read_quantity(text, unit=unit)

    assert (str(found.value), found.unit, str(found.resolution)) == (value, read_unit, resolution)
    assert (found.form, found.typed) == ("plain", " ".join(text.split()))


@pytest.mark.parametrize(
    ("text", "unit", "expected"),
    [
        ("OL", "Ω", Quantity("OL", None, "Ω", None, "over limit")),
        ("O.L MΩ", "Ω", Quantity("O.L MΩ", None, "MΩ", None, "over limit")),
        ("-OL", "V", Quantity("-OL", None, "V", None, "over limit")),
        ("< 0.1", "Ω", Quantity("< 0.1", Decimal("0.1"), "Ω", Decimal("0.1"), "less than")),
        ("less than 0.1", "Ω", Quantity("less than 0.1", Decimal("0.1"), "Ω", Decimal("0.1"), "less than")),
        ("> 30 M", "Ω", Quantity("> 30 M", Decimal(30), "MΩ", Decimal(1), "greater than")),
        ("≥30 MΩ", "", Quantity("≥30 MΩ", Decimal(30), "MΩ", Decimal(1), "greater than")),
    ],
)
def test_over_limit_and_bounds_say_which_they_are(text, unit, expected):
    assert read_quantity(text, unit=unit) == expected


@pytest.mark.parametrize(
    ("text", "unit", "low", "high", "read_unit", "resolution"),
    [
        ("12.4-12.9", "V", "12.4", "12.9", "V", "0.1"),
        ("12.4–12.9 V", "", "12.4", "12.9", "V", "0.1"),
        ("12.4 to 12.90", "V", "12.4", "12.90", "V", "0.01"),
        ("350 mV to 1.2 V", "", "0.35", "1.2", "V", "0.001"),
        ("-5 to 5", "°C", "-5", "5", "°C", "1"),
        ("1e3-2e3", "Ω", "1E+3", "2E+3", "Ω", "1E+3"),
        ("12-15 ft-lb", "Nm", "12", "15", "ft-lb", "1"),
        ("4/32 to 5/32 in", "mm", "0.125", "0.15625", "in", "0.03125"),
    ],
)
def test_a_range_has_two_ends_and_its_middle(text, unit, low, high, read_unit, resolution):
    found = read_quantity(text, unit=unit)

    assert (str(found.low), str(found.high), found.unit, str(found.resolution)) == (
        low,
        high,
        read_unit,
        resolution,
    )
    assert found.form == "range"
    assert found.value == (found.low + found.high) / 2


@pytest.mark.parametrize(
    ("text", "unit", "value", "tolerance", "read_unit"),
    [
        ("12.31 ± 0.05", "V", "12.31", "0.05", "V"),
        ("12.31 ± 0.05 V", "", "12.31", "0.05", "V"),
        ("12.31 V ± 50 mV", "", "12.31", "0.05", "V"),
        ("5 +/- 10 %", "A", "5", "0.5", "A"),
        ("50 ± 2 %", "%", "50", "2", "%"),
        ("20 °C ± 9 °F", "", "20", "5", "°C"),  # a difference: 9 °F wide is 5 °C wide
    ],
)
def test_a_tolerance_is_a_width_in_the_unit_of_the_value(text, unit, value, tolerance, read_unit):
    found = read_quantity(text, unit=unit)

    assert (found.value, found.tolerance, found.unit) == (Decimal(value), Decimal(tolerance), read_unit)
    assert found.form == "with tolerance"


@pytest.mark.parametrize(
    ("text", "decimal_comma", "value"),
    [
        ("1,200", True, "1.200"),
        ("1,200", False, "1200"),
        ("12,31", True, "12.31"),
        ("12.31", True, "12.31"),
        ("0,125", None, "0.125"),
        ("1234,567", None, "1234.567"),
        ("1.200", None, "1.200"),
        ("1.200", False, "1.200"),
    ],
)
def test_comma_and_point_are_read_as_the_place_has_them(text, decimal_comma, value):
    found = read_quantity(text, unit="Ω", decimal_comma=decimal_comma)

    assert str(found.value) == value


@pytest.mark.parametrize(
    ("text", "decimal_comma", "code", "suggestions"),
    [
        ("1,200 V", None, "comma_unclear", ("1200 V", "1.200 V")),
        ("12,31", False, "comma_unclear", ("1231", "12.31")),
        ("1.200 V", True, "point_unclear", ("1200 V", "1,200 V")),
    ],
)
def test_a_mark_that_can_be_read_in_two_ways_is_asked_about(text, decimal_comma, code, suggestions):
    with pytest.raises(Question, match="one of these two ways") as asked:
        read_quantity(text, unit="V", decimal_comma=decimal_comma)

    assert (asked.value.code, asked.value.suggestions) == (code, suggestions)
    assert not asked.value.can_confirm


@pytest.mark.parametrize(
    ("text", "unit", "code", "says", "suggestions"),
    [
        ("", "V", "empty", "What did the instrument show", ()),
        ("nan", "V", "not_a_number", "'nan' is not a number", ()),
        ("inf", "V", "not_a_number", "'inf' is not a number", ()),
        ("12.31", "", "unit_missing", "In which unit", ()),
        ("12.31 A", "V", "unit_of_another_kind", "A measures current", ("12.31 V",)),
        ("12 psia", "psi", "unit_of_another_kind", "psia measures absolute pressure", ("12 psi",)),
        ("0L", "Ω", "unit_of_another_kind", "L measures volume", ("OL",)),
        ("12 MV", "V", "unit_unknown", "'MV' is not a unit", ("12 mV",)),
        ("10 AWG", "mm²", "unit_unknown", "'AWG' is not a unit", ()),
        ("1.2 k", "psi", "unit_unknown", "'k' is not a unit", ()),
        ("4/32", "mm", "fraction_unclear", "a part of an inch", ("4/32 in",)),
        ("1/2 V", "V", "fraction_unclear", "a part of an inch", ()),
        ("1/3 in", "mm", "fraction_unclear", "1/3 is no part of an inch", ()),
        ("1/0 in", "mm", "fraction_unclear", "1/0 is no part of an inch", ()),
        ("12.9-12.4", "V", "range_crossed", "lower end stands first", ("12.4 to 12.9 V",)),
        ("5 V to 3 A", "", "two_units", "V and A cannot stand in one reading", ()),
        ("30 mpg ± 1 L/100 km", "", "two_units", "in one unit", ()),
        ("5 ± -1 V", "V", "tolerance_below_zero", "cannot be below 0", ()),
        ("1e31", "V", "too_large", "ten to the power of 31", ()),
        ("1e999999999", "V", "too_large", "ten to the power of", ()),
        ("9" * 41, "V", "too_long", "at most 40 digits", ()),
        ("1" + "0" * 80, "V", "too_long", "at most 64 characters", ()),
        ("-300", "°C", "impossible", "below absolute zero", ()),
        ("-1", "kPa abs", "impossible", "below absolute zero", ()),
        ("5²", "V", "unit_unknown", "'²' is not a unit", ()),
        ("١٢", "V", "not_a_number", "is not a number", ()),
    ],
)
def test_what_is_not_clear_is_asked_about(text, unit, code, says, suggestions):
    with pytest.raises(Question, match=says) as asked:
        read_quantity(text, unit=unit)

    assert (asked.value.code, asked.value.suggestions) == (code, suggestions)


@pytest.mark.parametrize(
    ("text", "unit", "suggestion"),
    [("250000", "V", "250000 mV"), ("5e20", "Ω", "500000000000000000000 mΩ"), ("900 MPa", "bar", "900 kPa"),
     ("30000 °C", "°C", None), ("1e-25", "V", None)],
)  # fmt: skip
def test_a_size_that_no_workshop_measures_is_asked_about_and_can_be_meant(text, unit, suggestion):
    with pytest.raises(Question, match="Is it meant so") as asked:
        read_quantity(text, unit=unit)

    assert asked.value.code == "absurd"
    assert asked.value.can_confirm
    assert suggestion is None or asked.value.suggestions == (suggestion,)
    assert read_quantity(text, unit=unit, sure=True).value is not None


def test_nobody_can_mean_what_nature_forbids():
    with pytest.raises(Question, match="below absolute zero"):
        read_quantity("-300 °C", sure=True)


@pytest.mark.parametrize(
    ("text", "unit", "lo", "hi", "suggestion"),
    [
        ("12310", "V", "12.4", "12.9", "12310 mV"),
        ("12.31 mV", "V", "12.4", "12.9", "12.31 V"),
        ("12.31 kV", "V", "12.4", "12.9", "12.31 V"),
        ("12310", "V", "12.4", None, "12310 mV"),
        ("35", "A", None, "0.05", "35 mA"),
        ("350", "V", None, "0.5", "350 mV"),
        ("60 kΩ", "Ω", "54", "66", "60 Ω"),
        ("2.2 mbar", "bar", "2.0", "2.4", "2.2 bar"),
        ("-350", "V", "-0.4", "-0.3", "-350 mV"),
    ],
)
def test_a_likely_slip_of_the_prefix_is_asked_about(text, unit, lo, hi, suggestion):
    limits = {"lo": lo and Decimal(lo), "hi": hi and Decimal(hi)}

    with pytest.raises(Question, match="1000 times") as asked:
        read_quantity(text, unit=unit, **limits)

    assert (asked.value.code, asked.value.suggestions, asked.value.can_confirm) == (
        "prefix_slip",
        (suggestion,),
        True,
    )
    assert read_quantity(text, unit=unit, sure=True, **limits).typed == text


@pytest.mark.parametrize(
    ("text", "unit", "lo", "hi"),
    [
        ("5", "A", None, "0.05"),  # a lamp left on: a hundred times the limit is a true finding
        ("0.001", "A", None, "0.05"),
        ("1 GΩ", "MΩ", "1", None),  # insulation: more is better
        ("0", "V", "12.4", "12.9"),
        ("30000 °F", "°C", "80", "100"),
        ("3.1", "V", "12.4", "12.9"),
    ],
)
def test_a_bad_reading_is_not_taken_for_a_slip(text, unit, lo, hi):
    asked = question_about(text, unit=unit, lo=lo and Decimal(lo), hi=hi and Decimal(hi))

    assert asked is None or asked.code == "absurd"


def test_the_expectation_may_be_in_another_unit_of_the_kind():
    with pytest.raises(Question, match="Is it 35 mA"):
        read_quantity("35 A", hi=Decimal(50), limit_unit="mA")


def test_every_kind_of_unit_has_a_band():
    assert {unit.kind for unit in UNITS} == set(BANDS)


NUMBERS = st.decimals(min_value=-900, max_value=900, places=3, allow_nan=False).map(
    lambda number: number.copy_abs() if number == 0 else number
)
WIDE = [unit.symbol for unit in UNITS if Decimal(BANDS[unit.kind][0]) < 0 and unit.kind != "time"]


@given(NUMBERS, st.sampled_from(WIDE))
def test_what_is_written_out_is_read_back_as_the_same(number, unit):
    found = read_quantity(f"{number} {unit}", sure=True)

    again = read_quantity(found.words, sure=True)

    assert (again.value, str(again.value), again.unit, again.resolution) == (
        number,
        str(number),
        find_unit(unit).symbol,
        found.resolution,
    )


@given(NUMBERS, NUMBERS)
def test_a_range_written_out_is_read_back(a, b):
    low, high = sorted((a, b))
    found = read_quantity(f"{low} to {high} V")

    assert (found.low, found.high) == (low, high)
    assert read_quantity(found.words).low == low


@given(NUMBERS, st.decimals(min_value=0, max_value=9, places=2), st.sampled_from(["±", "+/-", "+-"]))
def test_a_tolerance_written_out_is_read_back(value, width, sign):
    found = read_quantity(f"{value} {sign} {width} V")

    assert (found.value, found.tolerance) == (value, width)
    assert read_quantity(found.words).tolerance == width


@given(NUMBERS, st.sampled_from(["<", ">", "less than ", "more than "]))
def test_a_bound_written_out_is_read_back(value, sign):
    found = read_quantity(f"{sign}{value} V")

    assert (found.value, read_quantity(found.words).form) == (value, found.form)


@given(st.decimals(min_value="0.1", max_value="99.9", places=1))
def test_a_comma_and_a_point_say_the_same(number):
    assert read_quantity(f"{number} V") == read_quantity(f"{number} V".replace(".", ","), unit="V").__class__(
        f"{number} V", number, "V", Decimal("0.1")
    )


def question_about(text, **expected):
    """The question that a text is answered with, None if it is read; what is read is finite."""
    try:
        found = read_quantity(text, **expected)
    except Question as question:
        return question
    assert found.value is None or found.value.is_finite()
    return None


PIECES = [
    *"0123456789", ".", ",", "-", "+", "−", "e", "E", "k", "M", "R", "µ", "Ω", "V", "mV", "nan", "inf", "OL",
    "<", ">", "±", "+/-", " to ", "/", "%", " ", "@", "1e999", "0x1F", "1_000", "٣", "½", "∞", "\x00",
    "\u202e", "°F", "mpg", "L/100 km", "in", "NaN", "1E400", "--", "..", "'", "×10^9", "²", "0b1", "\n",
    "𝟙", "K", "#", "=1+1", "9" * 30,
]  # fmt: skip


def hostile_texts(count=2000, seed=7):
    draw = random.Random(seed)
    for _ in range(count):
        yield "".join(draw.choice(PIECES) for _ in range(draw.randint(0, 9)))


def test_2000_hostile_numbers_are_each_read_or_answered_with_a_clear_question():
    units = ("V", "", "Ω", "mm", "mpg", "°C")

    asked = [
        question_about(text, unit=units[place % 6], lo=Decimal(0), hi=Decimal(5))
        for place, text in enumerate(hostile_texts())
    ]

    questions = [question for question in asked if question]
    assert len(asked) == 2000
    assert len(questions) > 1500
    assert all(question.code and len(str(question)) > 20 for question in questions)


@given(st.text(max_size=70), st.sampled_from(["", "V", "Ω", "in", "L/100 km", "clicks"]))
def test_any_text_is_read_or_asked_about(text, unit):
    asked = question_about(text, unit=unit)

    assert asked is None or str(asked)
