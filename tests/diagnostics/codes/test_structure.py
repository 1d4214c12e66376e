"""Codes and their bytes, by the rule of SAE J2012 / ISO 15031-6: rows of trade-values.md section 8."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.codes.structure import Code, bytes_of, code_of, read_code
from shared.computing import Refused, compute

# Bytes, code, and where the pair is printed.
PUBLISHED = [
    ("01 35", "P0135", "public copy of an encyclopaedia's text"),
    ("03 00", "P0300", "public post on service 03"),
    ("01 01", "P0101", "public post on service 03"),
    ("41 23", "C0123", "comment in an open-source decoder"),
    ("C1 00", "U0100", "layout read, value by the rule"),
    ("92 34", "B1234", "layout read, value by the rule"),
    ("24 4F", "P244F", "layout read, value by the rule"),
    ("D1 55", "U1155", "layout read, value by the rule"),
    ("0A 80", "P0A80", "layout read, value by the rule"),
    ("34 12", "P3412", "layout read, value by the rule"),
    ("81 FF", "B01FF", "layout read, value by the rule"),
    ("C0 73", "U0073", "layout read, value by the rule"),
    ("3A 7F", "P3A7F", "layout read, value by the rule"),
    ("01 71", "P0171", "layout read, value by the rule"),
    ("C1 40", "U0140", "layout read, value by the rule"),
    ("93 42", "B1342", "layout read, value by the rule"),
    ("45 61", "C0561", "layout read, value by the rule"),
    ("0A A6", "P0AA6", "layout read, value by the rule"),
]
# SAE J2012 ranges, read in two public pages.
CONTROLLED = [
    ("P0420", "iso-sae"), ("P1133", "manufacturer"), ("P2096", "iso-sae"), ("P3000", "manufacturer"),
    ("P33FF", "manufacturer"), ("P3400", "iso-sae"), ("P3499", "iso-sae"), ("P39FF", "iso-sae"),
    ("P3A00", "reserved"), ("P3FFF", "reserved"), ("C0035", "iso-sae"), ("C1234", "manufacturer"),
    ("C2000", "manufacturer"), ("C3000", "reserved"), ("B0001", "iso-sae"), ("B2FFF", "manufacturer"),
    ("B3001", "reserved"), ("U0100", "iso-sae"), ("U2100", "manufacturer"), ("U3000", "reserved"),
]  # fmt: skip

codes = st.builds(
    Code,
    st.from_regex(r"[PCBU][0-3][0-9A-F]{3}", fullmatch=True).filter(lambda base: base != "P0000"),
    st.one_of(st.just(""), st.from_regex(r"[0-9A-F]{2}", fullmatch=True)),
)


@pytest.mark.parametrize(("data", "code", "source"), PUBLISHED)
def test_bytes_and_code_belong_together(data, code, source):
    assert compute("dtc.decode", {"bytes": data}) == code
    assert compute("dtc.encode", {"code": code}) == data


@pytest.mark.parametrize("data", ["00 00", "0000", "00 00 00"])
def test_zero_bytes_are_padding_and_no_code(data):
    assert compute("dtc.decode", {"bytes": data}) is None


@pytest.mark.parametrize(
    "data", ["0123 11", "01 23 11", "012311", " 01\t23\n11 ", "0x01,0x23,0x11", "01-23-11"]
)
def test_a_third_byte_is_the_failure_type(data):
    assert compute("dtc.decode", {"bytes": data}) == "P0123-11"


def test_lower_case_reads_as_upper_case():
    assert compute("dtc.decode", {"bytes": "c1 4f"}) == "U014F"
    assert compute("dtc.encode", {"code": "u014f"}) == "C1 4F"


@pytest.mark.parametrize("code", ["P0123-1A", "p0123:1a", "P0123 1A", "P01231A", " P0123-1A "])
def test_a_code_with_its_failure_type_has_three_bytes(code):
    assert compute("dtc.encode", {"code": code}) == "01 23 1A"


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ("", "no.bytes"), ("01", "1.byte "), ("01 23 11 2F", "4.bytes"), ("1 35", "'1'"), ("013", "'013'"),
        ("G1 35", "'G1'"), ("01 ３5", "'３5'"), ("01 35 zz", "'ZZ'"),
    ],
)  # fmt: skip
def test_bytes_that_are_no_code_are_refused(data, said):
    with pytest.raises(Refused, match=said) as refused:
        compute("dtc.decode", {"bytes": data})

    assert refused.value.field == "bytes"
    assert "pairs of hexadecimal digits" in refused.value.allowed


@pytest.mark.parametrize(
    "code", ["", "P017", "P01711", "P4171", "X0171", "PO171", "P0171-1", "P017G", "P0171-111", "P0１71"]
)
def test_text_that_is_no_code_is_refused(code):
    with pytest.raises(Refused, match="does not have the form of a trouble code") as refused:
        compute("dtc.encode", {"code": code})

    assert "P, C, B or U" in refused.value.allowed


@pytest.mark.parametrize(("code", "control"), CONTROLLED)
def test_who_controls_a_code(code, control):
    assert compute("dtc.control", {"code": code}) == control
    assert compute("dtc.control", {"code": f"{code.lower()}-11"}) == control


def test_every_code_is_controlled_by_one_of_three():
    found = {code_of(high.to_bytes(2, "big")).control for high in range(1, 0x10000)}

    assert found == {"iso-sae", "manufacturer", "reserved"}


@given(codes)
def test_a_code_survives_its_bytes(code):
    assert code_of(bytes_of(code)) == code
    assert read_code(str(code)) == code


def test_every_two_bytes_are_one_code():
    texts = {str(code_of(number.to_bytes(2, "big"))) for number in range(1, 0x10000)}

    assert len(texts) == 0xFFFF


@pytest.mark.parametrize(
    ("code", "area"),
    [
        ("P0A80", "hybrid drive"), ("P0301", "ignition or misfire"), ("P0171", "fuel and air metering"),
        ("P0740", "transmission"), ("P0442", "auxiliary emission control"), ("U0301", ""), ("P0D00", ""),
    ],
)  # fmt: skip
def test_the_third_character_of_a_p_code_names_an_area(code, area):
    assert read_code(code).area == area
