"""Check sums, identifiers and symbols of the vehicle buses, as bytes typed in hexadecimal."""

from __future__ import annotations

import string
from collections.abc import Sequence

from diagnostics.captures.decoding import checks, vpw_symbols
from shared.computing import Given, Refused, computation

HEX_ALLOWED = "pairs of hexadecimal digits, with or without blanks, as in 68 6A F1 01 00"
MOST_BYTES = 4096  # Longer than any frame of these buses; the longest of ISO 14230-2 has 260.
LONGEST_DATA = 8  # Data bytes of a CAN 2.0 or LIN frame.

_BYTES = Given("bytes", "bytes", kind="text", example="68 6A F1 01 00")
_EITHER_BYTES = Given("bytes", "bytes", kind="text", optional=True, example="68 6A F1 01 00")
_EITHER_ASCII = Given("ascii", "the bytes as plain text", kind="text", optional=True)
_VPW_SOURCE = "SAE J1850: receiver windows from memory; nominal widths read in MPC5200B users guide"
_CRC8_SOURCE = "SAE J1850; polynomial, preset and complement read in MC68HC08AS32 data book"
_PULSES = [
    200, 64, 64, 128, 128, 128, 128, 64, 128, 64, 64, 128, 128, 128, 128, 128, 128, 128, 64, 128, 64, 64, 128,
    64, 64, 128, 128, 64, 64, 64, 128, 128, 128, 300,
]  # fmt: skip
_LIN_SOURCE = "LIN Specification Package 2.1, 2.3.1.5; rule read in two semiconductor manuals"


def bytes_typed(field: str, text: str, *, least: int = 0, most: int = MOST_BYTES) -> bytes:
    """Return the bytes that a text spells in hexadecimal.

    Parameters
    ----------
    field : str
        Name of the value, for the refusal.
    text : str
        Pairs of digits of either case; blanks may stand between the pairs.
    least, most : int
        How many bytes there may be.

    Raises
    ------
    Refused
        If a character is no hexadecimal digit, a digit stands alone, or the count does not fit.
    """
    groups = text.split()
    strange = next((c for group in groups for c in group if c not in string.hexdigits), "")
    if strange:
        raise Refused(field, f"'{strange}' is no hexadecimal digit.", HEX_ALLOWED)
    if any(len(group) % 2 for group in groups):
        raise Refused(field, "A digit stands alone: each byte has two.", HEX_ALLOWED)
    typed = bytes.fromhex("".join(groups))
    if not least <= len(typed) <= most:
        raise Refused(field, f"There are {len(typed)} bytes.", f"{least} to {most} bytes: {HEX_ALLOWED}")
    return typed


def hex_number(field: str, text: str, highest: int) -> int:
    """Return a number typed in hexadecimal, from 0 to `highest`, or raise `Refused`."""
    digits = "".join(text.split())
    allowed = f"a hexadecimal number from 0 to {highest:X}"
    if not digits or any(c not in string.hexdigits for c in digits):
        raise Refused(field, f"'{text[:40]}' is no hexadecimal number.", allowed)
    number = int(digits[:MOST_BYTES], 16)
    if number > highest:
        raise Refused(field, f"{digits[:40].upper()} is above {highest:X}.", allowed)
    return number


@computation(
    "net.crc8_j1850",
    "Check byte of an SAE J1850 frame",
    _EITHER_BYTES,
    _EITHER_ASCII,
    source=_CRC8_SOURCE,
    mark="read",
    formula="CRC-8, x^8+x^4+x^3+x^2+1, preset FF, complement sent; the start symbol is not counted",
)
def crc8_of(bytes: str | None = None, ascii: str | None = None) -> str:
    """Return the check byte of SAE J1850 as two hexadecimal digits; see `checks.crc8_j1850`."""
    return f"{checks.crc8_j1850(_either(bytes, ascii)):02X}"


@computation(
    "net.crc8_j1850_residue",
    "What an SAE J1850 frame with its check byte leaves in the receiver; C4 when it is free of error",
    _EITHER_BYTES,
    _EITHER_ASCII,
    source="remainder C4 of an error-free frame: university lecture note on J1850",
    mark="read",
    says=lambda answer, given: (
        "The frame is free of error." if answer == f"{checks.CRC8_RESIDUE:02X}" else "The frame is damaged."
    ),
)
def crc8_residue_of(bytes: str | None = None, ascii: str | None = None) -> str:
    """Return what the CRC-8 register holds after a frame, as two hexadecimal digits."""
    return f"{checks.crc8_register(_either(bytes, ascii)):02X}"


@computation(
    "net.crc15_can",
    "CRC of a CAN frame, from its identifier and data or over whole bytes",
    Given("id", "identifier", kind="text", optional=True, example="7DF"),
    Given("data", "data bytes", kind="text", optional=True, example="02 01 0C 00 00 00 00 00"),
    Given("extended", "identifier of 29 bits", kind="yes", optional=True),
    Given("remote", "remote frame", kind="yes", optional=True),
    Given(
        "dlc",
        "length code, where it is not the number of data bytes",
        kind="whole",
        low=0,
        high=15,
        optional=True,
    ),
    _EITHER_BYTES,
    _EITHER_ASCII,
    source="CAN 2.0 and ISO 11898-1: CRC over start of frame, arbitration, control and data bits, unstuffed",
    mark="read",
    formula="CRC-15, polynomial 4599, preset 0",
)
def crc15_of(
    id: str | None = None,
    data: str | None = None,
    extended: bool | None = None,
    remote: bool = False,
    dlc: int | None = None,
    bytes: str | None = None,
    ascii: str | None = None,
) -> str:
    """Return the CRC of a CAN frame as four hexadecimal digits.

    An identifier above 7FF, or written with eight digits, is taken as one of 29 bits unless `extended`
    says otherwise. A remote frame has no data; its length code is `dlc`.
    """
    if id is None:
        for key, value in (("data", data), ("extended", extended), ("dlc", dlc), ("remote", remote or None)):
            if value is not None:
                raise Refused(
                    "id", f"Without the identifier {key} has no meaning.", "the identifier, such as 7DF"
                )
        whole = _either(bytes, ascii)
        return f"{checks.crc15_can(bit for byte in whole for bit in checks.bits_of(byte, 8)):04X}"
    if bytes is not None or ascii is not None:
        raise Refused(
            "id", "Give either the identifier and data, or the bytes to run over.", "one of the two"
        )
    identifier, extended = _can_identifier(id, extended)
    payload = bytes_typed("data", data or "", most=LONGEST_DATA)
    _check_length(payload, remote, dlc)
    length = len(payload) if dlc is None else dlc
    bits = checks.can_header_bits(identifier, length, extended=extended, remote=remote)
    return f"{checks.crc15_can([*bits, *(bit for byte in payload for bit in checks.bits_of(byte, 8))]):04X}"


@computation(
    "net.lin_checksum",
    "Checksum of a LIN frame, classic or enhanced",
    Given("model", "which checksum", kind="choice", choices=("classic", "enhanced")),
    Given("data", "data bytes", kind="text", example="4A 55 93 E5"),
    Given("pid", "protected identifier, for the enhanced one", kind="text", optional=True, example="C1"),
    source=_LIN_SOURCE,
    mark="read",
    formula="inverted 8-bit sum with the carry added back; enhanced: the protected identifier is in the sum",
    valid="identifiers 3C and 3D always have the classic checksum",
)
def lin_checksum_of(model: str, data: str, pid: str | None = None) -> str:
    """Return the checksum of a LIN frame as two hexadecimal digits; see `checks.lin_checksum`."""
    payload = bytes_typed("data", data, least=1, most=LONGEST_DATA)
    protected = None if pid is None else hex_number("pid", pid, 0xFF)
    if model == "classic":
        return f"{checks.lin_checksum(payload):02X}"
    if protected is None:
        raise Refused(
            "pid", "The enhanced checksum needs the protected identifier.", "two hexadecimal digits"
        )
    return f"{checks.lin_checksum(payload, protected):02X}"


@computation(
    "net.lin_pid",
    "Protected identifier of LIN: the identifier with its two bits of parity",
    Given("id", "identifier, 00 to 3F", kind="text", example="3C"),
    source="LIN Specification Package 2.1, 2.3.1.3",
    mark="from memory",
    formula="P0 = i0^i1^i2^i4 in bit 6, P1 = not(i1^i3^i4^i5) in bit 7",
)
def lin_pid_of(id: str) -> str:
    """Return the protected identifier as two hexadecimal digits; see `checks.lin_protected`."""
    return f"{checks.lin_protected(hex_number('id', id, 0x3F)):02X}"


@computation(
    "net.kline_checksum",
    "Check byte of a K line message, ISO 9141-2 or ISO 14230-2",
    _BYTES,
    source="ISO 14230-2, ISO 9141-2",
    mark="from memory",
    formula="sum of the bytes modulo 256",
)
def kline_checksum_of(bytes: str) -> str:
    """Return the check byte of a K line message as two hexadecimal digits."""
    return f"{checks.kline_checksum(bytes_typed('bytes', bytes, least=1)):02X}"


@computation(
    "net.vpw_symbol",
    "What a pulse on a single-wire VPW bus means to a receiver",
    Given("us", "width of the pulse", "µs", low=0, example=128),
    Given("level", "level of the bus during it", kind="choice", choices=("active", "passive")),
    source=_VPW_SOURCE,
    mark="from memory",
    valid="10.4 kbit/s; up to 34 µs is noise, then short to 96, long to 163, start or end of data to 239",
    group="Data buses",
)
def vpw_symbol_of(us: float, level: vpw_symbols.Level) -> str:
    """Return the symbol of a pulse; see `vpw_symbols.symbol`."""
    return vpw_symbols.symbol(us, level)


@computation(
    "net.vpw_decode",
    "Bytes of a VPW frame from the widths of its pulses, start of frame first",
    Given(
        "us",
        "widths of the pulses, active and passive in turn",
        "µs",
        "numbers",
        low=0,
        least=1,
        example=_PULSES,
    ),
    source=_VPW_SOURCE,
    mark="from memory",
    says=lambda answer, given: _vpw_check(answer),
)
def vpw_decode_of(us: Sequence[float]) -> str:
    """Return the bytes of a frame, check byte included, in hexadecimal; see `vpw_symbols.frame_bytes`."""
    try:
        return vpw_symbols.frame_bytes(us).hex(" ").upper()
    except vpw_symbols.NotAFrame as fault:
        allowed = "a start of frame, bits in whole bytes, then the end of data or of frame"
        raise Refused("us", fault.message, allowed) from None


def _either(typed: str | None, plain: str | None) -> bytes:
    if (typed is None) == (plain is None):
        raise Refused("bytes", "Give the bytes either in hexadecimal or as plain text.", HEX_ALLOWED)
    if typed is not None:
        return bytes_typed("bytes", typed, least=1)
    if not plain or not plain.isascii() or len(plain) > MOST_BYTES:
        raise Refused("ascii", "This is no plain text.", f"1 to {MOST_BYTES} ASCII characters")
    return plain.encode("ascii")


def _can_identifier(text: str, extended: bool | None) -> tuple[int, bool]:
    identifier = hex_number("id", text, 0x7FF if extended is False else 0x1FFFFFFF)
    if extended is None:
        extended = identifier > 0x7FF or len("".join(text.split())) == 8
    return identifier, extended


def _check_length(payload: bytes, remote: bool, dlc: int | None) -> None:
    if remote and payload:
        raise Refused("data", "A remote frame has no data.", "no data bytes; the length code is dlc")
    if dlc is not None and not remote and len(payload) != min(dlc, LONGEST_DATA):
        raise Refused("dlc", f"{dlc} does not go with {len(payload)} data bytes.", "the number of data bytes")


def _vpw_check(answer: str) -> str:
    if checks.crc8_register(bytes.fromhex(answer)) == checks.CRC8_RESIDUE:
        return "The last byte is the right check byte."
    return "The last byte is not the right check byte for the others."
