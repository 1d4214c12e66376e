"""The layout of a trouble code: letter, digits, failure type, and who controls its meaning.

References
----------
.. [1] SAE J2012 and ISO 15031-6, layout of the two bytes and ranges of control: read in public copies
   (trade-values.md section 2.1).
.. [2] SAE J2012-DA, failure-type byte as third byte: from memory (trade-values.md section 2.1).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from diagnostics.codes.raw import hex_bytes, shown
from shared.computing import Given, Refused, computation

Control = Literal["iso-sae", "manufacturer", "reserved"]

LETTERS = "PCBU"  # Bits 15 and 14: 00 to 11.
SYSTEMS = {"P": "powertrain", "C": "chassis", "B": "body", "U": "network"}
SOURCE = "SAE J2012 / ISO 15031-6, layout and ranges, read in public copies"
A_CODE = "a letter P, C, B or U, a digit 0 to 3, three hexadecimal digits; then -11 for a failure type"
HINT = "A code is a report, not a reading: it says where to measure, not which part is at fault."
GROUP = "Codes and live data"

_CODE = re.compile(r"([PCBU])([0-3])([0-9A-F]{3})(?:[-: ]?([0-9A-F]{2}))?", re.ASCII)

# The third character of a P code [1]; C is from memory.
_AREAS = {
    "0": "fuel, air and auxiliary emission control",
    "1": "fuel and air metering",
    "2": "fuel and air metering, injection",
    "3": "ignition or misfire",
    "4": "auxiliary emission control",
    "5": "vehicle speed, idle and auxiliary inputs",
    "6": "control module and its outputs",
    "7": "transmission",
    "8": "transmission",
    "9": "transmission",
    "A": "hybrid drive",
    "B": "hybrid drive",
    "C": "hybrid drive",
}


@dataclass(frozen=True, slots=True, order=True)
class Code:
    """A trouble code: `base` has five characters, `failure_type` two or none."""

    base: str
    failure_type: str = ""

    def __str__(self) -> str:
        return f"{self.base}-{self.failure_type}" if self.failure_type else self.base

    @property
    def system(self) -> str:
        """Powertrain, chassis, body or network."""
        return SYSTEMS[self.base[0]]

    @property
    def area(self) -> str:
        """What the third character of a P code stands for; empty for the other letters."""
        return _AREAS.get(self.base[2], "") if self.base[0] == "P" else ""

    @property
    def control(self) -> Control:
        """Who gives the code its meaning."""
        return _control(self.base)


def read_code(text: str, field: str = "code") -> Code:
    """Return the code that a text writes, such as `p0171`, `P0171-11` or `U0100:00`.

    Raises
    ------
    Refused
        If the text has not the form of a code.
    """
    match = _CODE.fullmatch(" ".join(text.upper().split()))
    if match is None:
        raise Refused(field, f"'{text[:20]}' does not have the form of a trouble code.", A_CODE)
    return Code("".join(match.group(1, 2, 3)), match.group(4) or "")


def code_of(data: bytes) -> Code | None:
    """Return the code in two bytes, or in three with the failure type; None for zero bytes: padding."""
    if not any(data):
        return None
    letter, first = LETTERS[data[0] >> 6], (data[0] >> 4) & 0b11
    base = f"{letter}{first}{data[0] & 0x0F:X}{data[1]:02X}"
    return Code(base, f"{data[2]:02X}" if len(data) == 3 else "")


def bytes_of(code: Code) -> bytes:
    """Return the two bytes of a code, three where it has a failure type."""
    high = LETTERS.index(code.base[0]) << 6 | int(code.base[1]) << 4 | int(code.base[2], 16)
    return bytes([high, int(code.base[3:], 16)]) + bytes.fromhex(code.failure_type)


@computation(
    "dtc.decode",
    "The trouble code in two bytes, or in three with its failure type",
    Given("bytes", "Bytes of the code", kind="text", example="01 35"),
    source=SOURCE,
    mark="read",
    formula="bits 15-14 letter, 13-12 first digit, then three hexadecimal digits; third byte failure type",
    valid="2 or 3 bytes; zero bytes are padding and no code",
    group=GROUP,
)
def decode(bytes: str) -> str | None:
    """Return the trouble code in two or three bytes, or None for padding.

    Parameters
    ----------
    bytes : str
        Two bytes, or three with the failure type.

    Returns
    -------
    str or None
        As `P0135` or `P0123-11`.

    Raises
    ------
    Refused
        If there are not two or three bytes.

    References
    ----------
    .. [1] SAE J2012 and ISO 15031-6, see the module.
    """
    code = code_of(hex_bytes(bytes, counts=(2, 3)))
    return None if code is None else str(code)


@computation(
    "dtc.encode",
    "The bytes of a trouble code",
    Given("code", "Trouble code", kind="text", example="P0171"),
    source=SOURCE,
    mark="read",
    formula="the layout of dtc.decode turned round",
    valid="letter P, C, B or U, first digit 0 to 3",
    group=GROUP,
)
def encode(code: str) -> str:
    """Return the bytes of a trouble code as hexadecimal pairs, three where it has a failure type.

    Raises
    ------
    Refused
        If the text has not the form of a code.

    References
    ----------
    .. [1] SAE J2012 and ISO 15031-6, see the module.
    """
    return shown(bytes_of(read_code(code)))


@computation(
    "dtc.control",
    "Who gives a trouble code its meaning: the standard or the vehicle's maker",
    Given("code", "Trouble code", kind="text", example="P1133"),
    source=SOURCE,
    mark="read",
    formula="ranges of SAE J2012",
    valid="C3, B3 and U3: public reprints disagree, so they are called reserved",
    cautions=(HINT,),
    group=GROUP,
)
def control(code: str) -> Control:
    """Return `iso-sae`, `manufacturer` or `reserved`.

    The public reprints disagree on C3, B3 and U3; they are reserved here and get no meaning.

    Raises
    ------
    Refused
        If the text has not the form of a code.

    References
    ----------
    .. [1] SAE J2012 and ISO 15031-6, see the module.
    """
    return read_code(code).control


def _control(base: str) -> Control:
    letter, first, third = base[0], base[1], int(base[2], 16)
    if letter == "P" and first == "3":
        if third <= 3:
            return "manufacturer"
        return "iso-sae" if third <= 9 else "reserved"
    if letter == "P":
        return "manufacturer" if first == "1" else "iso-sae"
    return {"0": "iso-sae", "1": "manufacturer", "2": "manufacturer", "3": "reserved"}[first]  # type: ignore[return-value]
