import pytest
from crccheck.crc import Crc8SaeJ1850, Crc15Can
from hypothesis import given
from hypothesis import strategies as st

from shared.computing import Refused, compute, find


@pytest.mark.parametrize(
    ("name", "values", "answer"),
    [
        # Check values of the CRC catalogue, as crccheck carries them.
        ("crc8_j1850", {"ascii": "123456789"}, "4B"),
        ("crc15_can", {"ascii": "123456789"}, "059E"),
        # Remainder C4 of an error-free frame: university lecture note on J1850.
        ("crc8_j1850_residue", {"bytes": "68 6A F1 01 00 17"}, "C4"),
        # crccheck 1.3.1, trade-values.md section 8.
        ("crc8_j1850", {"bytes": "68 6A F1 01 00"}, "17"),
        ("crc8_j1850", {"bytes": "686af10100"}, "17"),
        ("crc8_j1850", {"bytes": "48 6B 10 41 0C 1A F8"}, "B2"),
        ("crc15_can", {"id": "7DF", "data": "02 01 0C 00 00 00 00 00"}, "5649"),
        ("crc15_can", {"id": "123", "data": ""}, "6858"),
        # LIN specification 2.x worked example, from memory.
        ("lin_checksum", {"model": "classic", "data": "4A 55 93 E5"}, "E6"),
        ("lin_checksum", {"model": "classic", "data": "FF FF"}, "00"),
        ("lin_checksum", {"model": "enhanced", "pid": "C1", "data": "01 02 03"}, "38"),
        ("lin_pid", {"id": "00"}, "80"),
        ("lin_pid", {"id": "01"}, "C1"),
        ("lin_pid", {"id": "3c"}, "3C"),
        ("lin_pid", {"id": "3D"}, "7D"),
        # ISO 14230-2 start-communication request and ISO 9141-2 request, from memory.
        ("kline_checksum", {"bytes": "C1 33 F1 81"}, "66"),
        ("kline_checksum", {"bytes": "68 6A F1 01 00"}, "C4"),
    ],
)
def test_check_bytes_are_those_of_the_published_examples(name, values, answer):
    assert compute(f"net.{name}", values) == answer


@given(st.binary(min_size=1, max_size=40))
def test_the_crc8_agrees_with_crccheck(payload):
    assert compute("net.crc8_j1850", {"bytes": payload.hex()}) == f"{Crc8SaeJ1850.calc(payload):02X}"


@given(st.binary(min_size=1, max_size=40))
def test_a_frame_with_its_check_byte_leaves_c4(payload):
    whole = payload + bytes([Crc8SaeJ1850.calc(payload)])

    assert compute("net.crc8_j1850_residue", {"bytes": whole.hex(" ")}) == "C4"


@given(st.integers(0, 0x7FF), st.binary(max_size=8))
def test_the_crc15_of_a_frame_agrees_with_crccheck(identifier, data):
    bits = f"0{identifier:011b}000{len(data):04b}" + "".join(f"{byte:08b}" for byte in data)
    # Zeros in front change nothing because the preset is zero.
    whole = int(bits, 2).to_bytes((len(bits) + 7) // 8)

    assert (
        compute("net.crc15_can", {"id": f"{identifier:X}", "data": data.hex()})
        == f"{Crc15Can.calc(whole):04X}"
    )


@given(st.integers(0, 0x1FFFFFFF), st.binary(max_size=8))
def test_the_crc15_of_a_frame_with_a_long_identifier_agrees_with_crccheck(identifier, data):
    long = f"{identifier:029b}"
    bits = f"0{long[:11]}11{long[11:]}000{len(data):04b}" + "".join(f"{byte:08b}" for byte in data)
    whole = int(bits, 2).to_bytes((len(bits) + 7) // 8)

    assert (
        compute("net.crc15_can", {"id": f"{identifier:08x}", "data": data.hex()})
        == f"{Crc15Can.calc(whole):04X}"
    )


def test_a_remote_frame_has_its_own_crc():
    plain = compute("net.crc15_can", {"id": "123"})

    assert compute("net.crc15_can", {"id": "123", "remote": True, "dlc": 0}) != plain


@pytest.mark.parametrize(("protected", "identifier"), [("3C", "3C"), ("7D", "3D")])
def test_the_identifiers_of_diagnosis_have_the_classic_checksum(protected, identifier):
    classic = compute("net.lin_checksum", {"model": "classic", "data": "01 02 03"})

    assert compute("net.lin_checksum", {"model": "enhanced", "pid": protected, "data": "01 02 03"}) == classic


@given(st.binary(min_size=1, max_size=8), st.integers(0, 0x3B))
def test_a_lin_sum_with_its_checksum_is_all_ones(data, identifier):
    protected = compute("net.lin_pid", {"id": f"{identifier:02X}"})
    check = compute("net.lin_checksum", {"model": "enhanced", "pid": protected, "data": data.hex()})

    # LIN 2.x: the receiver adds everything with carry and finds FF, which is 0 modulo 255.
    assert (int(protected, 16) + sum(data) + int(check, 16)) % 255 == 0


@pytest.mark.parametrize(
    ("name", "values", "field", "words"),
    [
        ("crc8_j1850", {"bytes": "68 6"}, "bytes", "stands alone"),
        ("crc8_j1850", {"bytes": "6 8A 1"}, "bytes", "stands alone"),
        ("crc8_j1850", {"bytes": "68 G1"}, "bytes", "'G' is no hexadecimal digit"),
        ("crc8_j1850", {"bytes": "٣٣"}, "bytes", "no hexadecimal digit"),
        ("crc8_j1850", {"bytes": ""}, "bytes", "0 bytes"),
        ("crc8_j1850", {"ascii": "ä"}, "ascii", "no plain text"),
        ("crc8_j1850", {}, "bytes", "either"),
        ("crc8_j1850", {"bytes": "00", "ascii": "a"}, "bytes", "either"),
        ("crc15_can", {"id": "20000000"}, "id", "above 1FFFFFFF"),
        ("crc15_can", {"id": "800", "extended": False}, "id", "above 7FF"),
        ("crc15_can", {"id": ""}, "id", "no hexadecimal number"),
        ("crc15_can", {"id": "1", "data": "00" * 9}, "data", "9 bytes"),
        ("crc15_can", {"id": "1", "data": "00", "dlc": 2}, "dlc", "does not go with"),
        ("crc15_can", {"id": "1", "data": "00", "remote": True}, "data", "no data"),
        ("crc15_can", {"data": "00"}, "id", "no meaning"),
        ("crc15_can", {"id": "1", "bytes": "00"}, "id", "either"),
        ("lin_checksum", {"model": "enhanced", "data": "00"}, "pid", "needs the protected identifier"),
        ("lin_checksum", {"model": "other", "data": "00"}, "model", "cannot be used"),
        ("lin_checksum", {"model": "classic", "data": ""}, "data", "0 bytes"),
        ("lin_pid", {"id": "40"}, "id", "above 3F"),
        ("lin_pid", {"id": "-1"}, "id", "no hexadecimal number"),
        ("kline_checksum", {"bytes": "zz"}, "bytes", "no hexadecimal digit"),
        ("vpw_decode", {"us": [64, 64]}, "us", "start of frame"),
        ("vpw_decode", {"us": [200, 64, 64, 300]}, "us", "whole number of bytes"),
        ("vpw_decode", {"us": [200, 64, 20, 64]}, "us", "Pulse 3 of 20 us"),
        ("vpw_decode", {"us": [200, 64, 300]}, "us", "Pulse 3 of 300 us"),
        ("vpw_decode", {"us": [200]}, "us", "0 bits"),
    ],
)
def test_what_cannot_be_answered_is_refused_by_field(name, values, field, words):
    with pytest.raises(Refused, match=words) as refusal:
        compute(f"net.{name}", values)

    assert refusal.value.field == field
    assert refusal.value.allowed


@pytest.mark.parametrize(
    ("us", "active", "passive"),
    [
        # Receiver windows of SAE J1850, from memory; each row an edge of one.
        (0, "invalid", "invalid"),
        (34, "invalid", "invalid"),
        (34.1, "1", "0"),
        (96, "1", "0"),
        (96.1, "0", "1"),
        (163, "0", "1"),
        (163.1, "SOF", "EOD"),
        (239, "SOF", "EOD"),
        (239.1, "BREAK", "EOF"),
        (300, "BREAK", "EOF"),
        (1e6, "BREAK", "EOF"),
    ],
)
def test_a_pulse_belongs_to_the_window_whose_end_it_does_not_pass(us, active, passive):
    assert compute("net.vpw_symbol", {"us": us, "level": "active"}) == active
    assert compute("net.vpw_symbol", {"us": us, "level": "passive"}) == passive


# trade-values.md EX-128, computed from the nominal widths of the MPC5200B users guide.
PULSES = [
    200,
    64,
    64,
    128,
    128,
    128,
    128,
    64,
    128,
    64,
    64,
    128,
    128,
    128,
    128,
    128,
    128,
    128,
    64,
    128,
    64,
    64,
]
PULSES += [128, 64, 64, 128, 128, 64, 64, 64, 128, 128, 128]


@pytest.mark.parametrize("end", [[300], [200], [], [200, 64, 64, 300]])
def test_a_frame_ends_at_its_end_of_data_or_where_the_pulses_end(end):
    assert compute("net.vpw_decode", {"us": PULSES + end}) == "68 6A F1 92"


@pytest.mark.parametrize(
    ("name", "answer", "words"),
    [
        ("crc8_j1850_residue", "C4", "free of error"),
        ("crc8_j1850_residue", "C5", "damaged"),
        ("vpw_decode", "68 6A F1 03 CD", "is the right check byte"),
        ("vpw_decode", "68 6A F1 03 CE", "is not the right check byte"),
    ],
)
def test_an_answer_is_put_in_words(name, answer, words):
    assert words in find(f"net.{name}").says(answer, {})
