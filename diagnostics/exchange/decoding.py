"""The first step from bytes to a record: one line as a JSON document, strictly read.

JSON readers let through what a record cannot hold: keys written twice, NaN, numbers
without end, half of a character pair, NUL. Whatever could be wrong marks the document as
doubtful; `doubts` then names each case with its place.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from typing import Any

import simplejson

from diagnostics.exchange.faults import LINE, BadLine, Fault, path_of, shown

MAX_LINE_BYTES = 4_000_000  # A long visit with hundreds of readings takes about a tenth of it.
MAX_DEPTH = 20  # The form itself needs seven levels.
MAX_DIGITS = 40
MAX_EXPONENT = 30
NUMBER_RANGE = f"at most {MAX_DIGITS} digits, and zero or a size from 1e-{MAX_EXPONENT} to 1e{MAX_EXPONENT}"

_SURELY_IN_RANGE = 30  # Characters; a shorter number without exponent cannot leave the range.
_JSON_BLANKS = " \t\r\n"
_SUSPECT_ESCAPE = re.compile(r"\\u(?:0000|[dD][89a-fA-F])")
_SURROGATE = re.compile("[\ud800-\udfff]")


@dataclass(frozen=True, slots=True)
class UnreadableNumber:
    """Stands in the document for a number that is none, or that is out of range."""

    text: str

    def __str__(self) -> str:
        return self.text


@dataclass(slots=True)
class Document:
    """A decoded line, and whether `doubts` has to look at it."""

    root: Any = None
    doubtful: bool = False
    repeated: list[tuple[dict[str, Any], str]] = field(default_factory=list)


def decode_line(line: bytes | str) -> Document | None:
    """Return one line as a document, or None if it is blank.

    A byte order mark at the start and a line end of either kind are skipped.

    Raises
    ------
    BadLine
        If the line is too long, is not UTF-8, is not JSON, or is nested without end.
    """
    text = _as_text(line).removeprefix("\ufeff")
    if not text.strip(_JSON_BLANKS):
        return None
    document = Document(doubtful=_SUSPECT_ESCAPE.search(text) is not None)
    try:
        document.root = _decoder(document).decode(text)
    except RecursionError:
        raise BadLine((_too_deep(),)) from None
    except simplejson.JSONDecodeError as error:
        near = shown(text[error.pos : error.pos + 20]) if error.pos < len(text) else "the end of the line"
        raise BadLine(
            (Fault(LINE, f"is not JSON from character {error.pos + 1} on, near {near}", "one JSON object"),)
        ) from None
    return document


def doubts(document: Document) -> Iterator[Fault]:
    """Yield what the schema cannot see: repeated keys, unreadable numbers, unstorable text, depth."""
    pending: list[tuple[tuple[str | int, ...], Any]] = [((), document.root)]
    while pending:
        path, value = pending.pop()
        if len(path) > MAX_DEPTH:
            yield _too_deep()
            return
        if isinstance(value, dict):
            for owner, key in document.repeated:
                if owner is value:
                    yield Fault(
                        path_of((*path, key)), "is written more than once in one object", "each key once"
                    )
            for key in value:
                yield from _unstorable_text((*path, key), key)
            pending += [((*path, key), value[key]) for key in reversed(value)]
        elif isinstance(value, list):
            pending += [((*path, index), value[index]) for index in reversed(range(len(value)))]
        elif isinstance(value, UnreadableNumber):
            yield _unreadable(path, value.text)
        elif isinstance(value, str):
            yield from _unstorable_text(path, value)


def _as_text(line: bytes | str) -> str:
    if isinstance(line, str):
        half = _SURROGATE.search(line)
        if half:
            raise BadLine((Fault(LINE, f"is not UTF-8 at character {half.start() + 1}", "UTF-8"),))
        line = line.encode()
    if len(line) > MAX_LINE_BYTES:
        raise BadLine((too_long(),))
    try:
        return line.decode()
    except UnicodeDecodeError as error:
        wrong = f"is not UTF-8 at byte {error.start + 1} (0x{line[error.start]:02x})"
        raise BadLine((Fault(LINE, wrong, "UTF-8"),)) from None


def too_long() -> Fault:
    """Return the fault of a line that is longer than `MAX_LINE_BYTES`."""
    return Fault(LINE, f"is longer than {MAX_LINE_BYTES:,} bytes", "one order on a line, without attachments")


def _too_deep() -> Fault:
    return Fault(LINE, f"is nested deeper than {MAX_DEPTH} levels", "the levels of the form")


def _decoder(document: Document) -> simplejson.JSONDecoder:
    def unreadable(text: str) -> UnreadableNumber:
        document.doubtful = True
        return UnreadableNumber(text)

    def read_decimal(text: str) -> Decimal | UnreadableNumber:
        if len(text) <= _SURELY_IN_RANGE and "e" not in text and "E" not in text:
            return Decimal(text)
        try:
            value = Decimal(text)
        except InvalidOperation:
            return unreadable(text)
        return value if _in_range(value) else unreadable(text)

    def read_integer(text: str) -> int | UnreadableNumber:
        return int(text) if len(text) <= _SURELY_IN_RANGE else unreadable(text)

    def read_object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        read = dict(pairs)
        if len(read) < len(pairs):
            document.doubtful = True
            keys = [key for key, _ in pairs]
            document.repeated += [(read, key) for key in read if keys.count(key) > 1]
        return read

    return simplejson.JSONDecoder(
        parse_float=read_decimal,
        parse_int=read_integer,
        parse_constant=unreadable,
        object_pairs_hook=read_object,
        allow_nan=True,
    )


def _in_range(value: Decimal) -> bool:
    if len(value.as_tuple().digits) > MAX_DIGITS:
        return False
    return abs(value.adjusted()) <= MAX_EXPONENT


def _unreadable(path: tuple[str | int, ...], text: str) -> Fault:
    if text.lstrip("-").isalpha():
        return Fault(path_of(path), f"{text} is not a number that JSON knows", "a finite number")
    return Fault(path_of(path), f"{shown(text, quoted=False)} is out of range", NUMBER_RANGE)


def _unstorable_text(path: tuple[str | int, ...], text: str) -> Iterator[Fault]:
    if "\0" in text:
        wrong = f"has a NUL character at position {text.index(chr(0)) + 1}"
        yield Fault(path_of(path), wrong, "text without NUL (U+0000)")
    half = _SURROGATE.search(text)
    if half:
        wrong = f"has half of a character pair (U+{ord(half[0]):04X}) at position {half.start() + 1}"
        yield Fault(path_of(path), wrong, "whole Unicode characters")
