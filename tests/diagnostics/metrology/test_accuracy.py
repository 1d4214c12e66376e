"""Accuracy as makers state it. Forms as data sheets have them: common practice."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.metrology import Accuracy, read_accuracy
from shared.quantities import Question

HALF_PLUS_TWO = Accuracy(percent=Decimal("0.5"), counts=Decimal(2))


@pytest.mark.parametrize(
    "text",
    [
        "0.5 % + 2",
        "±(0.5 % + 2)",
        "±(0.5% rdg + 2 dgt)",
        "+/-(0.5 % of reading + 2 counts)",
        "0,5 % + 2 digits",
        "±0.5%±2dgt",
        "± ( 0.5 % rdg. + 2 LSD )",
        "2 counts + 0.5 %",
        "0.5 % and 2 counts",
        "5000 ppm + 2",
    ],
)
def test_percent_of_reading_and_counts(text):
    assert read_accuracy(text) == HALF_PLUS_TWO


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("1 % + 0.02 V", Accuracy(percent=Decimal(1), absolute=Decimal("0.02"), unit="V")),
        ("±0.05 V", Accuracy(absolute=Decimal("0.05"), unit="V")),
        ("2 °C", Accuracy(absolute=Decimal(2), unit="°C")),
        ("3 digits", Accuracy(counts=Decimal(3))),
        ("1.5 % FS", Accuracy(percent_of_span=Decimal("1.5"))),
        ("1 % of full scale", Accuracy(percent_of_span=Decimal(1))),
        ("0.5% rdg + 0.1% range", Accuracy(percent=Decimal("0.5"), percent_of_span=Decimal("0.1"))),
        ("0.5 % + 2 (k = 2)", Accuracy(percent=Decimal("0.5"), counts=Decimal(2), k=Decimal(2))),
        (
            "±2 °C or 2 %, whichever is greater",
            Accuracy(absolute=Decimal(2), unit="°C", other=Accuracy(percent=Decimal(2))),
        ),
    ],
)
def test_other_forms(text, expected):
    assert read_accuracy(text) == expected


@given(
    st.decimals(min_value="0.01", max_value=20, places=2),
    st.integers(1, 50),
    st.decimals(min_value="0.001", max_value=9, places=3),
)
def test_an_accuracy_in_words_is_read_back(percent, counts, absolute):
    found = Accuracy(percent=percent, counts=Decimal(counts), absolute=absolute, unit="V")

    assert read_accuracy(found.words) == found


@pytest.mark.parametrize(
    ("text", "reading", "unit", "resolution", "span", "expected"),
    [
        ("0.5 % + 2", "12.6", "V", "0.01", None, "0.083"),
        ("0.5 % + 2", "-12.6", "V", "0.01", None, "0.083"),
        ("1 % + 0.02 V", "100", "mV", None, None, "21"),
        ("1.5 % FS", "3", "bar", None, "10", "0.15"),
        ("±2 °C or 2 %, whichever is greater", "90", "°C", None, None, "2"),
        ("±2 °C or 2 %, whichever is greater", "150", "°C", None, None, "3"),
        ("1 °C", "100", "°F", None, None, "1.8"),  # a width: the zero points do not matter
    ],
)
def test_half_width_in_the_unit_of_the_reading(text, reading, unit, resolution, span, expected):
    width = read_accuracy(text).half_width(
        Fraction(reading),
        unit,
        resolution=resolution and Fraction(resolution),
        span=span and Fraction(span),
    )

    assert width == Fraction(expected)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "empty"),
        ("good", "not_an_accuracy"),
        ("0.05", "counts_or_unit"),
        ("2", "counts_or_unit"),
        ("0.5 % + 0.02", "counts_or_unit"),
        ("0.5 % + 2 furlongs", "not_an_accuracy"),
        ("-0.5 % + 2", "negative"),
        ("0.5 % + 1 %", "twice"),
        ("0.5 % + nan", "not_an_accuracy"),
        ("1 % or 2 % or 3 %", "too_many"),
        ("1 % (k = 0)", "coverage"),
        ("1" * 200, "too_long"),
        ("0.5 % +", "not_an_accuracy"),
    ],
)
def test_what_is_no_clear_accuracy_is_asked_about(text, code):
    with pytest.raises(Question) as asked:
        read_accuracy(text)

    assert asked.value.code == code
    assert len(str(asked.value)) > 20


@pytest.mark.parametrize(
    ("text", "code"),
    [("0.5 % + 2", "resolution_missing"), ("1 % FS", "range_missing"), ("0.1 A", "unit_of_another_kind")],
)
def test_what_a_half_width_needs_is_asked_for(text, code):
    with pytest.raises(Question) as asked:
        read_accuracy(text).half_width(Fraction(1), "V")

    assert asked.value.code == code


@given(st.text(alphabet="0123456789.,+±-()% rdgtcountsVkorFS=²", max_size=40))
def test_any_text_is_an_accuracy_or_a_question(text):
    try:
        found = read_accuracy(text)
    except Question as question:
        assert str(question)  # noqa: PT017
        return
    assert found.percent >= 0
