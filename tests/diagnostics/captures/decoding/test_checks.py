"""The check sums against an independent library."""

import pytest
from crccheck.crc import Crc8SaeJ1850, Crc15Can
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.captures.decoding.checks import (
    CRC8_RESIDUE,
    bits_of,
    crc8_j1850,
    crc8_register,
    crc15_can,
    kline_checksum,
    lin_checksum,
    lin_protected,
)
from tests.diagnostics.captures.decoding.encoding_serial import lin_identifier, lin_sum


@given(st.binary(max_size=200))
def test_both_crcs_agree_with_crccheck(data):
    assert crc8_j1850(data) == Crc8SaeJ1850.calc(data)
    assert crc15_can(bit for byte in data for bit in bits_of(byte, 8)) == Crc15Can.calc(data)


@given(st.binary(max_size=11))
def test_an_error_free_frame_leaves_the_published_remainder(data):
    assert crc8_register(data + bytes([crc8_j1850(data)])) == CRC8_RESIDUE


@given(st.binary(min_size=1, max_size=8), st.integers(0, 63))
def test_the_lin_checksums_agree_with_a_second_way_to_add(data, identifier):
    protected = lin_identifier(identifier)

    assert lin_protected(identifier) == protected
    assert lin_checksum(data) == lin_sum(data)
    assert lin_checksum(data, protected) == lin_sum(data if identifier in (60, 61) else [protected, *data])


@pytest.mark.parametrize(("data", "check"), [("C133F181", 0x66), ("686AF10100", 0xC4)])
def test_the_k_line_check_byte_is_that_of_the_published_requests(data, check):
    # ISO 14230-2 and ISO 9141-2 requests, from memory.
    assert kline_checksum(bytes.fromhex(data)) == check
