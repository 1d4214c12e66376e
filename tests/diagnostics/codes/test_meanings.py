"""Short meanings: the shop's own first, then the starter list; none where the maker defines the code."""

import pytest

from diagnostics.codes.meanings import failure_types, meaning_of, starter_codes
from diagnostics.codes.structure import read_code

# Two independent public lists agree on these (trade-values.md section 2.1); each with a word that tells it.
AGREED = {
    "P0101": "air-flow", "P0113": "intake-air", "P0117": "low", "P0118": "high", "P0128": "thermostat",
    "P0171": "lean", "P0174": "lean", "P0172": "rich", "P0300": "random", "P0301": "cylinder 1",
    "P0335": "crankshaft", "P0340": "camshaft", "P0401": "too low", "P0420": "catalyst", "P0430": "catalyst",
    "P0442": "small", "P0455": "large", "P0500": "speed", "P0562": "low", "P0563": "high", "P0601": "memory",
    "P0700": "lamp", "P2135": "do not agree", "U0001": "high-speed CAN", "U0073": "bus is off",
    "U0100": "engine control", "U0101": "transmission", "U0121": "anti-lock", "U0140": "body",
}  # fmt: skip


@pytest.mark.parametrize("code", AGREED)
def test_a_common_code_has_its_meaning(code):
    assert AGREED[code] in meaning_of(read_code(code)).text


def test_the_starter_list_names_only_codes_of_the_standard():
    assert {read_code(code).control for code in starter_codes()} == {"iso-sae"}


def test_every_failure_type_is_one_byte():
    assert all(read_code(f"P0123-{byte}").failure_type == byte for byte in failure_types())


# SAE J2012-DA, from memory: trade-values.md section 2.1.
@pytest.mark.parametrize(
    ("byte", "word"),
    [("11", "short to ground"), ("12", "short to battery"), ("13", "open"), ("14", "ground, or open"),
     ("15", "battery, or open"), ("62", "compare")],
)  # fmt: skip
def test_the_failure_type_says_how_it_failed(byte, word):
    assert word in meaning_of(read_code(f"P0123-{byte}")).failure_type


def test_the_shop_s_own_meaning_goes_first():
    meaning = meaning_of(read_code("P0171"), {"P0171": "too little fuel"})

    assert (meaning.text, meaning.source) == ("too little fuel", "shop")


def test_the_shop_may_name_one_failure_type_apart():
    shop = {"P0171": "too little fuel", "P0171-11": "wire on ground"}

    assert meaning_of(read_code("P0171-11"), shop).text == "wire on ground"
    assert meaning_of(read_code("P0171-12"), shop).text == "too little fuel"


def test_a_maker_s_code_has_no_meaning_here():
    meaning = meaning_of(read_code("P1133"))

    assert (meaning.text, meaning.source) == ("", "")
    assert "maker’s information" in meaning.control
