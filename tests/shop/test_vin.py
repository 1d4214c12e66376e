import pytest

from shop.vin import check_digit_verdict, clean_vin, form_fault, remark


# The example of 49 CFR 565: 1M8GDM9AXKP042788 has the check digit X. From memory of the regulation's example,
# and all ones, the well-known number that gives 1.
@pytest.mark.parametrize("vin", ["1M8GDM9AXKP042788", "11111111111111111"])
def test_a_right_check_digit_matches(vin):
    assert check_digit_verdict(vin) == "match"


def test_a_wrong_check_digit_does_not_match():
    assert check_digit_verdict("1M8GDM9A1KP042788") == "mismatch"


def test_a_filler_is_no_check_digit():
    assert check_digit_verdict("1M8GDM9AZKP042788") == "not-applicable"


def test_blanks_and_hyphens_are_dropped():
    assert clean_vin(" 1m8gdm9a-xkp 042788 ") == "1M8GDM9AXKP042788"


def test_a_short_vin_says_how_long_it_is():
    assert form_fault("1M8") == "This VIN has 3 characters, not 17. Read the plate again."


def test_a_letter_that_is_never_used_is_named():
    assert "no 'O'" in form_fault("1M8GDM9AXKPO42788")


def test_a_vin_that_was_imported_out_of_form_is_remarked_on():
    assert remark("SHORT") == "not the form of a VIN"
