"""The shop's own meanings of codes, read from a CSV file: code, meaning."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass

from diagnostics.codes.decoding import check_text
from diagnostics.codes.structure import read_code
from shared.computing import Refused

MOST_ROWS = 20_000
LONGEST_MEANING = 200
_HEADS = {"code", "dtc", "fault code", "trouble code"}


@dataclass(frozen=True, slots=True)
class Row:
    """One code with the shop's meaning."""

    code: str
    meaning: str
    line: int


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with a line, and what to do."""

    line: int
    text: str


@dataclass(frozen=True, slots=True)
class Table:
    """Rows in the order of the file, and its faults."""

    rows: tuple[Row, ...]
    faults: tuple[Fault, ...]


def read_table(text: str) -> Table:
    """Return the rows and faults of a table of codes.

    Parameters
    ----------
    text : str
        CSV with comma, semicolon or tab; a head line is passed over; empty lines too.

    Raises
    ------
    Unreadable
        If it is no text or too long.
    """
    rows: dict[str, Row] = {}
    faults: list[Fault] = []
    for line, cells in _lines(check_text(text)):
        if not any(cells) or (line == 1 and cells[0].casefold() in _HEADS):
            continue
        if len(rows) >= MOST_ROWS:
            faults.append(Fault(line, f"More than {MOST_ROWS} codes. Import them in parts."))
            break
        found = _row(line, cells)
        if isinstance(found, Fault):
            faults.append(found)
        elif found.code in rows:
            first = rows[found.code].line
            faults.append(Fault(line, f"{found.code} stands in line {first} already. Keep one of them."))
        else:
            rows[found.code] = found
    return Table(tuple(rows.values()), tuple(faults))


def _lines(text: str) -> Iterator[tuple[int, list[str]]]:
    head = text[:2000]
    delimiter = max(",;\t", key=head.count)
    for number, line in enumerate(text.splitlines(), start=1):
        try:
            cells = next(csv.reader([line], delimiter=delimiter), [])
        except csv.Error:
            cells = line.split(delimiter)
        yield number, [cell.strip() for cell in cells]


def _row(line: int, cells: list[str]) -> Row | Fault:
    try:
        code = read_code(cells[0])
    except Refused as refused:
        return Fault(line, f"{refused.message} Write it like P0171 or P0171-11.")
    meaning = " ".join(cells[1].split()) if len(cells) > 1 else ""
    if not meaning:
        return Fault(line, f"{code} has no meaning. Write it behind the code.")
    if len(meaning) > LONGEST_MEANING:
        return Fault(
            line, f"The meaning of {code} has {len(meaning)} characters; {LONGEST_MEANING} are the most."
        )
    return Row(str(code), meaning, line)
