"""Answers of control units, by the framings of SAE J1979 / ISO 15031-5 and ISO 14229-1."""

import pytest

from diagnostics.codes.answers import codes_with_status, service_of, states_of
from diagnostics.codes.raw import hex_bytes
from shared.computing import Refused, compute


def answered(framing, data):
    return compute("dtc.response", {"framing": framing, "bytes": data})


@pytest.mark.parametrize(
    ("data", "codes"),
    [
        ("43 01 33 00 00 00 00", ["P0133"]),  # Public page on OBD mode 3.
        ("43 03 00 03 01 03 02", ["P0300", "P0301", "P0302"]),  # The same page.
        ("43 00 00 00 00 00 00", []),
        ("47 00 00 01 71 00 00", ["P0171"]),
        ("4a0420000000004a0430000000 00", ["P0420", "P0430"]),
    ],
)
def test_a_legacy_answer_has_three_pairs(data, codes):
    assert answered("legacy", data) == codes


@pytest.mark.parametrize(
    ("data", "codes"),
    [
        ("43 02 01 71 01 74 AA", ["P0171", "P0174"]),
        ("43 00", []),
        ("43 00 55 55 55 55 55", []),
        ("4A 01 C1 00", ["U0100"]),
        ("47 04 01 71 01 74 03 00 C1 00 00 00 00", ["P0171", "P0174", "P0300", "U0100"]),
    ],
)
def test_a_can_answer_says_how_many_codes_follow(data, codes):
    assert answered("can", data) == codes


@pytest.mark.parametrize(
    ("framing", "data", "said"),
    [
        ("legacy", "43 01 33", "3.bytes do not make"),
        ("legacy", "43 01 33 00 00 00 00 00", "8.bytes do not make"),
        ("legacy", "43 01 33 00 00 00 00 47 00 00 00 00 00 00", "47 in between"),
        ("can", "43", "number of codes is missing"),
        ("can", "43 02 01 71", "speaks of 2.codes and has 2.bytes"),
        ("can", "43 01 01", "speaks of 1.code and has 1.byte"),
        ("can", "7F 03 12", "refusal of the control unit"),
        ("can", "41 01 81 07 6D 6D", "41 does not begin"),
        ("can", "", "no.bytes"),
        ("can", "43 0", "'0' is not made of pairs"),
    ],
)
def test_a_malformed_answer_is_refused(framing, data, said):
    with pytest.raises(Refused, match=said):
        answered(framing, data)


def test_a_framing_of_another_name_is_refused():
    with pytest.raises(Refused, match="'serial' cannot be used for Framing"):
        answered("serial", "43 00")


@pytest.mark.parametrize(("data", "word"), [("43", "confirmed"), ("47", "pending"), ("4A", "permanent")])
def test_the_first_byte_says_which_codes_were_asked_for(data, word):
    assert service_of(hex_bytes(data)) == word


def test_an_answer_to_19_02_carries_the_status_of_each_code():
    found = codes_with_status(hex_bytes("59 02 FF 01 23 11 2F C1 00 00 08 00 00 00 00"))

    assert [(str(code), states) for code, states in found] == [
        ("P0123-11", ("current", "pending", "confirmed", "failed since clearing")),
        ("U0100-00", ("confirmed",)),
    ]


@pytest.mark.parametrize("data", ["59 02", "59 01 FF", "59 02 FF 01 23 11", "59 02 FF 01 23 11 2F 00"])
def test_a_broken_answer_to_19_02_is_refused(data):
    with pytest.raises(Refused, match="no whole answer to 19 02"):
        codes_with_status(hex_bytes(data))


def test_bits_about_the_running_trip_say_nothing():
    assert states_of(0x50) == ()
