from decimal import Decimal

import pytest

from shared import wording

D = Decimal
KM_PER_INTERNATIONAL_MILE = (
    "1.609344"  # NIST Handbook 44, appendix C: 1 mile = 1.609 344 km exactly. From memory.
)


def spaced(text):
    return text.replace(wording.NBSP, " ")


def test_a_value_keeps_the_decimals_the_instrument_showed():
    assert spaced(wording.quantity_text(D("12.30"), "V")) == "12.30 V"


def test_a_negative_value_has_a_true_minus():
    assert spaced(wording.quantity_text(D("-0.5"), "°C")) == "−0.5 °C"


def test_a_large_decimal_is_written_without_an_exponent():
    assert wording.number_text(D("1E+3")) == "1000"


def test_a_missing_value_says_so():
    assert wording.quantity_text(None, "V") == "not given"


@pytest.mark.parametrize(
    ("lo", "hi", "words"),
    [
        (D("12.40"), D("12.90"), "12.40 to 12.90 V"),
        (None, D("0.05"), "0.05 V or less"),
        (D("12.40"), None, "12.40 V or more"),
        (D("5"), D("5"), "5 V"),
        (None, None, "no limit given"),
    ],
)
def test_limits_are_written_in_words(lo, hi, words):
    assert spaced(wording.limits_text(lo, hi, "V")) == words


def test_a_distance_is_whole_and_its_thousands_are_parted():
    assert spaced(wording.distance_text(D("61516.4"), "mi")) == "61,516 miles"


def test_one_mile_is_singular():
    assert spaced(wording.distance_text(1, "mi")) == "1 mile"


def test_an_unknown_unit_of_distance_is_refused():
    with pytest.raises(ValueError, match="no unit of distance"):
        wording.distance_text(1, "furlong")


def test_the_window_of_6000_km_is_3728_miles():
    assert round(wording.distance_in(6000, "km", "mi")) == 3728


def test_a_mile_is_the_international_mile():
    assert wording.distance_in(1, "mi", "km") == D(KM_PER_INTERNATIONAL_MILE)


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        (0, "0 min"),
        (15, "15 min"),
        (125, "2 h 5 min"),
        (120, "2 h"),
        (25 * 60, "1 day 1 h"),
        (24 * 60, "1 day"),
        (13 * 24 * 60 + 500, "13 days"),
        (-20, "−20 min"),
    ],
)
def test_a_stretch_of_time_is_said_in_its_largest_parts(minutes, words):
    assert spaced(wording.minutes_text(minutes)) == words


@pytest.mark.parametrize(("n", "words"), [(0, "no gaps"), (1, "1 gap"), (2, "2 gaps"), (1200, "1,200 gaps")])
def test_a_count_agrees_with_its_noun(n, words):
    assert spaced(wording.count_text(n, "gap")) == words


def test_a_share_is_rounded_half_up_in_per_cent():
    assert wording.percent_text(D(16) / D(214)) == "7.5"


def test_the_interval_of_16_in_214_reads_as_printed():
    # Wilson 95 % limits of 16 of 214, worked by hand from the formula: 0.0465, 0.1178.
    assert wording.interval_text(0.0465, 0.1178) == "4.7 to 11.8"


@pytest.mark.parametrize(
    ("amount", "currency", "words"),
    [("1141.60", "GBP", "£1,141.60"), ("-9", "EUR", "−€9.00"), ("1200.5", "SEK", "1,200.50 SEK")],
)
def test_money_carries_its_currency_and_two_decimals(amount, currency, words):
    assert spaced(wording.money_text(D(amount), currency)) == words


@pytest.mark.parametrize(
    ("words", "text"), [([], ""), (["a"], "a"), (["a", "b"], "a and b"), (["a", "b", "c"], "a, b and c")]
)
def test_words_are_joined_as_a_sentence_would(words, text):
    assert wording.and_list(words) == text
