"""Tables in a report: which column is what, and what a row says."""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from dataclasses import dataclass

from diagnostics.codes import words
from diagnostics.codes.draft import Draft, DraftModule
from diagnostics.codes.spotting import Spot, code_in_bytes, labelled_type, written_codes
from diagnostics.codes.structure import Code

SEPARATORS = ("\t", ";", "|", ",")
_GAP = re.compile(r"\s{2,}")
_COLUMNS = {
    "module": re.compile(
        r"(?:module|ecu|system|unit|control (?:unit|module)|controller|node)s?(?: name)?", re.I
    ),
    "code": re.compile(
        r"(?:dtc|(?:fault|trouble|error|diagnostic trouble)? ?codes?|fault|error)"
        r"(?: ?(?:number|no\.?|id|hex|bytes))?s?",
        re.I,
    ),
    "state": re.compile(r"(?:dtc |code |fault )?(?:status|state|kind|type)(?: byte)?", re.I),
    "text": re.compile(r"(?:fault |dtc |code )?(?:description|text|meaning|detail|definition|name)s?", re.I),
    "failure_type": re.compile(
        r"ftb|failure[ _-]?type(?: byte)?|fault type|symptom(?: byte)?|sub ?type", re.I
    ),
    "address": re.compile(r"address|addr\.?|(?:can |request |response )?id", re.I),
    "answer": re.compile(r"response|answer(?:ed)?|communication|result", re.I),
}
_LINE_OF_A_TABLE = re.compile(r"^[\s|+\-=:_]*$")
FEWEST_COLUMNS = 2


@dataclass(frozen=True, slots=True)
class Table:
    """How the rows under a head are split, and what each column is; empty where not known."""

    separator: str
    columns: tuple[str, ...]
    starts: tuple[int, ...] = ()

    def has(self, name: str) -> bool:
        return name in self.columns


def table_head(text: str) -> Table | None:
    """Return the table whose head a line is: a column of codes, or of modules, and one more that is known."""
    for separator in (*SEPARATORS, ""):
        cells = split(text, separator)
        if len(cells) < FEWEST_COLUMNS:
            continue
        columns = tuple(_column(cell) for cell in cells)
        known = {name for name in columns if name}
        if len(known) >= FEWEST_COLUMNS and known & {"code", "module"}:
            starts = (
                tuple(match.start() for match in re.finditer(r"\S+(?: \S+)*", text)) if not separator else ()
            )
            return Table(separator, columns, starts)
    return None


def split(text: str, separator: str) -> list[str]:
    """Return the cells of a line; quotes keep a separator inside a cell. No separator: two blanks or more."""
    if not separator:
        return [cell.strip() for cell in _GAP.split(text.strip())]
    if separator == "|":
        text = text.strip().strip("|")
    try:
        cells = next(csv.reader([text], delimiter=separator), [])
    except csv.Error:
        cells = text.split(separator)
    return [cell.strip() for cell in cells]


def read_row(draft: Draft, table: Table, text: str, line: int) -> bool:
    """Read one row of a table and say whether the line was one."""
    if _LINE_OF_A_TABLE.match(text):
        return True
    cells = _cells(table, text)
    if len(cells) < FEWEST_COLUMNS:
        return False
    row = dict[str, str]()
    for name, cell in zip(table.columns, cells, strict=False):
        if name and cell:
            row[name] = " ".join(filter(None, [row.get(name), cell]))
    spots = _codes_of(row, cells)
    told = _open_module(draft, table, row, line, text, has_codes=bool(spots))
    for spot in spots:
        _add(draft, spot, row, line)
    return bool(spots) or _without_code(draft, row, line) or told


def _cells(table: Table, text: str) -> list[str]:
    """The cells of a row; where blanks divide, by the place of the heads, so that an empty cell stays one."""
    if table.separator:
        return split(text, table.separator)
    loose = split(text, "")
    if len(loose) >= len(table.starts):
        return loose
    ends = [*table.starts[1:], len(text)]
    placed = [text[start:end] for start, end in zip(table.starts, ends, strict=True)]
    fits = all(not start or text[start - 1 : start].isspace() or start >= len(text) for start in table.starts)
    return [cell.strip() for cell in placed] if fits else loose


def _column(cell: str) -> str:
    bare = " ".join(cell.replace("_", " ").split()).strip(" .:#\"'*")
    return next((name for name, pattern in _COLUMNS.items() if pattern.fullmatch(bare)), "")


def _codes_of(row: dict[str, str], cells: Sequence[str]) -> list[tuple[Spot, str]]:
    """The codes of the column of codes, as written or as bytes; else those written anywhere in the row."""
    cell = row.get("code", "")
    spots = written_codes(cell)
    if not spots and (code := code_in_bytes(cell, is_labelled=True)):
        return [(Spot(code, 0, len(cell), cell), "bytes")]
    if not spots and "code" not in row:
        spots = [spot for cell in cells for spot in written_codes(cell)[:1]]
    return [(spot, "text") for spot in spots]


def _open_module(
    draft: Draft, table: Table, row: dict[str, str], line: int, text: str, *, has_codes: bool
) -> bool:
    """Make the row's module the current one; a row without one belongs to the row above, and says so."""
    name, address = row.get("module", ""), row.get("address", "")
    if name or address:
        draft.open(name, line, address)
        return bool(name)
    if table.has("module") and has_codes and draft.current is not None and draft.current.name:
        draft.doubt(line, text, f"The row names no module. Read as one more of {draft.current.name}.")
    return False


def _add(draft: Draft, spotted: tuple[Spot, str], row: dict[str, str], line: int) -> None:
    spot, form = spotted
    kind = row.get("failure_type", "").upper().removeprefix("0X")
    failure_type = spot.code.failure_type or (
        kind if re.fullmatch(r"[0-9A-F]{2}", kind) else labelled_type(kind)
    )
    rest = row.get("code", "")[spot.end :].strip(" -–:,;") if form == "text" else ""
    draft.add(
        Code(spot.code.base, failure_type),
        line,
        spot.typed,
        form=form,
        states=words.status_in(row.get("state", "")),
        text=row.get("text", "") or rest,
    )


def _without_code(draft: Draft, row: dict[str, str], line: int) -> bool:
    """A row of a module without a code: it did not answer, or has none."""
    if "module" not in row and "address" not in row:
        return False
    said = " ".join(value for name, value in row.items() if name not in ("module", "address"))
    if words.NO_RESPONSE.search(said):
        _current(draft, line).answered = False
        return True
    if words.NO_CODES.search(said) or re.fullmatch(r"none|0|nil|ok|-+|–|no", said.strip(), re.I):
        draft.see_no_codes()
        return True
    return False


def _current(draft: Draft, line: int) -> DraftModule:
    return draft.current or draft.open("", line)
