import random
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st
from vininfo import Vin
from vininfo.exceptions import ValidationError

from shared.computing import Refused
from shop.vin import (
    check_digit_verdict,
    clean_vin,
    decoding,
    entry,
    explained,
    form_fault,
    model_year,
    number,
    oddities,
    remark,
    suggestion,
)
from shop.vin.entry import misreadings, same_value
from shop.vin.maker import is_small_maker, maker_code, needs_check_digit, region
from shop.vin.words import offered_years, said

RIGHT = "1M8GDM9AXKP042788"  # The example of the check digit of 49 CFR 565, check digit X.
VINS = st.text(alphabet=number.ALPHABET, min_size=17, max_size=17)


def with_right_digit(vin):
    return vin[:8] + number.check_digit(vin) + vin[9:]


# 1M8GDM9AXKP042788: the encyclopaedia's example of 49 CFR 565, read in two public copies; seventeen ones: the
# usual hand check, sum 89, from memory.
@pytest.mark.parametrize("vin", [RIGHT, "11111111111111111"])
def test_a_right_check_digit_matches(vin):
    assert check_digit_verdict(vin) == "match"


def test_a_wrong_check_digit_does_not_match():
    assert check_digit_verdict("1M8GDM9A1KP042788") == "mismatch"


def test_a_filler_is_no_check_digit():
    assert check_digit_verdict("1M8GDM9AZKP042788") == "not-applicable"


def test_blanks_and_hyphens_are_dropped():
    assert clean_vin(" 1m8gdm9a-xkp 042788 ") == RIGHT


@pytest.mark.parametrize("mark", ["\u2011", "\u2013", "\u00a0", "\u200b", "\ufeff", "\t"])
def test_marks_that_pasted_text_carries_along_are_dropped(mark):
    assert clean_vin(f"1M8GDM9AX{mark}KP042788") == RIGHT


def test_a_short_vin_says_how_long_it_is():
    assert form_fault("1M8") == "This VIN has 3 characters, not 17. Read the plate again."


def test_a_letter_that_is_never_used_is_named():
    assert "no 'O'" in form_fault("1M8GDM9AXKPO42788")


def test_another_character_is_not_taken_for_a_letter_that_is_never_used():
    assert form_fault("1M8GDM9AXKP0427ß8") == (
        "A VIN has no 'ß'. It is written in 0 to 9 and A to Z, without I, O and Q."
    )


@pytest.mark.parametrize("ask", [number.weighted_sum, number.check_digit, check_digit_verdict, model_year])
@pytest.mark.parametrize("vin", ["", "1M8", RIGHT + "1", "1M8GDM9AXKPO42788"])
def test_what_is_no_vin_is_refused_with_what_is_wrong(ask, vin):
    with pytest.raises(Refused, match=r"Read the plate again|look for 1 or 0"):
        ask(vin)


@pytest.mark.parametrize("vin", [" 1m8gdm9a-xkp 042788", "1m8gdm9axkp042788"])
def test_a_number_is_taken_as_typed(vin):
    assert (number.weighted_sum(vin), check_digit_verdict(vin), model_year(vin)) == (351, "match", 1989)


@given(VINS)
def test_the_check_digit_put_in_place_matches(vin):
    assert check_digit_verdict(with_right_digit(vin)) == "match"


@given(VINS, st.integers(0, 16), st.sampled_from(number.ALPHABET))
def test_one_changed_character_is_caught_unless_it_counts_the_same(vin, at, other):
    vin = with_right_digit(vin)
    changed = vin[:at] + other + vin[at + 1 :]
    unseen = other == vin[at] or (at != 8 and other in same_value(vin[at]))
    free = at == 8 and other not in number.CHECK_DIGITS

    assert check_digit_verdict(changed) == ("not-applicable" if free else "match" if unseen else "mismatch")


# vininfo 1.11 answers plain False where there is no check digit, and refuses U, Z and 0 as a year; so only
# numbers with a check digit and a year are compared (trade-values.md section 10).
@given(VINS.filter(lambda vin: vin[8] in number.CHECK_DIGITS and vin[9] in number.YEAR_CODES))
def test_vininfo_agrees_on_check_digit_and_years(vin):
    vin = with_right_digit(vin) if vin[0] < "8" else vin
    try:
        other = Vin(vin)
    except ValidationError:
        pytest.fail(f"vininfo refuses {vin}")

    assert other.verify_checksum() == (check_digit_verdict(vin) == "match")
    assert set(number.cycles(vin)) <= set(other.years) | {2027 + n for n in range(13)}


def test_ultravin_agrees_on_the_check_digit_of_made_numbers():
    ultravin = pytest.importorskip("ultravin")
    made = ultravin.generate(300, seed=3)
    chance = random.Random(3)
    slipped = [vin[:11] + chance.choice("0123456789") + vin[12:] for vin in made]

    for vin in (*made, *slipped):
        assert ultravin.decode(vin)["check_digit_valid"] == (check_digit_verdict(vin) == "match"), vin


# Position 7: 73 FR 23367 (2008), read in a public copy.
@pytest.mark.parametrize(("vin", "year"), [("1Z9AB1237AB000001", 1980), ("1Z9AB1A37AB000001", 2010)])
def test_position_seven_tells_the_cycle_of_a_light_vehicle(vin, year):
    assert model_year(vin) == year


@pytest.mark.parametrize("code", "UZ0")
def test_what_is_no_year_code_gives_no_year(code):
    vin = f"1Z9AB1237{code}B000001"

    assert (model_year(vin), number.cycles(vin)) == (None, ())


def test_thirty_codes_cover_both_cycles_without_a_gap():
    vins = [f"1Z9AB1237{code}B000001" for code in number.YEAR_CODES]

    years = sorted(year for vin in vins for year in number.cycles(vin))

    assert years == list(range(1980, 2040))


def test_both_years_are_offered_where_the_rule_does_not_hold():
    assert offered_years("WZ9ZZZ123DB000001", latest=2027) == (2013, 1983)


def test_the_year_of_the_rule_comes_first_in_north_america():
    assert offered_years("1Z9AB1237DB000001", latest=2027) == (1983, 2013)


def test_a_year_still_to_come_is_not_offered():
    assert offered_years("1Z9AB1A37WB000001", latest=2027) == (1998,)
    assert (
        "a trailer, a motorcycle or a vehicle above 4536 kg"
        in said("1Z9AB1A37WB000001", latest=2027).year_words
    )


# ISO 3780, from memory.
@pytest.mark.parametrize(
    ("first", "where"),
    [
        *((first, "North America") for first in "123457"),
        *(("6", "Oceania"), ("9", "South America"), ("A", "Africa"), ("J", "Asia"), ("L", "Asia")),
        *(("S", "Europe"), ("Z", "Europe"), ("0", ""), ("D", "")),
    ],
)
def test_the_first_character_tells_the_region(first, where):
    assert region(first + RIGHT[1:]) == where


def test_nine_in_position_three_is_a_small_maker_with_a_longer_code():
    assert (is_small_maker("1Z9AB1237AB123001"), maker_code("1Z9AB1237AB123001")) == (True, "1Z9123")
    assert (is_small_maker(RIGHT), maker_code(RIGHT)) == (False, "1M8")


def test_a_check_digit_is_required_in_north_america_and_china():
    needing = {first for first in number.ALPHABET if needs_check_digit(first + RIGHT[1:])}

    assert needing == set("12345 7L".replace(" ", ""))


# Odd entry.
def test_letters_that_are_never_used_are_named_with_the_likely_digit():
    sentences = [odd.sentence for odd in oddities("IM8GDM9AXKPO4278Q")]

    assert sentences == [
        "Position 1: a VIN has no I; it may be 1.",
        "Position 12: a VIN has no O; it may be 0.",
        "Position 17: a VIN has no Q; it may be 0 or 9.",
    ]


@pytest.mark.parametrize(
    ("typed", "likely", "name"),
    [
        ("М", "M", "cyrillic capital letter em"),
        ("Ｍ", "M", "fullwidth latin capital letter m"),
        ("Μ", "M", "greek"),
    ],
)
def test_a_look_alike_is_named_with_what_it_looks_like(typed, likely, name):
    (odd,) = oddities(f"1{typed}8GDM9AXKP042788")

    assert (odd.position, odd.written, odd.likely) == (2, typed, likely)
    assert name in odd.sentence


@pytest.mark.parametrize(
    "typed", ["1М8GDМ9АХКР042788", "１Ｍ８ＧＤＭ９ＡＸＫＰ０４２７８８", "1M8GDM9AXKPО42788"]
)
def test_what_was_meant_is_suggested(typed):
    assert suggestion(typed) == RIGHT


def test_of_two_readings_the_one_whose_check_digit_agrees_is_suggested():
    nine = with_right_digit("1M8GDM9AXKP942788")

    assert suggestion(nine[:11] + "Q" + nine[12:]) == nine


def test_nothing_is_suggested_where_nothing_fits_or_nothing_is_odd():
    assert (suggestion("1M8GDM9AXKP04278%"), suggestion(RIGHT), suggestion("1M8O")) == ("", "", "")


def test_small_letters_blanks_and_a_small_l_are_remarked_on():
    sentences = [odd.sentence for odd in oddities("1m8 gdm9axlp042788")]

    assert sentences == [
        "Blanks and hyphens are left out.",
        "Small letters are read as capitals.",
        "Position 10: a small l is read as L. If it is a one, write 1.",
    ]


def test_a_character_typed_twice_is_looked_for():
    assert oddities("1M8GDDM9AXKP042788")[0].sentence == (
        "18 characters, not 17: one too many. Perhaps one was typed twice: look at position 6 and 18."
    )


def test_a_right_number_has_nothing_odd():
    assert oddities(RIGHT) == ()
    assert explained(RIGHT) == ""


def test_a_refusal_says_where_what_and_what_was_meant():
    assert explained("1M8GDM9AXKPO42788") == (
        "Position 12: a VIN has no O; it may be 0. "
        "Perhaps 1M8GDM9AXKP042788 was meant, and its check digit agrees."
    )


def test_characters_of_equal_value_cannot_be_told_apart():
    assert (same_value("1"), same_value("C"), same_value("0")) == ("AJ", "3LT", "")


def test_a_misread_character_is_found_by_the_check_digit():
    vin = with_right_digit("1M8GDM9AXKP5427B8")
    slipped = vin.replace("B", "8")

    assert (16, "8", "B") in {(odd.position, odd.written, odd.likely) for odd in misreadings(slipped)}


def test_exchanged_neighbours_are_found_by_the_check_digit():
    slipped = RIGHT[:12] + "24" + RIGHT[14:]

    assert (13, "24", "42") in {(odd.position, odd.written, odd.likely) for odd in misreadings(slipped)}


@given(VINS)
def test_every_hint_of_a_misreading_would_agree(vin):
    for odd in misreadings(vin):
        at = odd.position - 1
        assert check_digit_verdict(vin[:at] + odd.likely + vin[at + len(odd.likely) :]) == "match"


@given(st.text(max_size=40))
def test_any_text_is_explained_or_is_a_vin(text):
    assert bool(explained(text)) == (number.form(text) != "ok")
    assert entry.entry(text)["vin"] == clean_vin(text)
    said(text, latest=2027)
    meant = suggestion(text)
    assert not meant or number.form(meant) == "ok"


# Words.
def test_a_vin_that_was_imported_out_of_form_is_remarked_on():
    assert remark("SHORT") == "not the form of a VIN"


@pytest.mark.parametrize(
    ("vin", "words", "doubtful"),
    [
        (RIGHT, "check digit agrees", False),
        ("1M8GDM9A1KP042788", "check digit does not agree: read the plate again", True),
        ("1M8GDM9AZKP042788", "no check digit where one is required: read the plate again", True),
        ("WZ9ZZZ8KZ9A000001", "no check digit", False),
        ("WZ9ZZZ8K09A000001", "check digit does not agree; outside North America it need not", False),
    ],
)
def test_the_remark_weighs_the_verdict_by_the_region(vin, words, doubtful):
    assert (remark(vin), said(vin, latest=2027).is_doubtful) == (words, doubtful)


# The optional library.
def test_a_number_is_decoded_without_a_network():
    pytest.importorskip("ultravin")

    found = decoding.decode(RIGHT.lower())

    assert found.make
    assert found.model
    assert (found.engine[:13], found.year) == ("12.1 l diesel", 1989)


@pytest.mark.parametrize("vin", ["", "short", "00Z00000000000000", "1M8GDM9AXKPO42788"])
def test_an_unknown_maker_or_a_number_out_of_form_gives_nothing(vin):
    assert decoding.decode(vin) is None


def test_without_the_extra_nothing_is_said_and_nothing_fails(monkeypatch):
    decoding._decoded.cache_clear()
    monkeypatch.setitem(sys.modules, "ultravin", None)

    assert decoding.decode(RIGHT) is None
    decoding._decoded.cache_clear()


def test_a_number_is_decoded_once():
    pytest.importorskip("ultravin")
    decoding._decoded.cache_clear()

    decoding.decode(RIGHT)
    decoding.decode(RIGHT)

    assert decoding._decoded.cache_info().hits == 1
