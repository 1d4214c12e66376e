"""Codes in a piece of text: five characters, with a failure type, or as bytes."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from diagnostics.codes.answers import SERVICES, codes_in, codes_with_status, service_of
from diagnostics.codes.live import Readiness, readiness_of
from diagnostics.codes.structure import Code, code_of
from shared.computing import Refused

_WRITTEN = re.compile(
    r"(?<![A-Z0-9])([PCBU])([0-3])([0-9A-F]{3})(?:[-:–]?([0-9A-F]{2}))?(?![A-Z0-9])", re.I | re.ASCII
)
# The letter O, I or L where a digit stands: never corrected in silence.
_MISREAD = re.compile(r"(?<![A-Z0-9])[PCBU][O0-3][0-9A-FOIL]{3}(?![A-Z0-9])", re.I | re.ASCII)
_LABELLED_TYPE = re.compile(
    r"\b(?:ftb|failure[ _-]?type(?: byte)?|fault type|symptom byte)\s*[:=#]?\s*(?:0x)?([0-9A-F]{2})h?\b", re.I
)
_BYTES = re.compile(
    r"(?:0x)?([0-9A-F]{2})[\s:.,\-]?(?:0x)?([0-9A-F]{2})(?:[\s:.,\-]?(?:0x)?([0-9A-F]{2}))?h?",
    re.I | re.ASCII,
)
_LOOKS_LIKE_BYTES = re.compile(r"0x|h$|^[0-9A-F]{2}[\s.\-:][0-9A-F]{2}", re.I | re.ASCII)
_LABELLED_BYTES = re.compile(
    r"^(?:(?:dtc|fault|trouble|error)?\s*(?:codes?|dtcs?)|faults?|raw|hex)(?:\s*(?:bytes|hex|raw))?\s*[:=#]?\s*"
    r"(?P<bytes>(?:0x)?[0-9A-F]{2}[0-9A-Fx\s.,;:\-]*h?)$",
    re.I | re.ASCII,
)
_ALL_HEX = re.compile(r"(?:[0-9A-F]{2}[\s,]*)+", re.I | re.ASCII)
_CAN_ID = re.compile(
    r"^[(\[]?(7[0-9A-F]{2}|18\s?DA\s?F1\s?[0-9A-F]{2})[)\]]?[\s:#]+(?=[0-9A-F]{2})", re.I | re.ASCII
)
_ARROW = re.compile(r"^(?:(?:mode|service)\s*0?[0-9A]|rx|answer|response|reply|<+|->|=>)\s*[:>]?\s*", re.I)
_READINESS = re.compile(
    r"(?:\b01\s+01|\bPID\s+01|\b41\s*01)\s*[:=]?\s*((?:[0-9A-F]{2}\s*){4})$", re.I | re.ASCII
)

_LEGACY_HEADERS = ((0x48, 0x6B), (0x80, 0xF1))  # J1850 and 9141 by their first bytes; 8x F1 of 14230.
_LEGACY_FRAME = 11  # Header of three, seven bytes, checksum.


@dataclass(frozen=True, slots=True)
class Spot:
    """A code at a place of a text."""

    code: Code
    start: int
    end: int
    typed: str


@dataclass(frozen=True, slots=True)
class Answer:
    """What an answer of a control unit holds: codes with their states, readiness, or why it holds nothing."""

    codes: tuple[tuple[Code, tuple[str, ...]], ...] = ()
    readiness: Readiness | None = None
    address: str = ""
    why: str = ""
    doubt: str = ""


def written_codes(text: str) -> list[Spot]:
    """Return the codes that a text writes with letter and digits, in their order."""
    return [
        Spot(
            Code("".join(match.group(1, 2, 3)).upper(), (match.group(4) or "").upper()),
            *match.span(),
            match.group(),
        )
        for match in _WRITTEN.finditer(text)
    ]


def misread_codes(text: str) -> Iterator[tuple[str, str]]:
    """Give each word that would be a code if a letter O, I or L were a digit, and that code."""
    for match in _MISREAD.finditer(text):
        word = match.group().upper()
        meant = word[0] + word[1:].replace("O", "0").replace("I", "1").replace("L", "1")
        if meant != word and sum(character.isdigit() for character in word) >= 2:
            yield match.group(), meant


def labelled_type(text: str) -> str:
    """Return the failure-type byte that a text names, as two digits; empty where it names none."""
    match = _LABELLED_TYPE.search(text)
    return match.group(1).upper() if match else ""


def code_in_bytes(text: str, *, is_labelled: bool = False) -> Code | None:
    """Return the code in a text that is nothing but two or three bytes.

    Without a label before it the text must look like bytes (01 33, 0x0133 or 0133h): 2024 is a year.
    """
    bare = text.strip()
    match = _BYTES.fullmatch(bare)
    if match is None or not (is_labelled or _LOOKS_LIKE_BYTES.search(bare)):
        return None
    return code_of(bytes.fromhex("".join(part for part in match.groups() if part)))


def labelled_bytes(text: str) -> list[str]:
    """Return the pieces of bytes behind a label such as "DTC bytes:"; commas keep them apart."""
    match = _LABELLED_BYTES.match(text.strip())
    return [piece.strip() for piece in re.split(r"[,;]", match.group("bytes"))] if match else []


def answer_in(text: str) -> Answer | None:
    """Return what a line of hexadecimal bytes answers, or None where it is no answer at all."""
    if len(text) > 2000:
        return None
    bare = _ARROW.sub("", text.strip())
    identity = _CAN_ID.match(bare)
    rest = bare[identity.end() :] if identity else bare
    if not _ALL_HEX.fullmatch(rest):
        readiness = _READINESS.search(bare)
        return Answer(readiness=readiness_of(bytes.fromhex(readiness.group(1)))) if readiness else None
    data = bytes.fromhex(re.sub(r"[\s,]", "", rest))
    address = re.sub(r"\s", "", identity.group(1)).upper() if identity else ""
    try:
        return _answer(data, address)
    except Refused as refused:
        return Answer(address=address, why=refused.message)


def _answer(data: bytes, address: str) -> Answer | None:
    if address and data[0] >> 4 in (1, 2):
        return Answer(address=address, why="One frame of a longer answer: put the frames together first.")
    if address and 0 < data[0] <= len(data) - 1 and data[0] < 8:
        data = data[1 : 1 + data[0]]
    data = _without_legacy_header(data)
    if data[:2] == b"\x41\x01" and len(data) in (6, 7):
        return Answer(readiness=readiness_of(data[2:6]), address=address)
    if data[:2] == b"\x59\x02":
        return Answer(codes_with_status(data), address=address)
    if data[0] not in SERVICES or len(data) < 2:
        return None
    return _codes_of(data, address)


def _codes_of(data: bytes, address: str) -> Answer:
    state = (service_of(data),)
    can, legacy = _tried(data, "can"), _tried(data, "legacy")
    if address or legacy is None or (can is not None and _is_padded(data)):
        found = codes_in(data, "can")
        return Answer(tuple((code, state) for code in found), address=address)
    doubt = ""
    if can:
        other = ", ".join(str(code) for code in can)
        doubt = f"Read with three pairs, as older vehicles answer. With the CAN layout it would be {other}."
    return Answer(tuple((code, state) for code in legacy), doubt=doubt)


def _tried(data: bytes, framing: str) -> tuple[Code, ...] | None:
    try:
        return codes_in(data, framing)  # type: ignore[arg-type]
    except Refused:
        return None


def _is_padded(data: bytes) -> bool:
    """Whether the CAN layout fits without a doubt: no pair is zero, and the rest is one filler or nothing."""
    end = 2 + 2 * data[1]
    pairs, rest = data[2:end], set(data[end:])
    whole = all(pairs[place] or pairs[place + 1] for place in range(0, len(pairs), 2))
    return whole and (not rest or (len(rest) == 1 and rest <= {0x55, 0xAA, 0xCC, 0xFF}))


def _without_legacy_header(data: bytes) -> bytes:
    if len(data) != _LEGACY_FRAME:
        return data
    head = (data[0] & 0xF0 if data[0] & 0x80 else data[0], data[1])
    return data[3:-1] if head in _LEGACY_HEADERS else data
