"""Find out from the first lines of a text export how its table is laid out.

Nothing is agreed on between makers of instruments, so the rows of numbers are found first, and the lines
above them are then read for names, units and the sample rate.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from itertools import pairwise
from statistics import fmean, median

from diagnostics.captures.column_units import TIME_SCALES, Named, heading, is_unit, scaled_unit
from diagnostics.captures.csv_numbers import Grid, cells_of, number_of
from diagnostics.captures.samples import MOST_CHANNELS, AsRead, Channel, UnreadableCapture

HEAD_BYTES = 1 << 16
MOST_HEAD_LINES = 400
ROWS_IN_A_ROW = 5  # So many rows of numbers, one after the other, are taken for the table.
STEP_SPREAD = 0.5  # Steps of time this far from their mean are still even: short stamps are rounded.
EVEN_SHARE = 0.9
SHORTEST_DT_S, LONGEST_DT_S = 1e-13, 1e6
ALLOWED = (
    "lines of numbers with one separator (comma, semicolon, tab or blank), a time column or a sample rate"
)
RATE = re.compile(r"(?i)(sampl\w*[ _-]*(rate|freq\w*)|^fs$|abtastrate|samples? ?(/|per) ?s)")
INTERVAL = re.compile(
    r"(?i)(sampl\w*[ _-]*(interval|period|time)|time[ _-]*(interval|step|increment|base/sample)"
    r"|^\W*(interval|increment|dt|delta[ _-]?t|x ?increment|xincr?)\b)"
)
BEGIN = re.compile(
    r"(?i)(start[ _-]*time|^start$|time[ _-]*of[ _-]*first|x ?zero|x ?origin|trigger[ _-]*offset)"
)
GREATEST = 1e100  # Of a rate or interval as written; what can be used is looked at later.
VALUE = re.compile(r"([+-]?(?:\d+[.,]?\d*|[.,]\d+)(?:[eE][+-]?\d+)?)\s*([^\s\d]*)")
RATE_SCALES = {"": 1.0, "hz": 1.0, "s/s": 1.0, "sa/s": 1.0, "samples/s": 1.0, "sps": 1.0}


@dataclass(frozen=True, slots=True)
class Column:
    """A column that becomes a channel: where it stands, and the factor to the channel's unit."""

    at: int
    channel: Channel
    factor: float


@dataclass(frozen=True, slots=True)
class TableForm:
    """How the table is laid out. `time_at` is the column of times; None: they follow from `dt`."""

    grid: Grid
    first_line: int
    columns: tuple[Column, ...]
    time_at: int | None
    time_scale: float
    dt: float | None
    start: float
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Table:
    separator: str
    first: int
    rows: list[list[float]]
    cells: list[list[str]]

    @property
    def width(self) -> int:
        return len(self.rows[0])


@dataclass(frozen=True, slots=True)
class _Said:
    """What the lines above the table say about time."""

    dt: float | None = None
    start: float | None = None


def table_form(text: str, *, whole: bool, as_read: AsRead) -> TableForm:
    """Return how the table of a text export is laid out.

    Parameters
    ----------
    text : text
        The beginning of the file.
    whole : bool
        Whether that is all of it; otherwise its last line is cut off and not looked at.
    as_read : AsRead

    Raises
    ------
    UnreadableCapture
        If there is no table of numbers, it can be read in two ways, or its times are not known.
    """
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    lines = lines if whole else lines[:-1]
    table = _find_table(lines[:MOST_HEAD_LINES])
    names = _names(lines[: table.first], table)
    said = _said(lines[: table.first], table.separator if table.width > 1 else ",")
    if as_read.sample_rate_hz:
        said = replace(said, dt=1.0 / as_read.sample_rate_hz)
    return _with_times(table, names, said, as_read)


def even_interval(times: list[float]) -> float | None:
    """Return the sample interval of times that come evenly, some of them perhaps missing; else None."""
    steps = [after - before for before, after in pairwise(times)]
    if not steps or min(steps) < 0 or max(steps) <= 0:
        return None
    usual = median(steps) or fmean(steps)
    near = fmean([step for step in steps if step <= 1.5 * usual] or [usual]) or usual
    even = sum(abs(step - near) <= STEP_SPREAD * near for step in steps)
    return near if even >= EVEN_SHARE * len(steps) else None


def _find_table(lines: list[str]) -> _Table:
    found = [table for separator in ";\t, " if (table := _table(lines, separator))]
    wide = [table for table in found if table.width > 1]
    if wide:
        table = min(wide, key=lambda each: each.first)
        _refuse_two_readings(table, lines)
        return table
    if not found:
        raise UnreadableCapture("file", "There are no rows of numbers in its first lines.", ALLOWED)
    return found[0]


def _table(lines: list[str], separator: str) -> _Table | None:
    """Return the first long run of rows of numbers, all of one width, when lines are parted in this way."""
    best: list[list[str]] = []
    run: list[list[str]] = []
    first = best_first = 0
    for at, line in enumerate(lines):
        if not line.strip() and run:
            continue
        cells = _trimmed(cells_of(line, separator), run)
        is_row = _is_row(cells, separator)
        if not is_row or (run and len(cells) != len(run[0])):
            if len(best) >= ROWS_IN_A_ROW:
                break
            run = []
        if is_row:
            first = first if run else at
            run.append(cells)
            if len(run) >= len(best):
                best, best_first = run, first
    if not best:
        return None
    rows = [[number_of(cell, separator) or 0.0 for cell in cells] for cells in best]
    return _Table(separator, best_first, rows, best)


def _trimmed(cells: list[str], run: list[list[str]]) -> list[str]:
    """Leave out what follows a separator at the end of each line."""
    if len(cells) > 2 and not cells[-1] and (not run or len(run[0]) == len(cells) - 1):
        return cells[:-1]
    return cells


def _is_row(cells: list[str], separator: str) -> bool:
    found = [number_of(cell, separator) for cell in cells]
    return None not in found and any(value == value for value in found)


def _refuse_two_readings(table: _Table, lines: list[str]) -> None:
    """Refuse "0,5" as a row: two columns, or one with a decimal comma?"""
    if (
        table.separator != ","
        or table.width % 2
        or not all(c.lstrip("+-").isdigit() for r in table.cells for c in r)
    ):
        return
    above = [line for line in lines[: table.first] if line.strip()]
    if any(_heading_cells(line, table) for line in above):
        return
    rising = all(after[0] > before[0] for before, after in pairwise(table.rows))
    if rising and len(table.rows) > 1 and not above:
        return
    raise UnreadableCapture(
        f"line {table.first + 1}",
        f"'{lines[table.first].strip()[:40]}' may have decimal commas or {table.width} columns.",
        "semicolons or tabs between columns where commas part decimals",
    )


def _names(above: list[str], table: _Table) -> list[Named]:
    """Return name and unit of each column from the lines above the table, empty where there are none."""
    rows = [cells for line in above if (cells := _heading_cells(line, table)) is not None]
    units: list[str] = []
    if rows and all(not cell or is_unit(cell.strip("()[]{}")) for cell in rows[-1]):
        units = [cell.strip("()[]{}") for cell in rows.pop()]
    named = [heading(cell) for cell in rows[-1]] if rows else [Named("")] * table.width
    if units:
        named = [replace(name, unit=unit or name.unit) for name, unit in zip(named, units, strict=True)]
    return named


def _heading_cells(line: str, table: _Table) -> list[str] | None:
    line = line.lstrip("#%! ")
    if table.separator == " ":
        cells = [
            c.strip().strip('"') for c in re.findall(r"\"[^\"]*\"|\S+(?: ?[(\[{][^()\[\]{}]*[)\]}])?", line)
        ]
    else:
        cells = cells_of(line, table.separator)
    while len(cells) > table.width and not cells[-1]:
        cells.pop()
    text = [cell for cell in cells if cell]
    if table.width == 1 and re.search("[:=]", line):  # A line of the preamble, no name of the only column.
        return None
    fits = len(cells) == table.width and text and all(number_of(c, table.separator) is None for c in text)
    return cells if fits else None


def _said(above: list[str], separator: str) -> _Said:
    said = _Said()
    parted = [re.split(r"[=:;\t]|,(?!\d)|\s{2,}", line.replace('"', "")) for line in above]
    tabled = [cells_of(line, separator if separator.strip() else ",") for line in above]
    for at, cells in enumerate(parted):
        for key, value in pairwise([cell.strip(" #%!,") for cell in cells]):
            said = _heard(said, key, value)
        for column, key in enumerate(tabled[at]):  # The value may stand beneath its name, or beside it.
            if column + 1 < len(tabled[at]):
                said = _heard(said, key, tabled[at][column + 1])
            if at + 1 < len(tabled) and column < len(tabled[at + 1]):
                said = _heard(said, key, tabled[at + 1][column])
    return said


def _heard(said: _Said, key: str, value: str) -> _Said:
    found = VALUE.fullmatch(value.strip())
    if not found or len(key) > 60:
        return said
    number = float(found.group(1).replace(",", "."))
    unit = (found.group(2) or heading(key).unit).strip("()[]")
    if said.dt is None and 1 / GREATEST <= number <= GREATEST and RATE.search(key):
        factor = _rate_factor(unit)
        return replace(said, dt=1.0 / (number * factor)) if factor else said
    if (
        said.dt is None
        and 1 / GREATEST <= number <= GREATEST
        and INTERVAL.search(key)
        and (not unit or unit.lower() in TIME_SCALES)
    ):
        return replace(said, dt=number * TIME_SCALES.get(unit.lower(), 1.0))
    if said.start is None and BEGIN.search(key) and (not unit or unit.lower() in TIME_SCALES):
        return replace(said, start=number * TIME_SCALES.get(unit.lower(), 1.0))
    return said


def _rate_factor(unit: str) -> float | None:
    if unit.lower() in RATE_SCALES:
        return RATE_SCALES[unit.lower()]
    for prefix, factor in {"k": 1e3, "m": 1e6, "g": 1e9}.items():
        if unit.lower()[:1] == prefix and unit.lower()[1:] in RATE_SCALES:
            return factor
    return None


def _with_times(table: _Table, names: list[Named], said: _Said, as_read: AsRead) -> TableForm:
    remarks: list[str] = []
    time_at = next((at for at, name in enumerate(names) if name.is_time), None)
    index_at = next((at for at, name in enumerate(names) if name.is_index), None) if time_at is None else None
    unnamed = not any(name.name for name in names)
    if time_at is None and unnamed and table.width > 1 and _rises(table, 0):
        if said.dt is not None and _counts(table, 0):
            index_at = 0
        else:
            time_at = 0
    if time_at is None and said.dt is None:
        raise UnreadableCapture(
            f"line {max(1, table.first)}",
            "Neither a column of times nor a sample rate is named.",
            'a column such as "Time (s)", a line such as "Sample rate: 1 MHz", or the rate given by hand',
        )
    scale = _time_scale(names[time_at].unit, as_read, remarks) if time_at is not None else 1.0
    dt = said.dt
    start = said.start or 0.0
    if time_at is not None:
        times = [row[time_at] * scale for row in table.rows]
        dt, start = even_interval(times), times[0]
    if dt is not None and not SHORTEST_DT_S <= dt <= LONGEST_DT_S:
        raise UnreadableCapture(
            "sample rate", f"A sample every {dt:.3g} s.", f"every {SHORTEST_DT_S:g} s to {LONGEST_DT_S:g} s"
        )
    columns = _columns(table, names, {time_at, index_at}, as_read, remarks)
    grid = Grid(table.separator.encode(), table.width)
    return TableForm(grid, table.first + 1, columns, time_at, scale, dt, start, tuple(remarks))


def _rises(table: _Table, at: int) -> bool:
    return len(table.rows) > 1 and all(after[at] > before[at] for before, after in pairwise(table.rows))


def _counts(table: _Table, at: int) -> bool:
    return all(after[at] - before[at] == 1 for before, after in pairwise(table.rows))


def _time_scale(unit: str, as_read: AsRead, remarks: list[str]) -> float:
    unit = unit or as_read.time_unit
    if not unit:
        remarks.append("The time column names no unit: taken as seconds.")
        return 1.0
    if unit.lower() not in TIME_SCALES:
        raise UnreadableCapture("time column", f"'{unit}' is no unit of time.", "s, ms, us, ns, min or h")
    return TIME_SCALES[unit.lower()]


def _columns(
    table: _Table, names: list[Named], taken: set[int | None], as_read: AsRead, remarks: list[str]
) -> tuple[Column, ...]:
    columns: list[Column] = []
    for at, name in enumerate(names):
        if at in taken or (name.is_time and None not in taken):
            continue
        label = _unique(name.name or f"CH{len(columns) + 1}", [c.channel.name for c in columns])
        is_logic = not name.unit and all(row[at] in ("0", "1") for row in table.cells)
        factor, unit = scaled_unit(name.unit or as_read.unit)
        if not name.unit and as_read.volts_per_count:
            factor, unit = as_read.volts_per_count, as_read.unit or "V"
        columns.append(
            Column(at, Channel(label, "" if is_logic else unit, "logic" if is_logic else "analog"), factor)
        )
    if not 1 <= len(columns) <= MOST_CHANNELS:
        raise UnreadableCapture(
            f"line {table.first + 1}",
            f"There are {len(columns)} columns of values beside the times.",
            f"1 to {MOST_CHANNELS} channels",
        )
    if any(not column.channel.unit and column.channel.kind == "analog" for column in columns):
        remarks.append("Not every column names its unit: where none is named, volts are taken.")
    return tuple(columns)


def _unique(label: str, taken: list[str]) -> str:
    number, name = 2, label
    while name in taken:
        name, number = f"{label} {number}", number + 1
    return name
