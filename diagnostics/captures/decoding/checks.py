"""The check sums of the vehicle buses, over bytes and over bits."""

from __future__ import annotations

from collections.abc import Iterable

CRC8_POLYNOMIAL = 0x1D  # x8 + x4 + x3 + x2 + 1. MC68HC08AS32 data book, read.
CRC8_PRESET = 0xFF  # Same source.
CRC8_RESIDUE = 0xC4  # Left by an error-free frame. University lecture note on J1850, read.
CRC15_POLYNOMIAL = 0x4599  # CAN 2.0 text as quoted, read.
CLASSIC_ALWAYS = (0x3C, 0x3D)  # LIN identifiers of diagnosis. Two semiconductor manuals, read.


def crc8_register(data: Iterable[int]) -> int:
    """Return what the CRC-8 register of SAE J1850 holds after the bytes, before the complement.

    Parameters
    ----------
    data : bytes, or integers from 0 to 255

    Returns
    -------
    int
        0 to 255. `CRC8_RESIDUE` after an error-free frame with its check byte.

    References
    ----------
    .. [1] MC68HC08AS32 data book, byte data link controller: polynomial, preset, complement. Read.
    """
    register = CRC8_PRESET
    for byte in data:
        register = _CRC8_TABLE[register ^ byte]
    return register


def crc8_j1850(data: Iterable[int]) -> int:
    """Return the check byte of SAE J1850 (0 to 255) for the bytes of a frame; the start symbol is no byte."""
    return crc8_register(data) ^ 0xFF


def crc15_can(bits: Iterable[int]) -> int:
    """Return the 15-bit CRC of CAN over unstuffed bits.

    Parameters
    ----------
    bits : integers 0 or 1
        From the start of frame to the last bit of data, in the order sent.

    Returns
    -------
    int
        0 to 32767.

    References
    ----------
    .. [1] Bosch, CAN Specification 2.0, 1991, part A section 3.1.1, CRC field. Polynomial read as quoted.
    """
    crc = 0
    for bit in bits:
        apart = bit ^ (crc >> 14)
        crc = (crc << 1) & 0x7FFF
        if apart:
            crc ^= CRC15_POLYNOMIAL
    return crc


def can_header_bits(
    identifier: int, length: int, *, extended: bool = False, remote: bool = False
) -> list[int]:
    """Return the bits of a CAN frame from its start to the length code, unstuffed.

    Parameters
    ----------
    identifier : int
        0 to 2**11 - 1, or 0 to 2**29 - 1 if `extended`.
    length : int
        The length code, 0 to 15.

    Returns
    -------
    list of 19 or 39 integers 0 or 1

    References
    ----------
    .. [1] Bosch, CAN Specification 2.0, 1991, parts A and B, arbitration and control field. From memory.
    """
    asks = int(remote)
    if extended:
        return [
            *bits_of(identifier >> 18, 12),  # Start of frame, a dominant 0, is the leading bit.
            *(1, 1),
            *bits_of(identifier & 0x3FFFF, 18),
            *(asks, 0, 0),
            *bits_of(length, 4),
        ]
    return [*bits_of(identifier, 12), asks, 0, 0, *bits_of(length, 4)]


def bits_of(value: int, count: int) -> list[int]:
    """Return the last `count` bits of a value, most significant first."""
    return [value >> place & 1 for place in range(count - 1, -1, -1)]


def lin_checksum(data: Iterable[int], protected: int | None = None) -> int:
    """Return the LIN checksum: the inverted 8-bit sum with the carry added back.

    Parameters
    ----------
    data : bytes, or integers from 0 to 255
    protected : int, optional
        The protected identifier, for the enhanced checksum; without it the checksum is the classic one.
        Identifiers 3C and 3D have the classic one always.

    Returns
    -------
    int
        0 to 255.

    References
    ----------
    .. [1] LIN Specification Package 2.1, 2006, section 2.3.1.5. Rule read in two semiconductor manuals.
    """
    enhanced = protected is not None and protected & 0x3F not in CLASSIC_ALWAYS
    total = protected if enhanced and protected is not None else 0
    for byte in data:
        total += byte
        if total > 0xFF:
            total -= 0xFF
    return total ^ 0xFF


def lin_protected(identifier: int) -> int:
    """Return the protected identifier of LIN: the six bits with two bits of parity above them.

    Parameters
    ----------
    identifier : int
        0 to 63.

    Returns
    -------
    int
        0 to 255.

    References
    ----------
    .. [1] LIN Specification Package 2.1, 2006, section 2.3.1.3: P0 even over bits 0, 1, 2, 4; P1 odd over
       bits 1, 3, 4, 5. From memory.
    """
    bit = [identifier >> place & 1 for place in range(6)]
    even = bit[0] ^ bit[1] ^ bit[2] ^ bit[4]
    odd = 1 ^ bit[1] ^ bit[3] ^ bit[4] ^ bit[5]
    return identifier | even << 6 | odd << 7


def kline_checksum(data: Iterable[int]) -> int:
    """Return the check byte of ISO 9141-2 and ISO 14230-2: the sum of the bytes modulo 256. From memory."""
    return sum(data) & 0xFF


def _crc8_of_byte(byte: int) -> int:
    for _ in range(8):
        byte = (byte << 1) ^ (CRC8_POLYNOMIAL if byte & 0x80 else 0)
    return byte & 0xFF


_CRC8_TABLE = tuple(_crc8_of_byte(byte) for byte in range(256))
